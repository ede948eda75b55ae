"""One comparison, made once: `agree` holds a test to its tolerance and keeps what it compared for the page on trust.

The page is made from what the tests recorded, so that value, formula and tolerance stand in one place, the test.
"""

import os

import numpy as np

RECORDS: list[dict] = []
"""What was compared since the run began, in the order in which it was."""


def agree(what, ours, published, *, rel=0.0, abs=0.0, unit=""):
    """Asserts that ours lies within a tolerance of what is published, and records both.

    Args:
        what: is compared, in a reader's words.
        ours: what calc gives; number or array.
        published: what the source gives; broadcasts with it.
        rel: tolerance over the published value's size.
        abs: tolerance in the unit of the two; the larger of the tolerances holds. With neither, they must be equal.
        unit: of both, for the reader.
    """
    mine, theirs = np.broadcast_arrays(np.asarray(ours), np.asarray(published))
    difference = np.abs(mine - theirs)
    allowed = np.maximum(rel * np.abs(theirs), abs)
    within = difference <= allowed
    test = os.environ.get("PYTEST_CURRENT_TEST", "").removesuffix(" (call)")
    for value, wanted, off, good in zip(mine.flat, theirs.flat, difference.flat, within.flat, strict=True):
        RECORDS.append(
            {
                "test": test,
                "what": what,
                "ours": _plain(value),
                "published": _plain(wanted),
                "difference": float(off),
                "rel": float(rel),
                "abs": float(abs),
                "unit": unit,
                "agrees": bool(good),
            }
        )
    assert np.all(within), f"{what}: ours {mine}, published {theirs}: {difference} apart, where {allowed} is allowed"


def _plain(value):
    """A number for the record; of a complex one its size."""
    return float(np.abs(value)) if np.iscomplexobj(value) else float(value)
