"""The browser's Python as made by site_overrides/runtime: what is in it, and that nothing else can get in."""

import ast
import hashlib
import json
import re
import subprocess
import zipfile
from pathlib import Path

import numpy as np
import pytest
from playwright.sync_api import Browser

from calc import bridge
from calc.forms import FORMS
from site_overrides.runtime import make, numpy_wheel, slim, stdlib, wheels
from site_overrides.setup.serve import serving

OFFICIAL = json.loads((make.PYODIDE / make.LOCK).read_text(encoding="utf-8"))["packages"]["numpy"]


@pytest.fixture(scope="module")
def runtime() -> Path:
    """The folder of the runtime, made anew where calc has changed since."""
    make.main()
    return make.RUNTIME


@pytest.fixture(scope="module")
def lock(runtime):
    """The trimmed lock."""
    return json.loads((runtime / make.LOCK).read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def official_wheel(runtime) -> bytes:
    """The untouched numpy wheel, from the cache that making the runtime has filled."""
    return numpy_wheel.obtain(OFFICIAL["file_name"], OFFICIAL["sha256"], numpy_wheel.usual_sources(["false"]))


# Run inside the runtime: what is there, and what calc answers there.
INQUIRY = """
import importlib, json, operator, pkgutil
import calc, numpy
from calc import bridge
from calc.forms import FORMS

def there(name):
    try:
        operator.attrgetter(name)(numpy)
    except (AttributeError, ImportError):
        return False
    return True

def fault(name):
    try:
        importlib.import_module(name)
    except ImportError as error:
        return str(error)

import sys, traceback, zipfile
archive = next(path for path in sys.path if path.endswith(".zip"))
packed = zipfile.ZipFile(archive).namelist()
library = [name.removesuffix(".pyc").removesuffix("/__init__").replace("/", ".") for name in packed]
library = [name for name in library if not name.endswith("__main__")]
try:
    numpy.reshape([1, 2, 3], 2)
except ValueError as error:
    printed = "".join(traceback.format_exception(error))

json.dumps({
    "library": {name: fault(name) for name in library if fault(name)},
    "traceback": printed,
    "numpy": numpy.__version__,
    "modules": [importlib.import_module(each.name).__name__ for each in pkgutil.walk_packages(calc.__path__, "calc.")],
    "absent": [name for name in %r if not there(name)],
    "answers": {form: bridge.run(form, {}) for form in FORMS},
})
"""


@pytest.fixture(scope="module")
def inside(runtime) -> dict:
    """What the inquiry gives in the made runtime, started once under Node by its own lock."""
    command = ["node", str(make.HERE / "run.mjs"), str(runtime), INQUIRY % names_of_numpy_used()]
    run = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert run.returncode == 0, run.stderr
    return json.loads(run.stdout)


def names_of_numpy_used() -> list[str]:
    """Every name of numpy in the source of calc, such as ``linalg.solve``."""
    names = set()
    for path in (make.PROJECT / "calc").rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Attribute) and re.fullmatch(r"np(\.\w+)+", ast.unparse(node)):
                names.add(ast.unparse(node).removeprefix("np."))
    return sorted(names)


# --- the lock -----------------------------------------------------------------------------------------------


def test_lock_holds_numpy_and_calc_alone_and_their_hashes_agree(runtime, lock):
    assert sorted(lock["packages"]) == ["calc", "numpy"]
    assert lock["packages"]["calc"]["depends"] == ["numpy"]
    for entry in lock["packages"].values():
        content = (runtime / entry["file_name"]).read_bytes()
        assert hashlib.sha256(content).hexdigest() == entry["sha256"]


def test_lock_points_to_no_other_place(lock):
    assert all("/" not in entry["file_name"] for entry in lock["packages"].values())


def test_lock_keeps_what_the_official_one_says_of_the_interpreter(lock):
    official = json.loads((make.PYODIDE / make.LOCK).read_text(encoding="utf-8"))
    assert lock["info"] == official["info"]


