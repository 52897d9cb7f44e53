// Rows, variables and costs of a mixed-integer programme, as CPLEX LP text.

export class Programme {
  readonly rows: string[] = [];
  private readonly binaries: string[] = [];
  private readonly costs = new Map<string, number>();
  private made = 0;

  /** A variable that is 0 or 1. */
  binary(name: string): string {
    this.binaries.push(name);
    return name;
  }
  /** A variable of at least 0 that costs drive down to what its rows ask. */
  amount(name = `v${this.made++}`): string {
    return name;
  }
  cost(points: number, variable: string): void {
    if (points > 0) this.costs.set(variable, (this.costs.get(variable) ?? 0) + points);
  }
  /** With only solutions of at most a price, where one is given. A variable stands once in a row: HiGHS reads no sums. */
  text(atMost?: number): string {
    const costs = [...this.costs].map(([variable, points]) => `${points} ${variable}`);
    if (atMost !== undefined && costs.length > 0) this.rows.push(`${costs.join('\n + ')} <= ${atMost}`);
    for (const row of this.rows) {
      const names = row.replaceAll('never', '0').match(/[a-zA-Z]\w*/g) ?? [];
      if (new Set(names).size < names.length) throw new Error(`a variable stands twice in ${row}`);
    }
    return [
      'Minimize',
      ` price: ${costs.length === 0 ? '0 never' : costs.join('\n + ')}`,
      'Subject To',
      ...this.rows.map((row, i) => ` r${i}: ${row}`),
      'Bounds',
      ' never = 0',
      'Binaries',
      ...this.binaries.map((b) => ` ${b}`),
      'End',
    ].join('\n');
  }
}
