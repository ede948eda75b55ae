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

/** The status by which service_worker.js says that the server has a file of another version only; and what is said then. */
const OTHER_VERSION = 409;
const DIFFERENT = "this page and the Python on the server are of different versions, so take the new version once it is offered";

/** What could not be fetched, or read: of what is kept that says nothing. */
class Unfetched extends Error {}

/** As it is before anything watches it. */
const plainFetch = self.fetch.bind(self);

/** @param {Error} error @returns {never} */
const unfetched = (error) => {
  throw new Unfetched(error.message);
};

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
 * Whether a file that could not be had is one that the server has of another version. Of a module, and of a file whose hash is looked
 * at, the browser tells nothing but the failure: so it is asked for again.
 *
 * @param {string} url
 */
async function isOfOtherVersion(url) {
  const answer = await plainFetch(url).catch(() => undefined);
  return answer?.status === OTHER_VERSION;
}

/**
 * Rejects, naming the file, as soon as one cannot be had: left to itself, Python would go on waiting for some of them.
 *
 * @returns {Promise<never>}
 */
function missingFile() {
  return new Promise((_, reject) => {
    self.fetch = async (request, options) => {
      const url = new URL(request instanceof Request ? request.url : request, location.href);
      /** @param {boolean} different */
      const refuse = (different) => {
        const name = url.pathname.split("/").at(-1);
        reject(new Unfetched(different ? DIFFERENT : `a part of Python, the file ${name}, could not be fetched`));
      };
      try {
        const response = await plainFetch(request, options);
        if (!response.ok) refuse(response.status === OTHER_VERSION);
        return response;
      } catch (error) {
        refuse(await isOfOtherVersion(url.href));
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
  const pyodide = Promise.race([missing, pyodideModule(urls).catch(unfetched)]);
  pyodide.catch(() => {}); // it is waited for below
  if (kept) {
    try {
      const python = await Promise.race([missing, asKept(urls, kept, pyodide)]);
      if (python) return { python, how: "snapshot" };
      await forgetSnapshot();
    } catch (error) {
      console.info("Python starts plainly: its snapshot could not be used.", error);
      if (!(error instanceof Unfetched)) await forgetSnapshot();
    }
  }
  const fetches = watchFetches(tell);
  const python = await Promise.race([missing, pyodide.then((module) => plain(urls, module))]).catch((error) => explain(urls, error));
  fetches.disconnect();
  tell({ kind: "progress", stage: "starting", text: "Starting the calculations…", fraction: 1 });
  return { python, how: "plain" };
}

/**
 * Rejects with the reason of a start that failed.
 *
 * @param {Urls} urls
 * @param {Error} error
 * @returns {Promise<never>}
 */
async function explain({ python, interpreter }, error) {
  const different = await Promise.all([python, interpreter].map(isOfOtherVersion));
  throw different.includes(true) ? new Error(DIFFERENT) : error;
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
    const interpreter = import(urls.interpreter).catch(unfetched);
    const code = WebAssembly.compile(kept.code());
    for (const part of [interpreter, code]) part.catch(() => {}); // they may not be waited for
    return (await kept.isOf(urls).catch(unfetched)) ? await fromSnapshot(urls, kept, { pyodide, interpreter, code }) : undefined;
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
