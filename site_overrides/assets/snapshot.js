/**
 * The memory of a Python that has started, kept from one visit to the next, so that the next need not start one.
 *
 * The first visit starts Python plainly. When it has nothing more to do it fetches the snapshot, once, into this site's Cache
 * Storage. A later visit takes it from there, if it is the very one that the site's manifest names by its sha256. Whatever
 * is amiss, the plain start is there.
 *
 * @typedef {import("./protocol.js").Urls} Urls
 * @typedef {{ file: string, bytes: number, sha256: string }} Named  What the manifest says of the snapshot.
 * @typedef {{ kind: "notes" | "memory" | "standard library" | "library" | "file", path: string, at?: number, offset: number,
 *     length: number }} Part  `at` is the place of a piece of memory.
 * @typedef {{ version: string, memory: number, table: number, sum: number, parts: Part[] }} Head
 * @typedef {{ head: Head, bytesOf: (part: Part) => Uint8Array<ArrayBuffer> }} Kept
 * @typedef {{ pyodide: Promise<any>, interpreter: Promise<any>, code: Promise<WebAssembly.Module> }} Modules  Pyodide's own
 *     module, the one that holds the interpreter, and the interpreter's compiled code.
 */

import { withLibraries } from "./libraries.js";
import { wordSum } from "./word_sum.js";

const CACHE = "python-snapshot";
const ALIGNED = 16;

/** Held here, since starting Python watches `fetch` for missing files: none of these is one. */
const plainFetch = self.fetch.bind(self);

/** Whether this browser, and this address, let a snapshot be kept, checked and unpacked. */
function possible() {
  return typeof caches !== "undefined" && typeof DecompressionStream !== "undefined" && Boolean(globalThis.crypto?.subtle);
}

/** Whether the reader pays for what is fetched, or has asked for less. */
function metered() {
  const connection = /** @type {any} */ (navigator).connection;
  return Boolean(connection?.saveData || connection?.type === "cellular" || /2g$/.test(connection?.effectiveType ?? ""));
}

/**
 * @param {Urls} urls
 * @returns {Promise<Named | undefined>}
 */
async function named(urls) {
  const response = await plainFetch(urls.manifest);
  return response.ok ? (await response.json()).snapshot : undefined;
}

/**
 * @param {BufferSource} bytes
 * @param {string} sha256
 */
async function isWhole(bytes, sha256) {
  const digest = new Uint8Array(await crypto.subtle.digest("SHA-256", bytes));
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, "0")).join("") === sha256;
}

/**
 * Where it is kept: an address of its own for each content.
 *
 * @param {Urls} urls
 * @param {Named} found
 */
function addressOf(urls, found) {
  return new URL(`${found.file}?sha256=${found.sha256}`, urls.manifest).href;
}

/** Whether an earlier visit kept a snapshot; it may yet turn out to be of another build, or spoilt. */
export async function isKept() {
  try {
    return possible() && (await caches.has(CACHE));
  } catch {
    return false;
  }
}

/**
 * The bytes of a response. A reader that fills a buffer of ours takes half as long as the browser's own gathering.
 *
 * @param {Response} response
 */
async function bytesOfResponse(response) {
  const length = Number(response.headers.get("content-length"));
  const reader = length ? filler(response) : undefined;
  if (!reader) return response.arrayBuffer();
  let buffer = new ArrayBuffer(length);
  for (let filled = 0; filled < length; ) {
    const { value, done } = await reader.read(new Uint8Array(buffer, filled));
    if (done || !value) throw new Error("it is cut short");
    buffer = value.buffer;
    filled += value.byteLength;
  }
  return buffer;
}

/**
 * A reader into a buffer of ours, where the browser has such readers.
 *
 * @param {Response} response
 */
function filler(response) {
  try {
    return response.body?.getReader({ mode: "byob" });
  } catch {
    return undefined;
  }
}

/**
 * Takes a snapshot apart, and sees whether it is whole.
 *
 * @param {ArrayBuffer} snapshot
 * @returns {Kept}
 */
