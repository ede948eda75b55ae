"""The last step of a build: the list of all files with their hashes, for the service worker that keeps them."""

import json
from base64 import b64encode
from hashlib import sha256
from pathlib import Path

WORKER = Path(__file__).resolve().parent.parent / "assets" / "service_worker.js"
WORKER_NAME = "service_worker.js"
SIZE_MARK = "bp\N{MIDDLE DOT}size"
"""Stands in pages for the size of all that is kept."""
RUNTIME = "runtime/"
NOT_KEPT = (".map", "sitemap.xml", "sitemap.xml.gz", "404.html", "python.snapshot", WORKER_NAME)
"""Endings of names. The snapshot of Python is kept by the page itself, which checks it against the kept manifest."""
NOT_KEPT_FOLDER = "assets/javascripts/lunr/"
"""Languages of the search that are not ours."""

Files = dict[str, tuple[str, int]]


def finish(site: Path) -> None:
    """Writes the sizes into the pages and the service worker with its list into the site's root.

    Args:
        site: the folder of the built site.
    """
    total = sum(path.stat().st_size for path in kept_files(site).values())
    for page in site.rglob("*.html"):
        text = page.read_text(encoding="utf-8")
        if SIZE_MARK in text:
            page.write_text(text.replace(SIZE_MARK, f"{total / 1e6:.0f} MB"), encoding="utf-8")
    listed = {address: _entry(path) for address, path in kept_files(site).items()}
    parts = {
        "pages": {address: entry for address, entry in listed.items() if not address.startswith(RUNTIME)},
        "runtime": {address: entry for address, entry in listed.items() if address.startswith(RUNTIME)},
    }
    text = f"self.SITE = {json.dumps(parts, separators=(',', ':'))};\n{WORKER.read_text(encoding='utf-8')}"
    (site / WORKER_NAME).write_text(text, encoding="utf-8")


def kept_files(site: Path) -> dict[str, Path]:
    """What is kept for offline use: address in the site -> file. A page's address is that of its folder."""
    names = {path.relative_to(site).as_posix(): path for path in sorted(site.rglob("*")) if path.is_file()}
    return {
        name.removesuffix("index.html") if path.name == "index.html" else name: path
        for name, path in names.items()
        if not name.endswith(NOT_KEPT) and not name.startswith(NOT_KEPT_FOLDER)
    }


def _entry(path: Path) -> tuple[str, int]:
    content = path.read_bytes()
    return b64encode(sha256(content).digest()).decode(), len(content)
