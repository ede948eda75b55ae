"""Hearing, rooms and earphones against published tables."""

import csv
from pathlib import Path

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from calc import earphones
from calc.earphones import Earphone, room_noise, sound_level, threshold
from tests.published.checks import agree

HERE = Path(__file__).parent


def rows(name):
    lines = (HERE / name).read_text(encoding="utf-8").splitlines()
    return [
        {key: float(value) for key, value in row.items()}
        for row in csv.DictReader(line for line in lines if not line.startswith("#"))
    ]


THRESHOLD = rows("hearing_threshold.csv")


@pytest.mark.parametrize("row", THRESHOLD, ids=lambda row: f"{row['frequency']:g} Hz")
def test_threshold_at_every_printed_frequency(row):
    agree("threshold of hearing", threshold(row["frequency"]), row["T_f"], abs=1e-9, unit="dB")


def test_threshold_between_the_printed_frequencies():
    """A monotone cubic over the logarithm of frequency, which scipy has too: the same slopes, by its own code."""
    at = np.geomspace(20.0, 12500.0, 500)
    printed = np.log([row["frequency"] for row in THRESHOLD])
    curve = PchipInterpolator(printed, [row["T_f"] for row in THRESHOLD])
    agree(
        "threshold between printed frequencies",
        threshold(at),
        curve(np.clip(np.log(at), printed[0], printed[-1])),
        abs=1e-9,
        unit="dB",
    )


def contour(row, loudness_level):
    """Level of a tone of that loudness level by ISO 226:2023 equation (1), from the columns of its table [dB]."""
    alpha, transfer, hearing = row["alpha_f"], row["L_U"], row["T_f"]
    term = (4e-10) ** (0.3 - alpha) * (10 ** (0.03 * loudness_level) - 10**0.072) + 10 ** (
        alpha * (hearing + transfer) / 10
    )
    return 10 / alpha * np.log10(term) - transfer


def test_the_table_is_the_standards_own():
    """By the standard's formula (from memory) its table gives back the one contour value that was seen in it, 78.5 dB
    for 60 phon at 100 Hz (table B.1), and 1 kHz at its own loudness level."""
    by_frequency = {row["frequency"]: row for row in THRESHOLD}
    agree("60 phon at 100 Hz", contour(by_frequency[100.0], 60.0), 78.5, abs=0.05, unit="dB")
    for level in (20.0, 40.0, 60.0, 80.0):
        agree(
            "a tone of 1 kHz at its own loudness level",
            contour(by_frequency[1000.0], level),
            level,
            abs=1e-9,
            unit="dB",
        )


@pytest.mark.parametrize("row", rows("room_noise.csv"), ids=lambda row: f"NC-{row['curve']:g}")
def test_room_noise_on_every_curve(row):
    for band in (63, 125, 250, 500, 1000, 2000, 4000, 8000):
        agree(
            "level of a noise curve in an octave", room_noise(row["curve"], band), row[str(band)], abs=1e-9, unit="dB"
        )


@pytest.mark.parametrize("row", rows("receiver_calibration.csv"), ids=lambda row: f"{row['frequency']:g} Hz")
def test_levels_add_up_as_in_a_calibrated_receiver(row):
    """A receiver of known level for a volt, driven with a known voltage: the sum of levels, on any impedance."""
    for impedance in (100.0, 10e3):
        sensitivity = row["level_per_volt"] + 10 * np.log10(1e-3 * impedance)  # a milliwatt is that many volts squared
        power = 10 ** (row["voltage"] / 10) / impedance
        agree("sound level", sound_level(Earphone(impedance, sensitivity), power), row["level"], abs=1e-9, unit="dB")


def test_kinds_of_earphone_lie_within_the_ranges_of_the_trade():
    """Handbook lore, from memory: magnetic pairs 100 to 115 dB for 1 mW, impedance five to six times the resistance to
    d.c. of 2 x 2000 ohm; balanced armature 115 to 125 dB at 600 ohm. The trade's range for dynamic headphones, 88 to
    105 dB, was found."""
    kinds = earphones.earphone_kinds()
    assert 100 <= kinds["magnetic"].earphone.sensitivity <= 115
    assert 10e3 <= kinds["magnetic"].earphone.impedance <= 24e3
    assert 115 <= kinds["armature"].earphone.sensitivity <= 125
    assert kinds["armature"].earphone.impedance == 600
    assert 88 <= kinds["dynamic"].earphone.sensitivity <= 105
    assert all(kind.spread > 0 and kind.note for kind in kinds.values())
