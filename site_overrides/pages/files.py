"""The files that a site ships beside its pages: scripts, styles, fonts, and the browser's Python."""

from pathlib import Path

NOT_SHIPPED = {".d.ts", ".json", ".md", "service_worker.js"}

VENDORED = {
    "assets/vendor/lean-qr.mjs": "lean-qr/index.mjs",
    "assets/vendor/lean-qr-licence.txt": "lean-qr/LICENSE",
    "assets/vendor/idb.js": "idb/build/index.js",
    "assets/vendor/idb-licence.txt": "idb/LICENSE",
}
"""Address in the site -> what comes from an npm package as it is."""


class RuntimeMissing(RuntimeError):
    """The browser's Python has not been made."""


def site_files(project: Path) -> dict[str, Path]:
    """Address in the site -> file on disk.

    Raises:
        RuntimeMissing: the runtime has not been made yet.
    """
    assets = project / "site_overrides" / "assets"
    found = {
        f"assets/{path.relative_to(assets).as_posix()}": path
        for path in sorted(assets.rglob("*"))
        if path.is_file() and not any(path.name.endswith(ending) for ending in NOT_SHIPPED)
    }
    modules = project / "site_overrides" / "node_modules"
    found |= {address: modules / name for address, name in VENDORED.items()}
    runtime = project / ".build" / "runtime"
    if not runtime.is_dir() or not any(runtime.iterdir()):
        raise RuntimeMissing(".build/runtime is not there: run `make runtime` first.")
    found |= {f"runtime/{path.name}": path for path in sorted(runtime.iterdir()) if path.is_file()}
    return found
