"""Detector diodes and rectified voltages against found and independently computed values."""

import csv
from pathlib import Path

import numpy as np
import pytest

from calc import detectors
from calc.detectors import Diode, rectify
from tests.published.checks import agree

HERE = Path(__file__).parent
TEMPERATURE = 298.15


def rows(name):
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


@pytest.mark.parametrize("row", rows("detectors_diodes.csv"), ids=lambda row: row["diode"])
def test_zero_bias_resistance(row):
    diode = Diode(float(row["Is_A"]), float(row["n"]), TEMPERATURE)
    agree("resistance at no bias", diode.zero_bias_resistance, float(row["Rj0_ohm"]), rel=3e-6, unit="ohm")


def test_presets_are_the_found_values():
    found = {row["diode"]: row for row in rows("detectors_diodes.csv")}
    found["1N34A type"] = found.pop('1N34A "library" card')
    del found["HSMS-2820 lot mean to Jan 1997"]  # a spread, not a type
    presets = {name: preset for name, preset in detectors.presets().items() if not preset.assumed}
    assert presets.keys() == found.keys()
    for name, preset in presets.items():
        row = found[name]
        assert preset.diode == Diode(float(row["Is_A"]), float(row["n"]), TEMPERATURE)
        assert preset.series_resistance == float(row["Rs_ohm"])
        agree("junction capacitance", preset.junction_capacitance, float(row["Cj0_pF"]) * 1e-12, rel=1e-12, unit="F")


@pytest.mark.parametrize("row", rows("detectors_rectified.csv"), ids=lambda r: f"{r['diode']}-{r['RL_ohm']}-{r['A_V']}")
def test_rectified_voltage_and_input_resistance(row):
    diode = Diode(float(row["Is_A"]), float(row["n"]), TEMPERATURE)
    drive, load = float(row["A_V"]), float(row["RL_ohm"])
    found = rectify(diode, drive, load)
    # The table prints ten figures of the voltage and eight of power and resistance.
    agree("rectified voltage", found.dc_voltage, float(row["Vdc_V"]), rel=1e-9, unit="V")
    agree("input resistance", found.input_resistance, float(row["Rin_ohm"]), rel=1e-7, unit="ohm")
    agree("input power", drive**2 / (2 * found.input_resistance), float(row["Pin_W"]), rel=1e-7, unit="W")
    if row["vdc_spice"]:  # ngspice bends the reverse characteristic: its own error, which the table explains
        agree("rectified voltage against ngspice", found.dc_voltage, float(row["vdc_spice"]), rel=1e-3, unit="V")
        agree(
            "input power against ngspice",
            drive**2 / (2 * found.input_resistance),
            float(row["pin_spice"]),
            rel=2e-3,
            unit="W",
        )


def test_the_table_is_whole():
    # Its head announces a third diode, of the zero-bias kind, whose rows it does not have;
    # tests/calc/test_detectors.py checks three diodes against mpmath.
    table = rows("detectors_rectified.csv")
    assert [len({row[column] for row in table}) for column in ("diode", "RL_ohm", "A_V")] == [2, 3, 8]
    assert len(table) == 48


@pytest.mark.parametrize("row", rows("detectors_transition.csv"), ids=lambda row: row["below_square_law_dB"])
def test_departure_from_square_law_on_a_matched_load(row):
    diode = Diode(1e-7, 1.0, TEMPERATURE)
    drive = float(row["u=A/nVt"]) * diode.thermal_voltage
    agree("drive", drive, float(row["A_mV_n1"]) * 1e-3, rel=1e-7, unit="V")
    voltage = rectify(diode, drive, diode.zero_bias_resistance).dc_voltage
    agree(
        "rectified voltage over the thermal voltage",
        voltage / diode.thermal_voltage,
        float(row["Vdc_over_nVt"]),
        rel=1e-8,
    )
    square_law = drive**2 / (8 * diode.thermal_voltage)
    agree(
        "departure from the square law",
        20 * np.log10(square_law / voltage),
        float(row["below_square_law_dB"]),
        abs=1e-7,
        unit="dB",
    )
