"""Makes the folder edition of the built site, as one zip: `python -m site_overrides.folder.make SITE ZIP`."""

import gzip
import json
import shutil
import subprocess
import sys
import tempfile
import tomllib
import zipfile
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

from site_overrides.folder.pages import EDITION_MARK, file_address, folder_page

HERE = Path(__file__).resolve().parent
PROJECT = HERE.parent.parent
TOP = "borrowed-power"
LEFT_OUT = (
    "*.map",
    "sitemap.xml*",
    "404.html",
    "service_worker.js",
    "site.webmanifest",
    "lunr",
    "vendor",
    "runtime",
    "search",
)
PARTS = ("pyodide.asm.wasm", "python_stdlib.zip", "pyodide-lock.json", "*.whl")
"""Files of the browser's Python that travel as they are; its modules are part of a script."""
LONG_AGO = (1980, 1, 1, 0, 0, 0)


def make_folder(site: Path, folder: Path) -> None:
    """Writes the folder edition of a built site into a folder that is not there yet."""
    shutil.copytree(site, folder, ignore=shutil.ignore_patterns(*LEFT_OUT))
    for module in [*(folder / "assets").glob("*.js")]:
        if module.name not in {"theme_scope.js", "theme_palette.js", "bare.js"}:
            module.unlink()
    names = _python(site / "runtime", folder / "python")
    with tempfile.TemporaryDirectory() as made:
        subprocess.run(["node", str(HERE / "bundle.mjs"), made], check=True)
        shutil.copy(Path(made) / "page.js", folder / "assets" / "folder_page.js")
        shutil.copy(Path(made) / "python.js", folder / "python" / "python.js")
    _search(site, folder, ["python.js", *names])
    for page in folder.rglob("*.html"):
        page.write_text(folder_page(page.read_text(encoding="utf-8")), encoding="utf-8")
    edition = f"Folder edition, version {_version()}, build {_build(folder)}."
    for page in folder.rglob("*.html"):
        page.write_text(page.read_text(encoding="utf-8").replace(EDITION_MARK, edition), encoding="utf-8")


def pack(folder: Path, target: Path) -> None:
    """Packs a folder so that the same files always give the same zip."""
    target.parent.mkdir(parents=True, exist_ok=True)
    with zipfile.ZipFile(target, "w") as packed:
        for path in sorted(path for path in folder.rglob("*") if path.is_file()):
            entry = zipfile.ZipInfo(f"{TOP}/{path.relative_to(folder).as_posix()}", LONG_AGO)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            packed.writestr(entry, path.read_bytes())


def _python(runtime: Path, target: Path) -> list[str]:
    """Each part of Python as a classic script that puts its base64 where the page finds it; gives their names."""
    target.mkdir()
    names = []
    for path in (path for part in PARTS for path in sorted(runtime.glob(part))):
        text = b64encode(gzip.compress(path.read_bytes(), mtime=0)).decode()
        names.append(f"{path.name}.js")
        (target / names[-1]).write_text(f'borrowedPowerFolder.files["{path.name}"] = "{text}";\n', encoding="utf-8")
    return names


def _search(site: Path, folder: Path, names: list[str]) -> None:
    """The index as a script, with addresses of files; and what runs the search."""
    index = json.loads((site / "search" / "search_index.json").read_text(encoding="utf-8"))
    for entry in index["docs"]:
        entry["location"] = file_address(entry["location"]) if entry["location"] else "index.html"
    (folder / "search").mkdir()
    script = f"var __index = {json.dumps(index, separators=(',', ':'))};\n"
    (folder / "search" / "search_index.js").write_text(script, encoding="utf-8")
    (worker,) = (folder / "assets" / "javascripts" / "workers").glob("search.*.js")
    held = {"names": names, "files": {}, "search": worker.read_text(encoding="utf-8")}
    worker.unlink()
    script = f"var borrowedPowerFolder = {json.dumps(held)};\n{(HERE / 'search.js').read_text(encoding='utf-8')}"
    (folder / "assets" / "folder.js").write_text(script, encoding="utf-8")


def _version() -> str:
    project = tomllib.loads((PROJECT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return str(project["version"])


def _build(folder: Path) -> str:
    """The first digits of a hash over all names and contents: the same files have the same."""
    total = sha256()
    for path in sorted(path for path in folder.rglob("*") if path.is_file()):
        total.update(f"{path.relative_to(folder).as_posix()} {sha256(path.read_bytes()).hexdigest()}\n".encode())
    return total.hexdigest()[:8]


def make_edition(site: Path, target: Path) -> None:
    """Makes the folder edition of a built site and packs it."""
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary) / TOP
        make_folder(site, folder)
        pack(folder, target)


if __name__ == "__main__":
    make_edition(Path(sys.argv[1]), Path(sys.argv[2]))
