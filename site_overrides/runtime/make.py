"""Makes the browser's Python into .build/runtime, ready to be served.

    python -m site_overrides.runtime.make

Interpreter and standard library come from the npm package of Pyodide, numpy from wherever its exact wheel
is found, calc from this repository. A lock of just these two packages, each with its sha256, is all that
the browser is given: it checks both and can fetch nothing else.
"""

import filecmp
import gzip
import json
import logging
import shutil
import subprocess
import sys
import tempfile
import tomllib
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from pyodide_lock import PyodideLockSpec
from pyodide_lock.utils import add_wheels_to_spec

from site_overrides.runtime import numpy_wheel, slim, stdlib, wheels

HERE = Path(__file__).resolve().parent
PROJECT = HERE.parent.parent
PYODIDE = HERE.parent / "node_modules" / "pyodide"
BUILD = PROJECT / ".build"
RUNTIME = BUILD / "runtime"
GLUE, MAKER = "pyodide.asm.mjs", "_createPyodideModule"
INTERPRETER = ("pyodide.mjs", GLUE, "pyodide.asm.wasm")
LIBRARY = "python_stdlib.zip"
LOCK = "pyodide-lock.json"
SNAPSHOT = "python.snapshot"


KEEP_DOCSTRINGS, DROP_DOCSTRINGS = 0, 2
"""Levels of byte code. numpy will not start without its docstrings; nobody reads those of calc in the browser."""

LINES, NO_LINES = "lines", "no-lines"
"""Line numbers, in what a traceback may have to be read for, which is calc; none in what others have tested."""


def main() -> None:
    """Makes every file of the runtime, prints their sizes, and removes what an earlier build left."""
    official = PyodideLockSpec.from_json(PYODIDE / LOCK)
    RUNTIME.mkdir(parents=True, exist_ok=True)
    for name in INTERPRETER:
        if name != GLUE:
            _place(PYODIDE / name)
    _put(RUNTIME / GLUE, eager(_text(PYODIDE / GLUE)))
    _place(standard_library(official))

    numpy = _place(slim_numpy(official, slim.subpackages_named(PROJECT / "calc")))
    calc = _place(calc_wheel(PROJECT / "calc", "py" + "".join(official.info.python.split(".")[:2])))
    trimmed_lock(official, numpy, calc).to_json(BUILD / LOCK)
    _place(BUILD / LOCK)

    names = [*INTERPRETER, LIBRARY, LOCK, numpy.name, calc.name]
    snapshot = _place(memory_snapshot([RUNTIME / name for name in names]))
    _write_manifest(names, official)
    for path in RUNTIME.iterdir():
        if path.name not in [*names, snapshot.name, "manifest.json"]:
            path.unlink()


def eager(script: str) -> str:
    """The script that makes the interpreter, its one great function in brackets.

    Browsers read a function twice: quickly as the script arrives, and fully when it is called. One in brackets is
    called at once, by custom, and so is read fully at the first go.
    """
    before, after = f"async function {MAKER}(", f"}}export default {MAKER};"
    script = script.rstrip()
    if not (script.startswith(before) and script.endswith(after)):
        raise ValueError(f"{GLUE} is not written as it was")
    return f"var {MAKER}=(async function({script[len(before) : -len(after)]}}});export default {MAKER};\n"


def standard_library(official: PyodideLockSpec) -> Path:
    """The slimmed standard library as byte code; made once for each choice of parts."""

    def make(folder: Path) -> None:
        files = stdlib.slimmed(wheels.read((PYODIDE / LIBRARY).read_bytes()))
        place = "/lib/python" + "".join(official.info.python.split(".")[:2]) + ".zip"
        # Pyodide hands its own docstrings on to what it makes at its start.
        own = {name: content for name, content in files.items() if name.split("/")[0] in ("pyodide", "_pyodide")}
        rest = {name: content for name, content in files.items() if name not in own}
        made = compiled(own, KEEP_DOCSTRINGS, NO_LINES, place) | compiled(rest, DROP_DOCSTRINGS, NO_LINES, place)
        folder.mkdir(parents=True)
        (folder / LIBRARY).write_bytes(wheels.archive(dict(sorted(made.items()))))

    return _made_once("stdlib", [_text(HERE / "stdlib.py")], make)


