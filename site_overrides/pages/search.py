"""What the search of the theme is made to do: wait with its index until somebody searches."""

from pathlib import Path

PATIENCE = Path(__file__).resolve().parent / "patient_search.js"
WORKERS = "assets/javascripts/workers"


def make_patient(site: Path) -> None:
    """Puts our words before the worker's own.

    Args:
        site: the folder of the built site.
    """
    (worker,) = (site / WORKERS).glob("search.*.js")
    text = PATIENCE.read_text(encoding="utf-8") + worker.read_text(encoding="utf-8")
    worker.write_text(text, encoding="utf-8")
