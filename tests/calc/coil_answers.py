"""Answers of the coil form, its shapes, and the current sheet by hand."""

import math
from functools import partial

from scipy.constants import mu_0
from scipy.special import ellipe, ellipk

from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values as values

answer = partial(form_answer, "coil")

SHAPES = ("tube", "layers", "scramble", "spiral", "cone", "rod")
SMALL = {"layers": {"turns": "24"}, "scramble": {"turns": "40"}}


def current_sheet(turns, diameter, length):
    """Lorenz's current sheet (1879) as Rosa and Grover print it: L = mu_0 N^2 pi d^2 / (4 l) x Nagaoka's factor [H]."""
    m = diameter**2 / (diameter**2 + length**2)
    k = math.sqrt(m)
    kk = math.sqrt(1 - m)
    nagaoka = 4 / (3 * math.pi * kk) * ((kk**2 / k**2) * (ellipk(m) - ellipe(m)) + ellipe(m) - k)
    return mu_0 * turns**2 * math.pi * diameter**2 / (4 * length) * nagaoka
