/**
 * Fetches one package of the Pyodide distribution from where its releases are published, into a folder.
 *
 *     node fetch_release.mjs PACKAGE FOLDER
 *
 * Pyodide knows the address and checks the hash. The process ends with 1 if the package could not be had.
 */

import { existsSync } from "node:fs";
import { join } from "node:path";

import { loadPyodide } from "pyodide";

const [name, folder] = process.argv.slice(2);
const pyodide = await loadPyodide({ packageCacheDir: folder });
await pyodide.loadPackage(name, { messageCallback: () => {}, errorCallback: console.error });
const file = pyodide.lockfile.packages[name].file_name;
process.exit(existsSync(join(folder, file)) ? 0 : 1);