def test_interpreter_is_the_one_of_the_npm_package(runtime):
    for name in make.INTERPRETER:
        if name != make.GLUE:
            assert (runtime / name).read_bytes() == (make.PYODIDE / name).read_bytes()


def test_the_script_that_makes_the_interpreter_is_the_npm_package_s_but_for_its_brackets(runtime):
    ours, official = ((folder / make.GLUE).read_text(encoding="utf-8") for folder in (runtime, make.PYODIDE))
    function = re.fullmatch(r"var (\w+)=\(async function\((.*)\}\);(export default \w+;)\n", ours, re.DOTALL)
    assert function
    name, body, export = function.groups()
    assert f"async function {name}({body}}}{export}" == official.rstrip()
    with pytest.raises(ValueError, match="not written as it was"):
        make.eager(official.replace("async function", "function", 1))


def test_a_runtime_made_again_from_the_same_is_not_newer(runtime):
    before = {path.name: path.stat().st_mtime_ns for path in runtime.iterdir()}
    make.main()
    assert {path.name: path.stat().st_mtime_ns for path in runtime.iterdir()} == before


def test_manifest_lists_every_file_with_its_size_and_hash(runtime):
    manifest = json.loads((runtime / "manifest.json").read_text(encoding="utf-8"))
    assert {path.name for path in runtime.iterdir()} == {*manifest["files"], make.SNAPSHOT, "manifest.json"}
    for name, entry in manifest["files"].items():
        content = (runtime / name).read_bytes()
        assert (len(content), hashlib.sha256(content).hexdigest()) == (entry["bytes"], entry["sha256"])
    assert all(part["licence"] for part in manifest["parts"].values())


# --- what is in the standard library ------------------------------------------------------------------------


def test_library_is_byte_code_of_modules_that_pyodide_has(runtime):
    with zipfile.ZipFile(make.PYODIDE / make.LIBRARY) as archive:
        official = set(archive.namelist())
    with zipfile.ZipFile(runtime / make.LIBRARY) as archive:
        packed = archive.namelist()
    assert {Path(name).suffix for name in packed} == {".pyc"}
    assert {name.removesuffix("c") for name in packed} <= official


def test_every_part_that_the_library_keeps_is_there():
    names = wheels.read((make.PYODIDE / make.LIBRARY).read_bytes())
    heads = {name.split("/")[0].removesuffix(".py") for name in stdlib.slimmed(names)}
    assert heads >= stdlib.USED | stdlib.MARGIN
    assert {f"encodings/{name}.py" for name in stdlib.ENCODINGS} <= stdlib.slimmed(names).keys()


def test_every_module_of_the_library_imports_in_the_runtime(inside):
    assert inside["library"] == {}


def test_a_traceback_in_the_runtime_can_be_printed(inside):
    assert "numpy/_core" in inside["traceback"]
    assert inside["traceback"].rstrip().endswith("ValueError: cannot reshape array of size 3 into shape (2,)")


# --- what is in the wheels ----------------------------------------------------------------------------------


@pytest.mark.parametrize("package", ["calc", "numpy"])
def test_wheel_holds_byte_code_and_no_source(runtime, lock, package):
    with zipfile.ZipFile(runtime / lock["packages"][package]["file_name"]) as archive:
        suffixes = [Path(name).suffix for name in archive.namelist() if name.startswith(f"{package}/")]
    assert ".pyc" in suffixes
    assert not {".py", ".pyi"} & set(suffixes)


def test_calc_wheel_holds_every_module_and_data_file(runtime, lock):
    with zipfile.ZipFile(runtime / lock["packages"]["calc"]["file_name"]) as archive:
        packed = {name for name in archive.namelist() if name.startswith("calc/")}
    package = make.PROJECT / "calc"
    sources = [path for path in package.rglob("*") if path.is_file() and "__pycache__" not in path.parts]
    expected = {f"calc/{path.relative_to(package).as_posix()}" for path in sources if path.suffix != ".pyc"}
    assert packed == {f"{name}c" if name.endswith(".py") else name for name in expected}
    assert any(name.endswith(".csv") for name in packed)


