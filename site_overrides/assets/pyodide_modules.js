/**
 * Where Pyodide's own module comes from. The folder edition has another file in this place.
 */

/** What `loadPyodide` is told besides. @type {Record<string, unknown>} */
export const settings = {};

/** @param {import("./protocol.js").Urls} urls */
export async function pyodideModule(urls) {
  try {
    return await import(urls.python);
  } catch {
    throw new Error("a part of Python, the file pyodide.mjs, could not be fetched");
  }
}
