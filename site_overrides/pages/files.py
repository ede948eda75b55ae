"""The files that a site ships beside its pages: scripts, styles, fonts, and the browser's Python."""

import subprocess
from pathlib import Path

NOT_SHIPPED = (".d.ts", ".json", ".md", ".js")
CLASSIC = ("early_start.js", "theme_scope.js", "theme_palette.js", "bare.js")
"""Scripts that a page runs while it is being read. All others are modules and travel in one of two scripts."""
MAKE_SCRIPTS = Path(__file__).with_name("scripts.mjs")

VENDORED = {
    "assets/vendor/lean-qr.mjs": "lean-qr/index.mjs",
    "assets/vendor/lean-qr-licence.txt": "lean-qr/LICENSE",
    "assets/vendor/idb.js": "idb/build/index.js",
    "assets/vendor/idb-licence.txt": "idb/LICENSE",
}
"""Address in the site -> what comes from an npm package as it is."""


class RuntimeMissing(RuntimeError):
    """The browser's Python has not been made."""


class ScriptError(RuntimeError):
    """The pages' scripts could not be made."""


def site_files(project: Path) -> dict[str, Path]:
    """Address in the site -> file on disk.

    Raises:
        RuntimeMissing: the runtime has not been made yet.
        ScriptError: there is no Node, or a script has a fault.
    """
    assets = project / "site_overrides" / "assets"
    found = {
        f"assets/{path.relative_to(assets).as_posix()}": path
        for path in sorted(assets.rglob("*"))
        if path.is_file() and (path.name in CLASSIC or not path.name.endswith(NOT_SHIPPED))
    }
    found |= {f"assets/{path.name}": path for path in _scripts(project / ".build" / "scripts")}
    modules = project / "site_overrides" / "node_modules"
    found |= {address: modules / name for address, name in VENDORED.items()}
    runtime = project / ".build" / "runtime"
    if not runtime.is_dir() or not any(runtime.iterdir()):
        raise RuntimeMissing(".build/runtime is not there: run `make runtime` first.")
    found |= {f"runtime/{path.name}": path for path in sorted(runtime.iterdir()) if path.is_file()}
    return found


def _scripts(folder: Path) -> list[Path]:
    """Makes the pages' and the worker's script, each with a map that leads back to the modules."""
    try:
        subprocess.run(["node", str(MAKE_SCRIPTS), str(folder)], check=True, capture_output=True, encoding="utf-8")
    except FileNotFoundError:
        raise ScriptError("Node is not on the path: run `make` rather than mkdocs alone.") from None
    except subprocess.CalledProcessError as failed:
        raise ScriptError(failed.stderr.strip()) from None
    return sorted(folder.iterdir())
