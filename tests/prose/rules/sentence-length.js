/** Sentences that can be read aloud in one breath. */

const MOST_WORDS = 36;

export default function ({ Syntax, RuleError, getSource, report }) {
  return {
    [Syntax.Paragraph](node) {
      const text = getSource(node);
      for (const sentence of text.split(/(?<=[.!?…:;][)”’"*_]*)\s+/u)) {
        const count = sentence.trim().split(/\s+/u).length;
        if (count > MOST_WORDS) {
          report(node, new RuleError(`A sentence of ${count} words: “${sentence.trim().slice(0, 60)}…”. The most is ${MOST_WORDS}.`));
        }
      }
    },
  };
}
