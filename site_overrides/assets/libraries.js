/**
 * Puts numpy's compiled libraries into Python's memory before Python itself starts.
 *
 * Loaded that early they get their places in memory and in the table of functions from their order alone. So a memory
 * in which they were used can be laid over another in which they were loaded in the same order: see snapshot.js.
 *
 * @typedef {{ path: string, code: Uint8Array | WebAssembly.Module }} Library  Where Python looks for it, and what it is.
 */

import { adapters } from "./adapters.js";

/** Python puts functions of its own into the table first, how many depends on the browser. They get this much room. */
const SPARE = 64;

/**
 * What makes Python's module, with the libraries loaded into it first.
 *
 * @param {(settings: any) => Promise<any>} createModule what `pyodide.asm.mjs` exports
 * @param {string[]} exports names of what the interpreter is to export, of all that it could: each costs time
 * @param {(site: string) => Promise<Library[]>} libraries gives them, in order, for the folder where packages are
 */
export function withLibraries(createModule, exports, libraries) {
  return (/** @type {any} */ settings) =>
    new Promise((resolve, reject) => {
      const instantiate = settings.instantiateWasm;
      settings.instantiateWasm = (/** @type {any} */ imports, /** @type {(instance: any, module: any) => void} */ receive) =>
        instantiate(imports, (/** @type {WebAssembly.Instance} */ instance, /** @type {WebAssembly.Module} */ module) => {
          placeScripts(instance, module, imports);
          receive({ exports: Object.fromEntries(exports.map((name) => [name, instance.exports[name]])) }, module);
        });
      settings.preRun.push(async (/** @type {any} */ module) => {
        module.addRunDependency("libraries");
        try {
          const loaded = await libraries(module.API.sitePackages);
          const length = module.wasmTable.length;
          module.wasmTable.grow(Math.ceil((length + SPARE) / SPARE) * SPARE - length);
          for (const { path, code } of loaded) {
            const how = { loadAsync: true, nodelete: true, global: false };
            const exports = await module.loadWebAssemblyModule(code, how, path, {});
            module.newDSO(path, undefined, exports).global = false;
          }
          module.removeRunDependency("libraries");
        } catch (error) {
          reject(error);
        }
      });
      createModule(settings).then(resolve, reject);
    });
}

/**
 * Gives the scripts' functions that the interpreter knows by their places such places, before Emscripten would, one by one.
 *
 * @param {WebAssembly.Instance} instance
 * @param {WebAssembly.Module} module
 * @param {Record<string, any>} imports
 */
function placeScripts({ exports }, module, imports) {
  const names = WebAssembly.Module.imports(module)
    .filter(({ module: from, name }) => from === "GOT.func" && !(name in exports) && imports.env[name]?.sig && !imports.env[name].stub)
    .map(({ name }) => name);
  const table = /** @type {WebAssembly.Table} */ (exports.__indirect_function_table);
  const first = table.grow(names.length);
  adapters(names.map((name) => imports.env[name])).forEach((adapter, index) => {
    table.set(first + index, adapter);
    imports["GOT.func"][names[index]].value = first + index;
  });
}
