/**
 * Starts Python in the worker: from the snapshot that an earlier visit kept, or plainly.
 *
 * @typedef {import("./protocol.js").FromWorker} FromWorker
 * @typedef {import("./protocol.js").Urls} Urls
 * @typedef {import("./snapshot_store.js").Kept} Kept
 * @typedef {(message: FromWorker) => void} Tell
 */

import { pyodideModule, settings } from "./pyodide_modules.js";
import { fromSnapshot } from "./snapshot.js";
import { forgetSnapshot } from "./snapshot_store.js";

/** The smallest module there is: a policy that forbids WebAssembly refuses this one too, at once and with an error. */
const EMPTY_MODULE = Uint8Array.of(0, 0x61, 0x73, 0x6d, 1, 0, 0, 0);

/** What to say while fewer than so many files with such an ending are here. */
const PARTS = [
  { ends: ".asm.wasm", files: 1, text: "Fetching Python…" },
  { ends: "stdlib.zip", files: 1, text: "Fetching Python’s library…" },
  { ends: ".whl", files: 2, text: "Fetching numpy and the calculations…" },
];
const PARTS_IN_ALL = 7;

/**
 * Tells the page of each file that has arrived, and what is still on its way.
 *
 * @param {Tell} tell
 */
function watchFetches(tell) {
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

/**
 * Rejects as soon as WebAssembly cannot be read, as when a file is cut short or is something else: Python would go on waiting.
 *
 * @returns {Promise<never>}
 */
function spoiltCode() {
  return new Promise((_, reject) => {
    for (const name of /** @type {const} */ (["instantiate", "instantiateStreaming"])) {
      const plain = /** @type {any} */ (WebAssembly[name]).bind(WebAssembly);
      WebAssembly[name] = async (/** @type {any[]} */ ...all) => {
        try {
          return await plain(...all);
        } catch (error) {
          if (error instanceof WebAssembly.CompileError) reject(new Error("a part of Python is not whole, or of another version"));
          throw error;
        }
      };
    }
  });
}

/**
 * @param {Urls} urls
 * @param {Tell} tell
 * @param {Kept | undefined} kept  closed afterwards
 * @returns {Promise<{ python: any, how: "snapshot" | "plain" }>}
 */
export async function startPython(urls, tell, kept) {
  if (typeof WebAssembly === "undefined") {
    throw new Error("this browser has no WebAssembly, in which Python runs here");
  }
  try {
    new WebAssembly.Module(EMPTY_MODULE);
  } catch {
    throw new Error("a security policy of this site or browser does not let WebAssembly run");
  }
  tell({ kind: "progress", stage: "fetching", text: "Fetching Python…", fraction: 0 });
  const missing = Promise.race([missingFile(), spoiltCode()]);
  missing.catch(() => {}); // it is waited for below
  const pyodide = Promise.race([missing, pyodideModule(urls)]);
  pyodide.catch(() => {}); // it is waited for below
  if (kept) {
    try {
      const python = await Promise.race([missing, asKept(urls, kept, pyodide)]);
      if (python) return { python, how: "snapshot" };
    } catch (error) {
      console.info("Python starts plainly: its snapshot could not be used.", error);
    }
    await forgetSnapshot();
  }
  const fetches = watchFetches(tell);
  const python = await Promise.race([missing, plain(urls, await pyodide)]);
  fetches.disconnect();
  tell({ kind: "progress", stage: "starting", text: "Starting the calculations…", fraction: 1 });
  return { python, how: "plain" };
}

/**
 * Python as an earlier visit kept it, and undefined if that is of another build.
 *
 * @param {Urls} urls
 * @param {Kept} kept
 * @param {Promise<any>} pyodide
 */
async function asKept(urls, kept, pyodide) {
  try {
    const interpreter = import(urls.interpreter);
    const code = WebAssembly.compile(kept.code());
    for (const part of [interpreter, code]) part.catch(() => {}); // they may not be waited for
    return (await kept.isOf(urls)) ? await fromSnapshot(urls, kept, { pyodide, interpreter, code }) : undefined;
  } finally {
    kept.close();
  }
}

/**
 * @param {Urls} urls
 * @param {any} pyodide
 */
async function plain(urls, pyodide) {
  try {
    return await pyodide.loadPyodide({ lockFileURL: urls.lock, packages: ["calc"], ...settings });
  } catch (error) {
    console.warn(error);
    throw new Error("Python did not start");
  }
}
