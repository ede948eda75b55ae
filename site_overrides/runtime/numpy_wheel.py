"""Finds the numpy wheel that fits the browser's Python; takes it only if it is the file that Pyodide names.

The npm package of Pyodide does not hold numpy, but its lock file gives the wheel's name and sha256. The
wheel is looked for in five places, the nearest first; wherever it is found, its sha256 decides.
"""

import os
import shutil
import subprocess
import sys
import tempfile
import urllib.error
import urllib.request
import zipfile
from collections.abc import Callable
from pathlib import Path

from site_overrides.runtime.wheels import sha256

MIRROR_VARIABLE = "NUMPY_WHEEL_MIRROR"
SECONDS_TO_WAIT = 60

# A package on PyPI that carries Pyodide's numpy among its own files.
CARRIER = "open-webui==0.12.4"


class WheelNotFound(RuntimeError):
    """No source gave a wheel that may be used; the message says what was tried."""


Source = Callable[[str, Path], bytes | None]


def cache_folder() -> Path:
    """Where fetched wheels are kept between builds and between clones."""
    base = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    return Path(base) / "borrowed-power"


def obtain(file_name: str, digest: str, sources: dict[str, Source]) -> bytes:
    """The wheel named `file_name` whose sha256 is `digest`.

    Args:
        file_name: the wheel's name in Pyodide's lock file.
        digest: the sha256 that the same lock file gives.
        sources: where to look, by name, in order.

    Raises:
        WheelNotFound: if no source has the very file that Pyodide names.
    """
    tried: list[str] = []
    for name, source in sources.items():
        with tempfile.TemporaryDirectory() as scratch:
            content = source(file_name, Path(scratch))
        if content is None:
            tried.append(f"  {name}: not there")
        elif sha256(content) != digest:
            tried.append(f"  {name}: REFUSED, its sha256 is {sha256(content)}")
        else:
            print(f"  numpy for the browser: {name}, {len(content):,} bytes, sha256 agrees", flush=True)
            _keep(file_name, content)
            return content
    raise WheelNotFound(
        f"No usable numpy wheel for the browser's Python.\n"
        f"Wanted: {file_name}\nsha256: {digest} (from the pyodide package's own lock file)\n"
        f"Tried:\n" + "\n".join(tried) + "\n"
        f"Put that file into {cache_folder()},\n"
        f"or name a folder or web address that holds it in {MIRROR_VARIABLE}."
    )


def usual_sources(node_fetch: list[str]) -> dict[str, Source]:
    """The five places where the wheel is looked for, in order.

    Args:
        node_fetch: command that fetches the wheel through Pyodide itself; the folder to put it in is added
            as its last word.
    """
    return {
        "the local cache": from_cache,
        f"the mirror named in {MIRROR_VARIABLE}": from_mirror,
        "PyPI, by platform": from_pypi,
        "Pyodide's release files": lambda file_name, scratch: from_release(file_name, scratch, node_fetch),
        f"the copy inside {CARRIER} on PyPI": from_carrier,
    }


def from_cache(file_name: str, scratch: Path) -> bytes | None:
    """The wheel kept from an earlier build."""
    path = cache_folder() / file_name
    return path.read_bytes() if path.is_file() else None


def from_mirror(file_name: str, scratch: Path) -> bytes | None:
    """The wheel from the folder or web address that the environment names."""
    mirror = os.environ.get(MIRROR_VARIABLE, "").rstrip("/")
    if not mirror:
        return None
    if "://" not in mirror:
        path = Path(mirror) / file_name
        return path.read_bytes() if path.is_file() else None
    try:
        with urllib.request.urlopen(f"{mirror}/{file_name}", timeout=SECONDS_TO_WAIT) as answer:
            return bytes(answer.read())
    except (urllib.error.URLError, TimeoutError):
        return None


def from_pypi(file_name: str, scratch: Path) -> bytes | None:
    """The wheel as numpy itself publishes it: not yet, but it will be the best source when it does."""
    name, version, python, abi, platform = file_name.removesuffix(".whl").split("-")
    target = f"--platform={platform} --python-version={python.removeprefix('cp')} --implementation=cp --abi={abi}"
    return _pip_download(f"{name}=={version}", scratch, target.split(), Path.read_bytes)


def from_release(file_name: str, scratch: Path, node_fetch: list[str]) -> bytes | None:
    """The wheel from where Pyodide publishes its releases; Pyodide under Node knows the address."""
    print("  asking for Pyodide's release files", flush=True)
    _run([*node_fetch, str(scratch)])
    path = scratch / file_name
    return path.read_bytes() if path.is_file() else None


def from_carrier(file_name: str, scratch: Path) -> bytes | None:
    """The one member that we need of a large wheel that carries it; the rest is dropped."""
    print(f"  fetching {CARRIER} for the numpy wheel that it carries (106 MB, only once)", flush=True)

    def member(found: Path) -> bytes | None:
        with zipfile.ZipFile(found) as archive:
            inside = [name for name in archive.namelist() if name.endswith(f"/{file_name}")]
            return archive.read(inside[0]) if inside else None

    return _pip_download(CARRIER, scratch, ["--ignore-requires-python"], member)


def _pip_download(
    requirement: str, scratch: Path, options: list[str], take: Callable[[Path], bytes | None]
) -> bytes | None:
    command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", "--only-binary=:all:"]
    _run([*command, *options, "--dest", str(scratch), requirement])
    found = sorted(scratch.glob("*.whl"))
    return take(found[0]) if found else None


def _run(command: list[str]) -> None:
    # A source that fails is only one that has nothing: the next is asked, and the last message lists all.
    quiet = subprocess.DEVNULL
    try:
        subprocess.run(command, check=False, stdout=quiet, stderr=quiet, timeout=600)
    except subprocess.TimeoutExpired:
        print("  no answer within ten minutes", flush=True)


def _keep(file_name: str, content: bytes) -> None:
    folder = cache_folder()
    kept = folder / file_name
    if kept.is_file() and kept.read_bytes() == content:
        return
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.NamedTemporaryFile(dir=folder, delete=False) as partial:
            partial.write(content)
        shutil.move(partial.name, kept)
    except OSError as error:
        print(f"  (could not be kept in {folder}: {error.strerror})", flush=True)
