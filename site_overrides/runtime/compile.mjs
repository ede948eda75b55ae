/**
 * Compiles Python source to byte code inside the very Python that will run it.
 *
 *     node compile.mjs FOLDER
 *
 * FOLDER is laid out like site-packages. Each .py in it is replaced by a .pyc of the same name. Docstrings stay (numpy needs
 * them to start), and the byte code is marked as not to be compared with its source, so the same source is the same file.
 */

import { loadPyodide } from "pyodide";

const [folder] = process.argv.slice(2);
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
        optimize=0,
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
