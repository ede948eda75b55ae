"""The look of the site: style sheets with a subject each, which pages fetch as one."""

from pathlib import Path

ADDRESS = "assets/site.css"
ORDER = (
    "type", "colours", "page", "glossary", "around", "formulas", "form", "cells", "answer", "pictures", "bare", "paper",
    "sound", "sheets", "tables", "logbook",
)  # fmt: skip
"""Names of the sheets. Where two say something of the same thing, the later one counts."""


def joined(project: Path) -> str:
    """All of them, one after the other. 1rem is 20 px in them, as the theme has it.

    Raises:
        ValueError: a sheet lies in the folder that has no place in the order.
    """
    folder = project / "site_overrides" / "look"
    if strangers := {path.stem for path in folder.glob("*.css")} - set(ORDER):
        raise ValueError(f"These style sheets have no place in the order: {', '.join(sorted(strangers))}.")
    return "\n".join((folder / f"{name}.css").read_text(encoding="utf-8") for name in ORDER)
