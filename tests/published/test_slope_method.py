"""The slope method for an earth's resistance against its printed table."""

import csv
from pathlib import Path

import pytest

from calc.fitting.earth_stakes import reading, slope_method
from tests.published.checks import agree

TABLE = Path(__file__).parent / "slope_method.csv"


def rows():
    lines = TABLE.read_text(encoding="utf-8").splitlines()
    return [
        (float(row["coefficient"]), float(row["share"]))
        for row in csv.DictReader(line for line in lines if not line.startswith("#"))
    ]


@pytest.mark.parametrize(("coefficient", "share"), rows())
def test_where_the_true_reading_lies(coefficient, share):
    """Within a unit of the last printed place: some of the table's shares are rounded, others cut."""
    found = slope_method(10.0, 11.0, 11.0 + coefficient)
    agree("slope coefficient", found.coefficient, coefficient, rel=1e-12)
    agree("share of the way", found.share, share, abs=0.001)


def test_the_place_where_a_reading_is_true():
    """61.8 per cent of the way, as every guide has it: a hemisphere of 62 ohm reads 62 ohm there."""
    agree("reading at 61.8 % of the way", reading(62.0, 95.0, 0.618034 * 30.0, 30.0), 62.0, abs=1e-5, unit="ohm")
