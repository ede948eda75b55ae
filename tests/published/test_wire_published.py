"""Wire sizes and skin effect against standards and independently computed values; sources in the heads of the CSVs."""

import csv
from pathlib import Path

import numpy as np
import pytest

from calc import wire
from tests.published.checks import agree

HERE = Path(__file__).parent


def rows(name):
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


def named(row):
    return f"{row['gauge']} mm" if row["system"] == "metric" else f"{row['system']} {row['gauge']}"


@pytest.mark.parametrize("row", rows("wire_sizes.csv"), ids=named)
def test_sizes_and_resistance(row):
    size = wire.diameter(named(row))
    # the columns have 7 figures
    agree("diameter", size, float(row["d_mm_exact"]) * 1e-3, rel=5e-7, unit="m")
    agree("diameter by the inch", size, float(row["d_inch"] or size / 0.0254) * 0.0254, rel=5e-7, unit="m")
    agree(
        "resistance of a kilometre",
        wire.dc_resistance(size, 1000.0),
        float(row["R_ohm_per_km_20C"]),
        rel=5e-7,
        unit="ohm",
    )
    if row["d_mm_printed"] and named(row) != "SWG 0":
        # SWG 0 is printed as 8.236 mm, a misprint: 0.324 in is 8.2296 mm
        agree("diameter, printed", size * 1e3, float(row["d_mm_printed"]), abs=0.0005 + 1e-12, unit="mm")


def test_fixed_points_of_the_american_gauge():
    # ASTM B258: No. 36 is 0.0050 in and No. 0000 is 0.4600 in, exactly
    agree("diameter of AWG 36", wire.diameter("AWG 36"), 0.005 * 0.0254, rel=1e-15, unit="m")
    agree("diameter of AWG 4/0", wire.diameter("AWG 4/0"), 0.46 * 0.0254, rel=1e-14, unit="m")
    agree("ratio of neighbouring gauges", wire.diameter("AWG 20") / wire.diameter("AWG 21"), 1.1229322, rel=1e-7)


def test_skin_effect_of_the_argument():
    table = rows("wire_skin_ratio.csv")
    argument = np.array([float(row["x"]) for row in table])
    # a wire of 2 mm at such a frequency that a sqrt(omega mu0 / rho) is the argument
    frequency = argument**2 * wire.resistivity() / (2.0 * np.pi * 1.25663706127e-6 * 1e-3**2)
    exact = np.array([float(row["R_ratio_exact"]) for row in table])
    inner = np.array([float(row["Li_ratio_exact"]) for row in table])
    agree("resistance ratio", wire.resistance_ratio(2e-3, frequency), exact, rel=1e-11)
    agree("internal inductance ratio", wire.internal_inductance_ratio(2e-3, frequency), inner, rel=1e-11)
    for row, value in zip(table, wire.resistance_ratio(2e-3, frequency), strict=True):
        if row["table_R"]:
            digits = len(row["table_R"].replace(".", "").lstrip("0"))
            step = 10.0 ** (np.floor(np.log10(float(row["table_R"]))) - digits + 1)
            agree("resistance ratio, printed", value, float(row["table_R"]), abs=0.51 * step)


def test_skin_effect_at_a_published_point():
    # J. H. Neher and M. H. McGrath, Trans. AIEE 76 (1957) table III: 10.05 % more at x = 2.14
    frequency = 2.14**2 * wire.resistivity() / (2.0 * np.pi * 1.25663706127e-6 * 1e-3**2)
    agree("resistance ratio at 2.14", wire.resistance_ratio(2e-3, frequency), 1.1005, abs=0.00005)


@pytest.mark.parametrize("row", rows("wire_skin_cases.csv"), ids=lambda row: f"{row['d_mm']}mm-{row['f_kHz']}kHz")
def test_wires_in_the_bands(row):
    size, frequency = float(row["d_mm"]) * 1e-3, float(row["f_kHz"]) * 1e3
    agree("skin depth", wire.skin_depth(frequency), float(row["delta_mm"]) * 1e-3, rel=1e-6, unit="m")
    agree(
        "resistance of a metre, to d.c.",
        wire.dc_resistance(size, 1.0),
        float(row["Rdc_mohm_per_m"]) * 1e-3,
        rel=1e-7,
        unit="ohm",
    )
    agree("resistance ratio", wire.resistance_ratio(size, frequency), float(row["ratio"]), rel=1e-7)
    at_frequency = wire.dc_resistance(size, 1.0) * wire.resistance_ratio(size, frequency)
    agree("resistance of a metre", at_frequency, float(row["Rac_mohm_per_m"]) * 1e-3, rel=1e-7, unit="ohm")
