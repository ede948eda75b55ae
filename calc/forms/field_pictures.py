"""The drawing of the field form: the two ways from a station to a listener. Not to scale."""

from math import cos, radians, sin

from calc.forms.shapes import Circle, Drawing, Line, Point, Shape, Text

_RADIUS = 620.0
_LEFT, _RIGHT = -21.0, 21.0
"""Directions of station and listener from the middle of the earth, from upright [degrees]."""
_ABSORBING, _MIRROR = 62.0, 128.0
"""Heights of the layer that takes the wave by day, and of the one that sends it back."""


def _over(degrees: float, height: float = 0.0) -> Point:
    """The point at a height over the ground, in a direction from the middle of the earth."""
    reach = _RADIUS + height
    return reach * sin(radians(degrees)), _RADIUS - reach * cos(radians(degrees))


def _along(start: float, end: float, height: float, steps: int = 24) -> list[Point]:
    return [_over(start + (end - start) * step / steps, height) for step in range(steps + 1)]


def _mast(degrees: float, height: float) -> list[Shape]:
    return [Line((_over(degrees), _over(degrees, height))), Circle(*_over(degrees, height), 2.5, filled=True)]


def way_drawing() -> Drawing:
    """The ground wave along the earth, and the sky wave by way of the ionosphere."""
    station, listener, top = _over(_LEFT, 34.0), _over(_RIGHT, 14.0), _over(0.0, _MIRROR)
    return Drawing(
        key="way",
        title="Two ways to you",
        description=(
            "From a mast on the left the ground wave follows the round earth to a listener on the right, by day and "
            "by night. A second ray goes up to the high layer of the ionosphere and comes down at the listener. On "
            "its way it passes a lower layer twice, which absorbs it by day and is gone after dark."
        ),
        left=-290.0,
        top=-168.0,
        width=580.0,
        height=258.0,
        type_size=13.0,
        shapes=(
            Line(_along(-27.0, 27.0, 0.0), "ground"),
            *_mast(_LEFT, 34.0),
            *_mast(_RIGHT, 14.0),
            Line(_along(_LEFT + 0.8, _RIGHT - 0.8, 8.0), "accent"),
            Line((station, top, listener), "accent", dashed=True),
            Line(_along(-24.0, 24.0, _ABSORBING), "thin", dashed=True),
            Line(_along(-20.0, 20.0, _MIRROR), "thin"),
            Text(0.0, 24.0, "ground wave, by day and by night"),
            Text(0.0, -_MIRROR - 18.0, "high layer: sends the wave back"),
            Text(0.0, -_ABSORBING + 18.0, "low layer, by day only"),
            Text(_over(_LEFT)[0] - 6.0, _over(_LEFT)[1] + 22.0, "station"),
            Text(_over(_RIGHT)[0] + 6.0, _over(_RIGHT)[1] + 22.0, "you"),
            Text(
                0.62 * top[0] + 0.38 * listener[0] + 20.0,
                0.62 * top[1] + 0.38 * listener[1],
                "sky wave",
                "start",
                "accent",
            ),
        ),
    )