function taken(snapshot) {
  const length = new DataView(snapshot).getUint32(0, true);
  /** @type {Head} */
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(snapshot, 4, length)));
  const begin = Math.ceil((4 + length) / ALIGNED) * ALIGNED;
  if (wordSum(new Uint8Array(snapshot, begin)) !== head.sum) throw new Error("it is not whole");
  return { head, bytesOf: (part) => new Uint8Array(snapshot, begin + part.offset, part.length) };
}

/**
 * The kept snapshot, if it is of this build.
 *
 * @param {Urls} urls
 * @returns {Promise<Kept | undefined>}
 */
export async function keptSnapshot(urls) {
  try {
    const awaited = named(urls);
    awaited.catch(() => {}); // it is waited for below
    const cache = await caches.open(CACHE);
    const [request] = await cache.keys();
    const response = request && (await cache.match(request));
    const bytes = response && (await bytesOfResponse(response));
    const found = await awaited;
    if (!found) return undefined;
    if (bytes && request.url === addressOf(urls, found)) return taken(bytes);
  } catch (error) {
    console.info("The kept snapshot of Python cannot be used.", error);
  }
  await forgetSnapshot();
  return undefined;
}

/** Throws away what is kept. */
export async function forgetSnapshot() {
  await caches.delete(CACHE).catch(() => false);
}

/**
 * Fetches the snapshot and keeps it for the next visit, unless it is there, cannot be used here, or costs the reader money.
 *
 * @param {Urls} urls
 */
export async function keepSnapshot(urls) {
  if (!possible() || metered()) return;
  try {
    const found = await named(urls);
    if (!found) return;
    const cache = await caches.open(CACHE);
    const address = addressOf(urls, found);
    if (await cache.match(address)) return;
    const response = await plainFetch(new URL(found.file, urls.manifest));
    if (!response.ok || !response.body) return;
    const bytes = await new Response(response.body.pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
    if (!(await isWhole(bytes, found.sha256))) return;
    for (const old of await cache.keys()) await cache.delete(old);
    await cache.put(address, new Response(bytes, { headers: { "content-length": String(bytes.byteLength) } }));
  } catch (error) {
    console.info("No snapshot of Python is kept.", error);
  }
}

/**
 * Lays the memory of a snapshot over a Python that has not yet begun. What lies between its pieces is zero. One word stays as
 * it is: which function calls others whose arguments may not fit. Where a browser can do that within WebAssembly Python uses a
 * function of its own making, elsewhere a script.
 *
 * @param {any} module
 * @param {Kept} kept
 */
function layOver(module, { head, bytesOf }) {
  const trampoline = (module.__PyRuntime + module.HEAP32[module.__PyEM_EMSCRIPTEN_TRAMPOLINE_OFFSET / 4]) / 4;
  const own = module.HEAP32[trampoline];
  let end = 0;
  for (const part of head.parts) {
    if (part.kind !== "memory" || part.at === undefined) continue;
    module.HEAPU8.fill(0, end, part.at);
    module.HEAPU8.set(bytesOf(part), part.at);
    end = part.at + part.length;
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
  const { head, bytesOf } = kept;
  /** @param {Part["kind"]} kind */
  const parts = (kind) => head.parts.filter((part) => part.kind === kind);

  const libraries = Promise.all(
    parts("library").map(async (part) => ({ path: part.path, code: await WebAssembly.compile(bytesOf(part)) })),
  );
  const [{ loadPyodide, version }, { default: createModule }] = await Promise.all([pyodide, interpreter]);
  if (version !== head.version) throw new Error(`the snapshot is of ${head.version}, not of ${version}`);

  const library = bytesOf(parts("standard library")[0]);
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
  const create = withLibraries(createModule, () => libraries);
  try {
    const python = await loadPyodide({
      lockFileURL: urls.lock,
      _loadSnapshot: bytesOf(parts("notes")[0]),
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
    for (const part of parts("file")) {
      python.FS.mkdirTree(part.path.slice(0, part.path.lastIndexOf("/")));
      python.FS.writeFile(part.path, bytesOf(part));
    }
    return python;
  } finally {
    self.fetch = outerFetch;
    WebAssembly.instantiateStreaming = outerInstantiate;
  }
}
