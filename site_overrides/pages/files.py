"""The files that a site ships beside its pages: scripts, styles, fonts, and the browser's Python."""

from pathlib import Path

NOT_SHIPPED = {".d.ts", ".json", ".md", "service_worker.js"}


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
    runtime = project / ".build" / "runtime"
    if not runtime.is_dir() or not any(runtime.iterdir()):
        raise RuntimeMissing(".build/runtime is not there: run `make runtime` first.")
    found |= {f"runtime/{path.name}": path for path in sorted(runtime.iterdir()) if path.is_file()}
    return found
