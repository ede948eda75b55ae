"""Drawing at build time: the browser's own result renderer, run under Node."""

import json
import subprocess
from collections.abc import Sequence
from pathlib import Path
from typing import Any

RENDER = Path(__file__).with_name("render.mjs")


class DrawingError(RuntimeError):
    """Node could not draw the pages' parts."""


def draw(parts: Sequence[dict[str, Any]]) -> list[str]:
    """The HTML of each part, in order.

    Raises:
        DrawingError: there is no Node, or the renderer failed.
    """
    try:
        done = subprocess.run(
            ["node", str(RENDER)],
            input=json.dumps(parts, ensure_ascii=False, allow_nan=False),
            capture_output=True,
            encoding="utf-8",
            check=False,
        )
    except FileNotFoundError:
        raise DrawingError("Node is not on the path: run `make` rather than mkdocs alone.") from None
    if done.returncode:
        raise DrawingError(done.stderr.strip())
    drawn: list[str] = json.loads(done.stdout)
    return drawn
