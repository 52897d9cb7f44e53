// Our XML text against a general serializer: the same, character for character.
import fc from 'fast-check';
import type { Element, ElementContent } from 'xast';
import { toXml } from 'xast-util-to-xml';
import { describe, expect, it } from 'vitest';
import { xmlText } from '../../src/interchange/musicxml/write/xml';

const name = fc.constantFrom('note', 'beat-unit', 'a', 'words');
const text = fc.string({ unit: fc.constantFrom('a', '&', '<', '>', '"', '♭', '𝄞', ' ', "'"), maxLength: 6 });
const tree = fc.letrec<{ element: Element }>((tie) => ({
  element: fc.record({
    type: fc.constant('element' as const),
    name,
    attributes: fc.dictionary(name, text, { maxKeys: 3, noNullPrototype: true }),
    children: fc.array(
      fc.oneof(
        { depthSize: 'small' },
        fc.record({ type: fc.constant('text' as const), value: text.filter((value) => value !== '') }),
        tie('element'),
      ),
      { maxLength: 4 },
    ) as fc.Arbitrary<ElementContent[]>,
  }),
})).element;

/** A copy with line breaks between elements that hold only elements. */
function indented(node: Element, depth: number): Element {
  const inner = node.children;
  if (inner.length === 0 || inner.some((child) => child.type !== 'element')) return node;
  const pad = (n: number) => ({ type: 'text' as const, value: `\n${' '.repeat(n)}` });
  const children = inner.flatMap((child) => [pad(depth + 1), indented(child as Element, depth + 1)]);
  return { ...node, children: [...children, pad(depth)] };
}

describe('XML text', () => {
  it('is what a general serializer writes, with and without lines', () => {
    const options = { closeEmptyElements: true, tightClose: true };
    fc.assert(
      fc.property(tree, (element) => {
        expect(xmlText(element, false)).toBe(toXml(element, options));
        expect(xmlText(element, true)).toBe(toXml(indented(element, 0), options));
      }),
      { numRuns: 500, seed: 31 },
    );
  });
});
