/**
 * Where the library comes from that makes the browser's database a matter of promises; fetched only when the logbook is wanted. The
 * folder edition has another file in this place.
 *
 * @returns {Promise<typeof import("idb")>}
 */
export function databaseLibrary() {
  return import(new URL("vendor/idb.js", import.meta.url).href);
}
