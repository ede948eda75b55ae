/**
 * Starts the made runtime under Node, as the browser will: by its own lock, with nothing to fetch.
 *
 *     node run.mjs RUNTIME_FOLDER PYTHON
 *
 * Prints the value of the last line of PYTHON, and to the error stream how long the start took.
 */

import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [folder, python] = process.argv.slice(2);
const runtime = resolve(folder);
const { loadPyodide } = await import(pathToFileURL(`${runtime}/pyodide.mjs`).href);
try {
  const started = performance.now();
  const pyodide = await loadPyodide({
    indexURL: `${runtime}/`,
    lockFileURL: `${runtime}/pyodide-lock.json`,
    packages: ["calc"],
  });
  console.error(`started in ${Math.round(performance.now() - started)} ms`);
  console.log(pyodide.runPython(python));
} catch (error) {
  // Left uncaught, Node would print the source line at fault, which is a megabyte long.
  console.error(error.message);
  process.exitCode = 1;
}