def slim_numpy(official: PyodideLockSpec, kept: Sequence[str]) -> Path:
    """The slimmed, byte-compiled numpy wheel; made once for each choice of parts."""
    entry = official.packages["numpy"]
    stem, tags = f"numpy-{entry.version}", "-".join(entry.file_name.removesuffix(".whl").split("-")[2:])

    def make(folder: Path) -> None:
        fetch = ["node", str(HERE / "fetch_release.mjs"), "numpy"]
        content = numpy_wheel.obtain(entry.file_name, entry.sha256, numpy_wheel.usual_sources(fetch))
        wheels.write(folder, stem, tags, compiled(slim.slimmed(wheels.read(content), kept), KEEP_DOCSTRINGS, NO_LINES))

    return _made_once("numpy", [entry.sha256, *kept, _text(HERE / "slim.py")], make)


def calc_wheel(package: Path, python: str) -> Path:
    """calc as a wheel of byte code and data files, made anew only when its source has changed.

    Args:
        package: the folder of calc.
        python: tag of the one Python that can read the byte code, such as ``py314``.
    """
    project = tomllib.loads(_text(PROJECT / "pyproject.toml"))["project"]
    stem = f"calc-{project['version']}"
    files = {
        f"calc/{path.relative_to(package).as_posix()}": path.read_bytes()
        for path in sorted(package.rglob("*"))
        if path.is_file() and "__pycache__" not in path.parts and path.suffix != ".pyc"
    }
    requirements = "".join(f"Requires-Dist: {requirement}\n" for requirement in project["dependencies"])
    files[f"{stem}.dist-info/METADATA"] = (
        f"Metadata-Version: 2.4\nName: calc\nVersion: {project['version']}\n"
        f"Summary: {project['description']}\nLicense-Expression: {project['license']}\n{requirements}"
    ).encode()
    files[f"{stem}.dist-info/WHEEL"] = (
        f"Wheel-Version: 1.0\nGenerator: borrowed-power\nRoot-Is-Purelib: true\nTag: {python}-none-any\n"
    ).encode()

    source = [f"{name} {wheels.sha256(content)}" for name, content in sorted(files.items())]

    def make(folder: Path) -> None:
        wheels.write(folder, stem, f"{python}-none-any", compiled(files, DROP_DOCSTRINGS, LINES))

    return _made_once("calc", source, make)


def memory_snapshot(parts: list[Path]) -> Path:
    """The memory of a Python started from these parts of the runtime, packed; made once for the same parts.

    It is packed by us, since servers do not agree on which files they pack, and unpacked by the page's script.
    """

    def make(folder: Path) -> None:
        folder.mkdir(parents=True)
        with tempfile.TemporaryDirectory() as scratch:
            packages, output = Path(scratch) / "packages", Path(scratch) / SNAPSHOT
            for wheel in (path for path in parts if path.suffix == ".whl"):
                shutil.unpack_archive(wheel, packages, "zip")
            command = ["node", str(HERE / "snapshot.mjs"), str(RUNTIME), str(packages), str(output)]
            subprocess.run(command, check=True)
            (folder / SNAPSHOT).write_bytes(gzip.compress(output.read_bytes(), 7, mtime=0))

    assets = HERE.parent / "assets"
    shared = (assets / f"{name}.js" for name in ("adapters", "libraries", "snapshot"))
    scripts = [HERE / "snapshot.mjs", HERE / "exports.mjs", *shared]
    digests = [wheels.sha256(path.read_bytes()) for path in parts]
    return _made_once("snapshot", [*digests, *map(_text, scripts)], make)


def _made_once(kind: str, made_from: list[str], make: Callable[[Path], object]) -> Path:
    """The file that `make` puts into a folder, or the one that it put there earlier from the same material."""
    material = [*made_from, _text(HERE / "wheels.py"), _text(HERE / "compile.mjs"), _text(PYODIDE / "package.json")]
    folder = BUILD / kind / wheels.sha256("\0".join(material).encode())[:16]
    if not folder.is_dir() or not any(folder.iterdir()):
        shutil.rmtree(BUILD / kind, ignore_errors=True)
        make(folder)
    return next(folder.iterdir())


