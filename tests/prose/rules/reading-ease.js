/** Flesch's reading ease of a page, 206.835 - 1.015 words a sentence - 84.6 syllables a word (R. Flesch, 1948). */

import { syllable } from "syllable";

const LEAST = 60;
const FEWEST_WORDS = 100;

/** @param {string} text */
const sentences = (text) => text.split(/(?<=[.!?…][)”’"*_]*)\s+|:\s+(?=[A-Z])|;\s+/u).filter((part) => /\p{L}/u.test(part));

/** @param {string} text */
const words = (text) => text.match(/[\p{L}\p{N}][\p{L}\p{N}'’.,-]*/gu) ?? [];

/** A figure and a symbol count as one syllable; read aloud they vary, and are not what makes a page hard. */
const syllables = (word) => (/^\p{L}{2,}/u.test(word) ? Math.max(1, syllable(word)) : 1);

export default function ({ Syntax, RuleError, getSource, report }) {
  const texts = [];
  return {
    [Syntax.Paragraph](node) {
      texts.push(getSource(node).replace(/\s+/gu, " "));
    },
    [Syntax.DocumentExit](node) {
      const said = texts.flatMap(sentences);
      const spoken = said.flatMap(words);
      if (spoken.length < FEWEST_WORDS) return;
      const weight = spoken.reduce((sum, word) => sum + syllables(word), 0);
      const ease = 206.835 - (1.015 * spoken.length) / said.length - (84.6 * weight) / spoken.length;
      if (ease < LEAST) report(node, new RuleError(`Reading ease ${ease.toFixed(1)}; it must be ${LEAST} or more.`));
    },
  };
}
