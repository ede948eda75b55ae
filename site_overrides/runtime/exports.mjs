/**
 * Which of the interpreter's exports are needed by a Python whose libraries are known.
 *
 * Pyodide exports all that a library might ask for, some eight thousand functions, and gives each a place of its own at every
 * start, which takes as long as starting from a snapshot may. Where no library can come, a few hundred do. What is not a function is needed always, if only to be looked at.
 */

/** How often the script that makes the interpreter names any export: where it is declared, and twice where it is set. */
const NAMED_ANYWAY = 3;
const GOT = /^GOT\./;

/**
 * @param {string[]} scripts  those that use the interpreter
 * @param {WebAssembly.Module} interpreter
 * @param {WebAssembly.Module[]} libraries
 * @returns {string[]} in the interpreter's own order
 */
export function neededExports(scripts, interpreter, libraries) {
  /** @type {Map<string, number>} */
  const counts = new Map();
  for (const [word] of scripts.join("\n").matchAll(/[\p{ID_Start}$_][\p{ID_Continue}$]*/gu)) counts.set(word, (counts.get(word) ?? 0) + 1);
  const asked = new Set([
    ...WebAssembly.Module.imports(interpreter).filter(({ module }) => GOT.test(module)),
    ...libraries.flatMap((library) => WebAssembly.Module.imports(library)),
  ].map(({ name }) => name));
  const used = (/** @type {string} */ name) =>
    asked.has(name) || (counts.get(`_${name}`) ?? 0) > NAMED_ANYWAY || (counts.get(name) ?? 0) > 1;
  return WebAssembly.Module.exports(interpreter).filter(({ name, kind }) => kind !== "function" || used(name)).map(({ name }) => name);
}
