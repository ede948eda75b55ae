"""The small tables that stand in `calc/data`: CSV whose first lines, marked #, name the source."""

import csv
from functools import cache
from importlib.resources import files


@cache
def read(name: str) -> tuple[dict[str, str], ...]:
    """The rows of the table `name` (no ending) as text by column heading, in the order they are printed."""
    text = files("calc").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return tuple(csv.DictReader(lines))


@cache
def source(name: str) -> str:
    """What the first lines of the table `name` say of source, units and certainty, as one text."""
    text = files("calc").joinpath("data", f"{name}.csv").read_text(encoding="utf-8")
    return " ".join(line.lstrip("# ").strip() for line in text.splitlines() if line.startswith("#"))
