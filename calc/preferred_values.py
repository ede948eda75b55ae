"""Preferred values of resistors and capacitors: the E series of IEC 60063.

A series En has n values in a decade, evenly spaced by ratio. E3 to E24 have two figures and were fixed before the rule
was: eight of the 24 differ from it by a step. E48 and E96 have three figures and follow the rule.
"""

from calc.units import InputError

SOURCE = "IEC 60063:2015, Preferred number series for resistors and capacitors (from memory)."
SERIES = {"E6": 6, "E12": 12, "E24": 24, "E48": 48, "E96": 96}
"""Values in a decade by name of series."""
_E24 = "1.0 1.1 1.2 1.3 1.5 1.6 1.8 2.0 2.2 2.4 2.7 3.0 3.3 3.6 3.9 4.3 4.7 5.1 5.6 6.2 6.8 7.5 8.2 9.1"


def preferred_values(series: str) -> tuple[float, ...]:
    """The values from 1 up to below 10 of a series, "E6" to "E96".

    E24 and those within it stand as the standard lists them; E48 and E96 are 10^(i/n) to three figures. Exact.

    Raises:
        InputError: there is no such series here.

    Source: IEC 60063:2015 (from memory).
    """
    if series not in SERIES:
        raise InputError("series", f"must be one of {', '.join(SERIES)}")
    number = SERIES[series]
    if number <= 24:
        return tuple(float(value) for value in _E24.split())[:: 24 // number]
    return tuple(round(10.0 ** (step / number), 2) for step in range(number))
