/**
 * Makes of scripts' functions such as can stand in a table of WebAssembly's: all in one small module. Emscripten makes a module for
 * each, which takes ten times as long.
 */

const MAGIC = [0, 0x61, 0x73, 0x6d, 1, 0, 0, 0];
const [TYPES, IMPORTS, EXPORTS] = [1, 2, 7];
const FUNCTION = 0;
const FUNCTION_TYPE = 0x60;
/** A value's type by its letter in a signature as Emscripten writes it; `v` is none. @type {Record<string, number>} */
const VALUES = { i: 0x7f, p: 0x7f, j: 0x7e, f: 0x7d, d: 0x7c, e: 0x6f };

/** A number as WebAssembly writes it, seven bits a byte. @param {number} value @returns {number[]} */
const number = (value) => (value < 128 ? [value] : [(value % 128) | 128, ...number(value >> 7)]);
/** @param {number[][]} entries */
const list = (entries) => [...number(entries.length), ...entries.flat()];
/** @param {number} id @param {number[][]} entries */
const section = (id, entries) => {
  const content = list(entries);
  return [id, ...number(content.length), ...content];
};
/** @param {string} letters */
const values = (letters) => list(Array.from(letters.replace("v", ""), (letter) => [VALUES[letter]]));
/** @param {number} index */
const name = (index) => list(Array.from(String(index), (digit) => [digit.charCodeAt(0)]));

/**
 * @param {(Function & { sig: string })[]} functions  `sig` is the letter of what is given back, then those of what is taken
 * @returns {Function[]} in the same order
 */
export function adapters(functions) {
  const signatures = [...new Set(functions.map(({ sig }) => sig))];
  const bytes = Uint8Array.from([
    ...MAGIC,
    ...section(TYPES, signatures.map((sig) => [FUNCTION_TYPE, ...values(sig.slice(1)), ...values(sig[0])])),
    ...section(IMPORTS, functions.map(({ sig }, index) => [0, ...name(index), FUNCTION, ...number(signatures.indexOf(sig))])),
    ...section(EXPORTS, functions.map((_, index) => [...name(index), FUNCTION, ...number(index)])),
  ]);
  const imports = Object.fromEntries(functions.map((imported, index) => [index, imported]));
  const { exports } = new WebAssembly.Instance(new WebAssembly.Module(bytes), { "": /** @type {any} */ (imports) });
  return functions.map((_, index) => /** @type {Function} */ (exports[index]));
}
