/** Words that are not used here, each with what is written instead: British spelling, and no filler. */

const WORDS = [
  // British spelling.
  [/\b(?:col|fav|flav|behavi|neighb|harb|lab|rum)or(?:s|ed|ing|hood)?\b/giu, "British spelling: -our"],
  [/\b(?:cent|fib|theat|lit|sab)er(?:s|ed)?\b/giu, "British spelling: -re"],
  [/\b(?:centi|milli|kilo)meters?\b/giu, "British spelling: -metre"],
  [/\b(?:aluminum|gray|plow|mold|catalog|analog|dialog|tire|skeptical|sulfur|airplane)s?\b/giu, "British spelling"],
  [/\b(?:travel|label|cancel|model|signal|level|tunnel)(?:ed|ing)\b/giu, "British spelling doubles the l"],
  [/\b(?:analyz|paralyz|catalyz)(?:e|es|ed|ing)\b/giu, "British spelling: -yse"],
  [/\b\p{L}{3,}(?:ization|izing|ized|izes|ize)\b/giu, "here words end in -ise"],
  [/\b(?:defense|offense|pretense|license plate)\b/giu, "British spelling: -ce"],
  [/\b(?:antenna|antennas|antennae)\b/giu, "aerial"],
  [/\bground (?:connection|rod|stake)s?\b/giu, "earth"],
  // Filler, and words that sell.
  [/\b(?:very|really|quite|basically|essentially|actually|literally|obviously|clearly|needless to say|of course)\b/giu, "say it without"],
  [/\b(?:in order to)\b/giu, "to"],
  [/\b(?:utili[sz]e[sd]?|utili[sz]ing|leverag(?:e|es|ed|ing))\b/giu, "use"],
  [/\b(?:note that|please note|it is important to|it should be noted|keep in mind that)\b/giu, "say it at once"],
  [/\b(?:delve|seamless|seamlessly|robust|comprehensive|cutting-edge|state-of-the-art|game-changer|powerful|intuitive)\b/giu, "say what it does"],
  [/\b(?:due to the fact that|in the event that|at this point in time|a number of|the majority of)\b/giu, "because, if, now, some, most"],
];

const ALLOWED = /^(?:size|prize|seize|capsize|sized|sizes|resize|resized|oversized)$/iu;

export default function ({ Syntax, RuleError, getSource, locator, report }) {
  return {
    [Syntax.Str](node) {
      if (node.parent?.type === Syntax.Emphasis) return; // titles of books stand in italics, as they are spelt
      const text = getSource(node);
      for (const [pattern, instead] of WORDS) {
        for (const found of text.matchAll(pattern)) {
          if (ALLOWED.test(found[0])) continue;
          const range = [found.index, found.index + found[0].length];
          report(node, new RuleError(`“${found[0]}”: ${instead}.`, { padding: locator.range(range) }));
        }
      }
    },
  };
}
