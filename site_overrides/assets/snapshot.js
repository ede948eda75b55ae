/**
 * Starts Python from the memory of one that has started, which an earlier visit kept: see snapshot_store.js.
 *
 * @typedef {import("./protocol.js").Urls} Urls
 * @typedef {import("./snapshot_store.js").Kept} Kept
 * @typedef {import("./snapshot_store.js").Part} Part
 * @typedef {{ pyodide: Promise<any>, interpreter: Promise<any>, code: Promise<WebAssembly.Module> }} Modules  Pyodide's own
 *     module, the one that holds the interpreter, and the interpreter's compiled code.
 */

import { withLibraries } from "./libraries.js";

/**
 * Lays the memory of a snapshot over a Python that has not yet begun. What lies between its pieces is zero, as it is already where
 * nothing has been written: beyond what has been asked for. One word stays as it is: which function calls others whose arguments may
 * not fit. Where a browser can do that within WebAssembly Python uses a function of its own making, elsewhere a script.
 *
 * @param {any} module
 * @param {Kept} kept
 */
function layOver(module, kept) {
  const trampoline = (module.__PyRuntime + module.HEAP32[module.__PyEM_EMSCRIPTEN_TRAMPOLINE_OFFSET / 4]) / 4;
  const own = module.HEAP32[trampoline];
  const written = module.HEAPU32[module._emscripten_get_sbrk_ptr() / 4];
  let end = 0;
  for (const part of kept.head.parts) {
    if (part.kind !== "memory" || part.at === undefined) continue;
    if (end < written) module.HEAPU8.fill(0, end, part.at);
    end = part.at + part.length;
    kept.readInto(part, module.HEAPU8.subarray(part.at, end));
  }
  module.HEAP32[trampoline] = own;
}

/**
 * Python as it was when the snapshot was made.
 *
 * @param {Urls} urls
 * @param {Kept} kept
 * @param {Modules} modules
 */
export async function fromSnapshot(urls, kept, { pyodide, interpreter, code }) {
  const { head } = kept;
  /** @param {Part["kind"]} kind */
  const parts = (kind) => head.parts.filter((part) => part.kind === kind);

  const libraries = Promise.all(
    parts("library").map(async (part) => ({ path: part.path, code: await WebAssembly.compile(kept.bytesOf(part)) })),
  );
  const [{ loadPyodide, version }, { default: createModule }] = await Promise.all([pyodide, interpreter]);
  if (version !== head.version) throw new Error(`the snapshot is of ${head.version}, not of ${version}`);

  const library = kept.bytesOf(parts("standard library")[0]);
  const outerFetch = self.fetch;
  self.fetch = async (request, options) => {
    if (String(request).endsWith("/python_stdlib.zip")) return new Response(library);
    // Its code is here already, below.
    return String(request).endsWith(".asm.wasm") ? new Response() : outerFetch(request, options);
  };
  const outerInstantiate = WebAssembly.instantiateStreaming;
  WebAssembly.instantiateStreaming = async (_, imports) => {
    const module = await code;
    return { module, instance: await WebAssembly.instantiate(module, imports) };
  };
  const create = withLibraries(createModule, head.exports, () => libraries);
  try {
    const starting = loadPyodide({
      lockFileURL: urls.lock,
      _loadSnapshot: kept.bytesOf(parts("notes")[0]),
      createPyodideModule: async (/** @type {any} */ settings) => {
        const module = await create(settings);
        if (module.wasmTable.length !== head.table) throw new Error("the libraries did not get the places that they had");
        if (module.HEAPU8.length < head.memory) module._emscripten_resize_heap(head.memory);
        const plainRestore = module.API.restoreSnapshot;
        module.API.restoreSnapshot = (/** @type {Uint8Array} */ notes) => {
          const state = plainRestore.call(module.API, notes); // of Pyodide's own; there is no memory with them
          layOver(module, kept);
          return state;
        };
        return module;
      },
    });
    const [python] = await Promise.all([starting, code]); // of code that is spoilt Python would say nothing, and wait
    for (const part of parts("file")) {
      python.FS.mkdirTree(part.path.slice(0, part.path.lastIndexOf("/")));
      python.FS.writeFile(part.path, kept.bytesOf(part));
    }
    return python;
  } finally {
    self.fetch = outerFetch;
    WebAssembly.instantiateStreaming = outerInstantiate;
  }
}
