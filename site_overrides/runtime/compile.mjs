/**
 * Compiles Python source to byte code inside the very Python that will run it.
 *
 *     node compile.mjs FOLDER LEVEL
 *
 * FOLDER is laid out like site-packages. Each .py in it is replaced by a .pyc of the same name. LEVEL is
 * Python's own: 0 keeps docstrings, 2 drops them. The byte code is marked as not to be compared with its source, so the
 * same source is the same file.
 */

import { loadPyodide } from "pyodide";

const [folder, level] = process.argv.slice(2);
try {
  const pyodide = await loadPyodide();
  pyodide.mountNodeFS("/source", folder);
  const count = pyodide.runPython(`
import pathlib, py_compile, sys, sysconfig

root = pathlib.Path("/source")
site_packages = pathlib.Path(sysconfig.get_path("purelib"))
sources = sorted(root.rglob("*.py"))
for source in sources:
    py_compile.compile(
        str(source),
        cfile=str(source.with_suffix(".pyc")),
        dfile=str(site_packages / source.relative_to(root)),
        doraise=True,
        optimize=${Number(level)},
        invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH,
    )
    source.unlink()
len(sources)
`);
  console.log(`  ${count} modules compiled for Python ${pyodide.runPython("sys.version.split()[0]")}`);
} catch (error) {
  // Left uncaught, Node would print the source line at fault, which is a megabyte long.
  console.error(error.message);
  process.exitCode = 1;
}