def test_calc_wheel_is_the_same_file_each_time(runtime, lock, tmp_path, monkeypatch):
    monkeypatch.setattr(make, "BUILD", tmp_path)
    again = make.calc_wheel(make.PROJECT / "calc", "py314")
    entry = lock["packages"]["calc"]
    assert (again.name, wheels.sha256(again.read_bytes())) == (entry["file_name"], entry["sha256"])


def test_licences_of_numpy_stay(official_wheel, runtime, lock):
    kept = wheels.read((runtime / lock["packages"]["numpy"]["file_name"]).read_bytes())
    licences = {name for name in wheels.read(official_wheel) if ".dist-info/licenses/" in name}
    assert licences
    assert licences <= kept.keys()


# --- what is left out of numpy ------------------------------------------------------------------------------


def test_a_subpackage_that_the_source_names_is_kept(tmp_path):
    (tmp_path / "a.py").write_text("import numpy as np\nx = np.fft.fft([1.0])\n", encoding="utf-8")
    (tmp_path / "b.py").write_text("from numpy.random import default_rng\nimport numpy.ma\n", encoding="utf-8")
    (tmp_path / "c.py").write_text("from numpy import strings\n", encoding="utf-8")
    assert slim.subpackages_named(tmp_path) == ["fft", "ma", "random", "strings"]


def test_a_subpackage_that_a_named_function_reaches_for_is_kept(tmp_path):
    (tmp_path / "a.py").write_text("import numpy as np\nx = np.unique([1.0])\n", encoding="utf-8")
    assert slim.subpackages_named(tmp_path) == ["ma"]


def test_subpackages_that_nothing_names_go():
    files = {"numpy/__init__.py": b"", "numpy/fft/__init__.py": b"", "numpy/random/__init__.py": b""}
    assert slim.slimmed(files, ["fft"]).keys() == {"numpy/__init__.py", "numpy/fft/__init__.py"}


# --- a wheel that is not the one named ----------------------------------------------------------------------


