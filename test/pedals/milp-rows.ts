// Rows, variables and costs of a mixed-integer programme, as CPLEX LP text.

export class Programme {
  readonly rows: string[] = [];
  private readonly binaries: string[] = [];
  private readonly costs: string[] = [];
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
    if (points > 0) this.costs.push(`${points} ${variable}`);
  }
  /** With only solutions of at most a price, where one is given. */
  text(atMost?: number): string {
    if (atMost !== undefined && this.costs.length > 0)
      this.rows.push(`${this.costs.join('\n + ')} <= ${atMost}`);
    return [
      'Minimize',
      ` price: ${this.costs.length === 0 ? '0 never' : this.costs.join('\n + ')}`,
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
