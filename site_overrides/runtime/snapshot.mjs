/**
 * Makes the memory of a Python that has started, numpy and calc and all, so that a page need not start one anew.
 *
 *     node snapshot.mjs RUNTIME_FOLDER PACKAGES_FOLDER OUTPUT
 *
 * PACKAGES_FOLDER holds the unpacked wheels, laid out like site-packages. OUTPUT is what assets/snapshot.js reads: the length
 * of a head as four bytes, the head as JSON, padding to sixteen bytes, and the parts that the head lists. Parts are what
 * Pyodide notes of itself, the memory without its long runs of zeros, the libraries that were loaded into it, and the files
 * that Python may yet want to read. Every module has been imported and every form run once with its defaults, so that nothing
 * is left to be read from files that are not there.
 */

import { readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { fileURLToPath, pathToFileURL } from "node:url";

import { withLibraries } from "../assets/libraries.js";
import { neededExports } from "./exports.mjs";

const [folder, packages, output] = process.argv.slice(2);
const runtime = resolve(folder);
const assets = fileURLToPath(new URL("../assets", import.meta.url));
const ALIGNED = 16;

/** @param {string} name */
const part = (name) => import(pathToFileURL(`${runtime}/${name}`).href);

const WARM_UP = `
import gc, importlib, pkgutil
import calc, numpy
from calc import bridge
from calc.forms import FORMS

for package in (numpy, calc):
    for module in pkgutil.walk_packages(package.__path__, package.__name__ + "."):
        try:
            importlib.import_module(module.name)
        except ImportError:
            # Some modules of numpy are for parts of it that are left out: they fail in a plain start too.
            if package is calc:
                raise
# from the last form, which goes through so many sets that what is kept of others would be put out
for form in reversed(FORMS):
    bridge.run_json(form, "{}")
bridge.forget()
del module, package, form
gc.collect()
# what was freed is written over with zeros, which the snapshot leaves out; more would make the memory grow
blank = [bytes(1 << 16) for _ in range(56)]
del blank
`;

/** Memory is looked at by pieces of so many bytes: a piece of zeros is left out. */
const PIECE = 4096;

/**
 * The runs of pieces that are not all zero.
 *
 * @param {Uint8Array} memory
 * @returns {{ at: number, bytes: Uint8Array }[]}
 */
function written(memory) {
  const runs = [];
  for (let at = 0; at < memory.length; at += PIECE) {
    if (memory.subarray(at, at + PIECE).every((byte) => byte === 0)) continue;
    const last = runs.at(-1);
    if (last?.end === at) last.end += PIECE;
    else runs.push({ at, end: at + PIECE });
  }
  return runs.map(({ at, end }) => ({ at, bytes: memory.subarray(at, end) }));
}

try {
  const names = readdirSync(packages, { recursive: true }).map((name) => String(name).replaceAll("\\", "/")).sort();
  const [{ loadPyodide, version }, { default: createModule }] = await Promise.all([part("pyodide.mjs"), part("pyodide.asm.mjs")]);
  const compiled = names
    .filter((name) => name.endsWith(".so"))
    .map((name) => ({ name, code: new Uint8Array(readFileSync(join(packages, name))) }));
  const scripts = [`${runtime}/pyodide.mjs`, `${runtime}/pyodide.asm.mjs`, `${assets}/libraries.js`, `${assets}/snapshot.js`];
  const exports = neededExports(
    scripts.map((path) => readFileSync(path, "utf8")),
    new WebAssembly.Module(readFileSync(`${runtime}/pyodide.asm.wasm`)),
    compiled.map(({ code }) => new WebAssembly.Module(code)),
  );
  /** @type {{ path: string, code: Uint8Array }[]} */
  let libraries = [];
  let table = 0;
  const create = withLibraries(createModule, exports, async (site) => {
    libraries = compiled.map(({ name, code }) => ({ path: `${site}/${name}`, code }));
    return libraries;
  });
  const python = await loadPyodide({
    indexURL: `${runtime}/`,
    lockFileContents: JSON.parse(readFileSync(`${runtime}/pyodide-lock.json`, "utf8")),
    env: { PYTHONHASHSEED: "0" },
    _makeSnapshot: true,
    createPyodideModule: async (settings) => {
      const module = await create(settings);
      table = module.wasmTable.length;
      return module;
    },
  });
  const site = python.runPython("import sysconfig; sysconfig.get_path('purelib')");
  const files = names.filter((name) => /\.[^/]+$/.test(name) && !name.includes(".dist-info"));
  for (const name of files) {
    const path = `${site}/${name}`;
    python.FS.mkdirTree(path.slice(0, path.lastIndexOf("/")));
    python.FS.writeFile(path, readFileSync(join(packages, name)));
  }
  python.runPython(WARM_UP);
  const whole = python.makeMemorySnapshot();
  // Pyodide's notes of itself come first, and say where the memory begins.
  const notes = new DataView(whole.buffer, whole.byteOffset).getUint32(4, true);

  const parts = [
    { kind: "notes", path: "", bytes: whole.subarray(0, notes) },
    ...written(whole.subarray(notes)).map(({ at, bytes }) => ({ kind: "memory", path: "", at, bytes })),
    { kind: "standard library", path: "", bytes: readFileSync(`${runtime}/python_stdlib.zip`) },
    ...libraries.map(({ path, code }) => ({ kind: "library", path, bytes: code })),
    ...files.filter((name) => !/\.(pyc|so)$/.test(name)).map((name) => (
      { kind: "file", path: `${site}/${name}`, bytes: readFileSync(join(packages, name)) }
    )),
  ];
  let offset = 0;
  const listed = parts.map(({ kind, path, at, bytes }) => {
    const entry = { kind, path, at, offset, length: bytes.length };
    offset += Math.ceil(bytes.length / ALIGNED) * ALIGNED;
    return entry;
  });
  const content = new Uint8Array(offset);
  parts.forEach(({ bytes }, index) => content.set(bytes, listed[index].offset));
  const head = new TextEncoder().encode(
    JSON.stringify({ version, memory: python._module.HEAPU8.length, table, exports, length: offset, parts: listed }),
  );
  const begin = Math.ceil((4 + head.length) / ALIGNED) * ALIGNED;
  const made = new Uint8Array(begin + offset);
  new DataView(made.buffer).setUint32(0, head.length, true);
  made.set(head, 4);
  made.set(content, begin);
  writeFileSync(output, made);
} catch (error) {
  // Left uncaught, Node would print the source line at fault, which is a megabyte long.
  console.error(String(error.stack ?? error).slice(-2000));
  process.exitCode = 1;
}
