/**
 * In place of assets/pyodide_modules.js: nothing can be imported from a folder, so Pyodide's modules are part of the script.
 */

// @ts-ignore: made by the build
import createPyodideModule from "../../.build/runtime/pyodide.asm.mjs";
// @ts-ignore: made by the build
import * as pyodide from "../../.build/runtime/pyodide.mjs";

/** Its files have names only; memory answers for them. */
export const settings = { createPyodideModule, indexURL: "file:///runtime/" };

export async function pyodideModule() {
  return pyodide;
}
