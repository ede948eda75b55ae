/**
 * Compiles Python source to byte code inside the very Python that will run it.
 *
 *     node compile.mjs FOLDER LEVEL LINES [PLACE]
 *
 * FOLDER is laid out like PLACE, which is site-packages if it is not given. Each .py in it is replaced by a .pyc of the same
 * name. LEVEL is Python's own: 0 keeps docstrings, 2 drops them. LINES is "lines", or "no-lines" to leave out the tables of
 * line numbers, a quarter of what byte code weighs; a traceback then names functions alone. The byte code is marked as not
 * to be compared with its source, so the same source is the same file.
 */

import { loadPyodide } from "pyodide";

const [folder, level, lines, place = ""] = process.argv.slice(2);
try {
  const pyodide = await loadPyodide();
  pyodide.mountNodeFS("/source", folder);
  const count = pyodide.runPython(`
import importlib.util, pathlib, sys, sysconfig, types
from importlib._bootstrap_external import _code_to_hash_pyc

def without_lines(code):
    constants = [without_lines(each) if isinstance(each, types.CodeType) else each for each in code.co_consts]
    whole, rest = divmod(len(code.co_code) // 2, 8)
    unknown = bytes([0xFF] * whole + [0xF8 + rest - 1] * (rest > 0))  # "no line", eight instructions at a time
    return code.replace(co_linetable=unknown, co_consts=tuple(constants))

root = pathlib.Path("/source")
place = pathlib.Path(${JSON.stringify(place)} or sysconfig.get_path("purelib"))
sources = sorted(root.rglob("*.py"))
for source in sources:
    text = source.read_bytes()
    code = compile(text, str(place / source.relative_to(root)), "exec", dont_inherit=True, optimize=${Number(level)})
    if ${lines === "no-lines" ? "True" : "False"}:
        code = without_lines(code)
    byte_code = _code_to_hash_pyc(code, importlib.util.source_hash(text), checked=False)
    source.with_suffix(".pyc").write_bytes(byte_code)
    source.unlink()
len(sources)
`);
  console.log(`  ${count} modules compiled for Python ${pyodide.runPython("sys.version.split()[0]")}`);
} catch (error) {
  // Left uncaught, Node would print the source line at fault, which is a megabyte long.
  console.error(error.message);
  process.exitCode = 1;
}
