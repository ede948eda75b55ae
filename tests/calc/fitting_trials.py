"""How often an interval holds the truth: what tests of several ways of measuring ask."""

import numpy as np

TRIALS = 1000


def held(found, truth):
    """Whether the 95 % interval holds the truth."""
    interval = found.interval()
    assert interval is not None
    return interval[0] <= truth <= interval[1]


def holds_nineteen_in_twenty(counts):
    assert all(0.93 * TRIALS <= count <= 0.97 * TRIALS for count in np.atleast_1d(counts)), counts
