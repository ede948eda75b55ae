/**
 * The worker that runs Python. Only strings cross, JSON text in and JSON text out, and the bytes of sounds.
 *
 * @typedef {import("./protocol.js").ToWorker} ToWorker
 * @typedef {import("./protocol.js").FromWorker} FromWorker
 * @typedef {import("./protocol.js").Urls} Urls
 * @typedef {{ run_json(form: string, texts: string): string,
 *     cells_json(form: string, field: string, text: string): string,
 *     sound_json(form: string, texts: string, key: string): string,
 *     samples(key: string): { getBuffer(type: "u8"): { data: Uint8Array<ArrayBuffer>, release(): void }, destroy(): void } }} Bridge
 */

/** The smallest module there is: a policy that forbids WebAssembly refuses this one too, at once and with an error. */
const EMPTY_MODULE = Uint8Array.of(0, 0x61, 0x73, 0x6d, 1, 0, 0, 0);

/** What to say while fewer than so many files with such an ending are here. */
const PARTS = [
  { ends: ".asm.wasm", files: 1, text: "Fetching Python…" },
  { ends: "stdlib.zip", files: 1, text: "Fetching Python’s library…" },
  { ends: ".whl", files: 2, text: "Fetching numpy and the calculations…" },
];
const PARTS_IN_ALL = 7;

/** @type {Bridge | undefined} */
let bridge;

/** @param {FromWorker} message */
function tell(message) {
  self.postMessage(message);
}

/** Tells the page of each file that has arrived, and what is still on its way. */
function watchFetches() {
  /** @type {Set<string>} */
  const arrived = new Set();
  const observer = new PerformanceObserver((list) => {
    for (const entry of list.getEntries()) arrived.add(entry.name);
    const missing = PARTS.find((part) => [...arrived].filter((name) => name.endsWith(part.ends)).length < part.files);
    tell({
      kind: "progress",
      stage: missing ? "fetching" : "starting",
      text: missing ? missing.text : "Starting Python…",
      fraction: Math.min(arrived.size / PARTS_IN_ALL, 1),
    });
  });
  observer.observe({ type: "resource", buffered: true });
  return observer;
}

/**
 * Rejects, naming the file, as soon as one cannot be had: left to itself, Python would go on waiting for some of them.
 *
 * @returns {Promise<never>}
 */
function missingFile() {
  const plainFetch = self.fetch;
  return new Promise((_, reject) => {
    self.fetch = async (request, options) => {
      const name = new URL(request instanceof Request ? request.url : request, location.href).pathname.split("/").at(-1);
      const missing = new Error(`a part of Python, the file ${name}, could not be fetched`);
      try {
        const response = await plainFetch(request, options);
        if (!response.ok) reject(missing);
        return response;
      } catch (error) {
        reject(missing);
        throw error;
      }
    };
  });
}

/** @param {Urls} urls */
async function start(urls) {
  if (typeof WebAssembly === "undefined") {
    throw new Error("this browser has no WebAssembly, in which Python runs here");
  }
  try {
    new WebAssembly.Module(EMPTY_MODULE);
  } catch {
    throw new Error("a security policy of this site or browser does not let WebAssembly run");
  }
  tell({ kind: "progress", stage: "fetching", text: "Fetching Python…", fraction: 0 });
  const fetches = watchFetches();
  const missing = missingFile();
  const python = await Promise.race([missing, load(urls)]);
  fetches.disconnect();
  tell({ kind: "progress", stage: "starting", text: "Starting the calculations…", fraction: 1 });
  try {
    bridge = /** @type {Bridge} */ (python.pyimport("calc.bridge"));
  } catch (error) {
    console.warn(error);
    throw new Error("the calculations did not start");
  }
  tell({ kind: "ready", versions: { pyodide: python.version } });
}

/** @param {Urls} urls */
async function load(urls) {
  let module;
  try {
    module = await import(urls.python);
  } catch {
    throw new Error("a part of Python, the file pyodide.mjs, could not be fetched");
  }
  try {
    return await module.loadPyodide({ lockFileURL: urls.lock, packages: ["calc"] });
  } catch (error) {
    console.warn(error);
    throw new Error("Python did not start");
  }
}

/**
 * @param {Exclude<ToWorker, { kind: "samples" }>} message
 * @param {Bridge} calc
 * @returns {string}
 */
function answer(message, calc) {
  switch (message.kind) {
    case "run":
      return calc.run_json(message.form, JSON.stringify(message.texts));
    case "cells":
      return calc.cells_json(message.form, message.field, message.text);
    case "sound":
      return calc.sound_json(message.form, JSON.stringify(message.texts), message.key);
    case "start":
      throw new Error("already started");
  }
}

/**
 * A copy of what Python holds, to be handed over.
 *
 * @param {string} key
 * @param {Bridge} calc
 */
function samples(key, calc) {
  const bytes = calc.samples(key);
  const view = bytes.getBuffer("u8");
  try {
    return view.data.slice().buffer;
  } finally {
    view.release();
    bytes.destroy();
  }
}

self.addEventListener("message", async (/** @type {MessageEvent<ToWorker>} */ event) => {
  const message = event.data;
  if (message.kind === "start") {
    try {
      await start(message.urls);
    } catch (error) {
      tell({ kind: "failed", id: null, message: error instanceof Error ? error.message : String(error) });
    }
    return;
  }
  try {
    if (!bridge) throw new Error("not started");
    if (message.kind === "samples") {
      const found = samples(message.key, bridge);
      self.postMessage({ kind: "samples", id: message.id, samples: found }, { transfer: [found] });
    } else tell({ kind: "result", id: message.id, json: answer(message, bridge) });
  } catch (error) {
    console.warn(error);
    tell({ kind: "failed", id: message.id, message: "the calculation itself failed, which is a fault of this site" });
  }
});

export {};
