"""Heights that both halves of a circuit diagram keep to."""

RAIL, EARTH = 60.0, 236.0
"""The wire along the top, and that along the bottom."""

COIL_TOP, COIL_BOTTOM = 100.0, 200.0
LOOPS = 6

PLATES = 150.0
"""Middle of the capacitors that stand between the two wires."""


def between_loops(count: int) -> float:
    """Height of the place below so many of the coil's loops."""
    return COIL_TOP + (COIL_BOTTOM - COIL_TOP) * count / LOOPS