def compiled(files: dict[str, bytes], optimize: int, lines: str, place: str = "") -> dict[str, bytes]:
    """`files` with each Python source replaced by byte code of a level, by the browser's own Python.

    Args:
        files: content by name.
        optimize: the level, such as `KEEP_DOCSTRINGS`.
        lines: `LINES` or `NO_LINES`.
        place: where the files will be in the browser, if that is not where packages are.
    """
    with tempfile.TemporaryDirectory() as folder:
        for name, content in files.items():
            path = Path(folder) / name
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(content)
        subprocess.run(["node", str(HERE / "compile.mjs"), folder, str(optimize), lines, place], check=True)
        return {
            path.relative_to(folder).as_posix(): path.read_bytes()
            for path in sorted(Path(folder).rglob("*"))
            if path.is_file()
        }


def trimmed_lock(official: PyodideLockSpec, numpy: Path, calc: Path) -> PyodideLockSpec:
    """The official lock cut down to numpy, as slimmed here, with calc added."""
    entry = official.clone().packages["numpy"]
    entry.file_name = numpy.name
    entry.sha256 = wheels.sha256(numpy.read_bytes())
    # pyodide-lock reads a wheel's import names off its .py files. This wheel has none: we say what they are,
    # and it need not warn.
    logging.getLogger("pyodide_lock").setLevel(logging.ERROR)
    lock = add_wheels_to_spec(PyodideLockSpec(info=official.info, packages={"numpy": entry}), [calc])
    lock.packages["calc"].imports = ["calc"]
    lock.check_wheel_filenames()
    return lock


def _place(source: Path) -> Path:
    # A file that is already there as it should be is left alone: it may be being served.
    target = RUNTIME / source.name
    if not target.is_file() or not filecmp.cmp(source, target, shallow=False):
        shutil.copyfile(source, target)
    return target


def _put(target: Path, text: str) -> None:
    # What is made again from the same is not newer.
    if not target.is_file() or _text(target) != text:
        target.write_text(text, encoding="utf-8")


def _text(path: Path) -> str:
    return path.read_text(encoding="utf-8")


def _write_manifest(names: list[str], official: PyodideLockSpec) -> None:
    npm = json.loads(_text(PYODIDE / "package.json"))
    project = tomllib.loads(_text(PROJECT / "pyproject.toml"))["project"]
    numpy_version = official.packages["numpy"].version
    parts = {
        "pyodide": {
            "version": npm["version"],
            "licence": npm["license"],
            "origin": "npm: pyodide",
            "changes": f"the function that makes the interpreter, in {GLUE}, put in brackets",
        },
        "python": {
            "version": ".".join(official.info.python.split(".")[:2]),
            "licence": "PSF-2.0",
            "origin": "inside pyodide.asm.wasm and python_stdlib.zip",
            "changes": "parts of the library not used here left out, Python source compiled to byte code",
        },
        "numpy": {
            "version": numpy_version,
            "licence": "BSD-3-Clause AND 0BSD AND MIT AND Zlib AND CC0-1.0",
            "origin": official.packages["numpy"].file_name,
            "changes": "parts not used here left out, Python source compiled to byte code",
        },
        "calc": {"version": project["version"], "licence": project["license"], "origin": "this repository"},
    }
    files: dict[str, dict[str, Any]] = {}
    for name in names:
        content = (RUNTIME / name).read_bytes()
        files[name] = {"bytes": len(content), "sha256": wheels.sha256(content)}
        print(f"  {len(content):>10,}  {name}")
    print(f"  {sum(entry['bytes'] for entry in files.values()):>10,}  in all")
    packed = (RUNTIME / SNAPSHOT).read_bytes()
    memory = gzip.decompress(packed)
    print(f"  {len(packed):>10,}  {SNAPSHOT}, for later visits; {len(memory):,} unpacked")
    snapshot = {"file": SNAPSHOT, "bytes": len(packed), "sha256": wheels.sha256(memory)}
    manifest = {"lock": LOCK, "parts": parts, "files": files, "snapshot": snapshot}
    _put(RUNTIME / "manifest.json", json.dumps(manifest, indent=2) + "\n")


if __name__ == "__main__":
    try:
        main()
    except numpy_wheel.WheelNotFound as missing:
        sys.exit(f"\n{missing}")