def test_a_tampered_numpy_wheel_is_refused(official_wheel, tmp_path, monkeypatch):
    tampered = bytearray(official_wheel)
    tampered[len(tampered) // 2] ^= 1
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    monkeypatch.setenv(numpy_wheel.MIRROR_VARIABLE, str(tmp_path / "mirror"))
    for folder in (numpy_wheel.cache_folder(), tmp_path / "mirror"):
        folder.mkdir()
        (folder / OFFICIAL["file_name"]).write_bytes(tampered)

    sources = {"the cache": numpy_wheel.from_cache, "the mirror": numpy_wheel.from_mirror}
    with pytest.raises(numpy_wheel.WheelNotFound) as refusal:
        numpy_wheel.obtain(OFFICIAL["file_name"], OFFICIAL["sha256"], sources)
    message = str(refusal.value)
    assert f"the cache: REFUSED, its sha256 is {wheels.sha256(bytes(tampered))}" in message
    assert "the mirror: REFUSED" in message
    assert OFFICIAL["sha256"] in message
    assert numpy_wheel.MIRROR_VARIABLE in message


def test_after_a_refusal_the_next_source_is_asked_and_its_wheel_kept(official_wheel, tmp_path, monkeypatch):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    sources = {
        "nothing": lambda file_name, scratch: None,
        "bad": lambda file_name, scratch: b"not numpy",
        "good": lambda file_name, scratch: official_wheel,
    }
    assert numpy_wheel.obtain(OFFICIAL["file_name"], OFFICIAL["sha256"], sources) == official_wheel
    assert numpy_wheel.from_cache(OFFICIAL["file_name"], tmp_path) == official_wheel


START = """async () => {
    const here = location.href;
    const { loadPyodide } = await import(`${here}pyodide.mjs`);
    const python = await loadPyodide({
        indexURL: here, lockFileURL: `${here}pyodide-lock.json`, packages: ["calc"],
    });
    try {
        return python.runPython("import calc.units; calc.units.format(calc.units.parse('365p', 'F'), 'F')");
    } catch (error) {
        return error.message.trim().split("\\n").find((line) => line.startsWith("ModuleNotFoundError"));
    }
}"""


def started(browser: Browser, folder: Path) -> tuple[str, list[str]]:
    """What calc answers when the runtime in `folder` starts in a page, and what the console says meanwhile."""
    said: list[str] = []
    with serving(folder) as address, browser.new_page() as page:
        page.on("console", lambda message: said.append(message.text))
        page.goto(address)
        return page.evaluate(START), said


@pytest.fixture
def copied_runtime(runtime, tmp_path) -> Path:
    """A copy of the runtime, with an empty page to start it in."""
    for path in runtime.iterdir():
        (tmp_path / path.name).write_bytes(path.read_bytes())
    (tmp_path / "index.html").write_text("<!doctype html><title>empty</title><link rel=icon href=data:,>")
    return tmp_path


def test_the_runtime_starts_in_a_browser_by_its_own_lock(browser, copied_runtime):
    assert started(browser, copied_runtime) == ("365 pF", [])


def test_a_browser_refuses_a_tampered_wheel(browser, copied_runtime, lock):
    victim = copied_runtime / lock["packages"]["calc"]["file_name"]
    victim.write_bytes(victim.read_bytes() + b"\0")
    answer, said = started(browser, copied_runtime)
    assert answer == "ModuleNotFoundError: No module named 'calc'"
    assert any("integrity" in line for line in said)


# --- the runtime at work ------------------------------------------------------------------------------------


def test_numpy_in_the_runtime_is_the_version_that_tests_use(inside):
    assert inside["numpy"] == np.__version__ == "2.4.3"


def test_every_module_of_calc_imports_in_the_runtime(inside):
    sources = [path.relative_to(make.PROJECT) for path in (make.PROJECT / "calc").rglob("*.py")]
    names = {".".join(path.with_suffix("").parts).removesuffix(".__init__") for path in sources}
    assert set(inside["modules"]) == names - {"calc"}


def test_every_name_of_numpy_that_calc_uses_is_in_the_runtime(inside):
    assert "asarray" in names_of_numpy_used()
    assert inside["absent"] == []


def test_default_answers_in_the_runtime_equal_the_native_ones(inside):
    # what correct-model finds is searched for, and ends within 1e-11 of the same place; test_forms holds it to 1e-6
    calculated = [form for form in FORMS if form != "correct-model"]
    native = {form: bridge.run(form, {}) for form in calculated}
    assert_same(native, {form: inside["answers"][form] for form in calculated}, "")


def assert_same(native: object, browser: object, where: str, floor: float = 0.0) -> None:
    """Numbers to 1e-12 relative, all else exactly.

    A decibel is the logarithm of a ratio, so one part in 1e12 of the ratio is 1e-11 dB at any level, 0 dB too:
    for decibels `floor`, the least magnitude that the 1e-12 is taken of, is 1 dB; for all else there is none.
    """
    if isinstance(native, dict):
        assert native.keys() == browser.keys(), where
        unit = native["y"]["label"] if isinstance(native.get("y"), dict) else native.get("unit", "")
        floor = 1.0 if "dB" in unit else floor
        for key in native:
            if key == "rows" and "columns" in native:
                for ours, theirs in zip(native[key], browser[key], strict=True):
                    for column, cell, other in zip(native["columns"], ours, theirs, strict=True):
                        in_decibels = 1.0 if "dB" in column["unit"] else 0.0
                        assert_same(cell, other, f"{where}/{column['key']}", in_decibels)
            else:
                assert_same(native[key], browser[key], f"{where}/{key}", floor)
    elif isinstance(native, list | tuple):
        assert len(native) == len(browser), where
        for index, (ours, theirs) in enumerate(zip(native, browser, strict=True)):
            assert_same(ours, theirs, f"{where}/{index}", floor)
    elif isinstance(native, float):
        assert abs(native - browser) <= 1e-12 * max(abs(native), floor), f"{where}: {native!r}, {browser!r}"
    else:
        assert native == browser, where
