"""The coil form's wire: strands, covering, leads, warmth, and the capacitance across it."""

import math

import pytest
from scipy.constants import mu_0

from tests.calc.coil_answers import answer, values


def test_stranded_wire_by_hand():
    """40 strands of 0.05 mm, each 2 % longer than the wire that they make (IEC 60317-11)."""
    found = values(answer(wire_kind="stranded", strands="40", strand="0.05 mm"))
    area = 40 * math.pi / 4 * 0.05**2
    assert found["dc_resistance"] == pytest.approx(1.02 * found["wire_length"] / 58 / area, rel=1e-3)
    assert found["copper"] == pytest.approx(1.02 * found["wire_length"] * area * 8.89, rel=1e-3)
    assert found["quality"] > values(answer())["quality"]


def test_strands_thicker_than_the_skin_are_remarked_on():
    def remarked(**texts):
        return any("thicker than a skin depth" in a["text"] for a in answer(wire_kind="stranded", **texts)["advice"])

    assert remarked(strand="0.1 mm", strands="7")
    assert not remarked(strand="0.05 mm")
    assert not remarked(strand="0.1 mm", strands="7", frequency="200k")


def test_covering_decides_how_close_turns_lie():
    """IEC 60317-0-1: 0.5 mm wire is 0.544 mm at most in grade 1 and 0.566 mm in grade 2."""
    for covering, size in (("bare", 0.5e-3), ("enamel-1", 0.544e-3), ("enamel-2", 0.566e-3)):
        assert values(answer(pitch="", covering=covering))["length"] == pytest.approx(60 * size, rel=1e-9)


def test_leads_by_hand():
    """Rosa (1908): a straight wire has mu0 l/2 pi (ln(4 l/d) - 1), 0.3 m of 0.5 mm wire 0.41 microhenry."""
    found, bare = values(answer(leads="300 mm")), values(answer())
    by_hand = mu_0 * 0.3 / (2 * math.pi) * (math.log(4 * 0.3 / 0.5e-3) - 1)
    assert found["leads_inductance"] == pytest.approx(by_hand, rel=1e-9)
    assert found["inductance"] == pytest.approx(bare["inductance"] + by_hand, rel=1e-9)
    assert found["wire_length"] == pytest.approx(bare["wire_length"] + 0.3, rel=1e-12)
    wanted = values(answer(find="turns", inductance="240 µH", leads="300 mm"))
    assert wanted["inductance"] == pytest.approx(240e-6, rel=1e-9)


def test_copper_gains_resistance_with_warmth():
    """IEC 60028: 0.393 % a kelvin, from 20 degrees."""
    warm, cool = values(answer(temperature="45 °C")), values(answer())
    assert warm["dc_resistance"] == pytest.approx(cool["dc_resistance"] * (1 + 0.00393 * 25), rel=1e-9)
    assert (
        cool["rf_resistance"]
        < warm["rf_resistance"]
        < warm["dc_resistance"] / cool["dc_resistance"] * cool["rf_resistance"]
    )


def test_a_measured_capacitance_is_taken_in_any_shape():
    found = values(answer(shape="spiral", own_capacitance="12 pF"))
    own, across, omega = found["inductance"], 12e-12, 2 * math.pi * 1e6
    assert found["self_resonance"] == pytest.approx(1 / (2 * math.pi * math.sqrt(own * across)), rel=1e-9)
    seen = 1 / (1 / (found["rf_resistance"] + 1j * omega * own) + 1j * omega * across)
    assert found["effective_inductance"] == pytest.approx(seen.imag / omega, rel=1e-3)
    assert found["effective_quality"] == pytest.approx(seen.imag / seen.real, rel=1e-6)
    assert values(answer(shape="spiral"))["self_resonance"] is None


def test_loss_where_the_capacitance_lies_by_hand():
    """omega^3 L^2 C tan delta in series (Terman 1943)."""
    found = values(answer(loss_tangent="0.02"))
    clean = values(answer())
    lost = (2 * math.pi * 1e6) ** 3 * clean["inductance"] ** 2 * clean["self_capacitance"] * 0.02
    assert found["former_resistance"] == pytest.approx(lost, rel=1e-9)
    assert found["rf_resistance"] == pytest.approx(clean["rf_resistance"] + lost, rel=1e-9)


def test_above_a_third_of_self_resonance_the_reader_is_told():
    def told(frequency):
        return " ".join(a["text"] for a in answer(frequency=frequency)["advice"])

    resonance = values(answer())["self_resonance"]
    assert "third" not in told(f"{0.3 * resonance} Hz").replace("cost a third", "")
    assert "above a third" in told(f"{0.4 * resonance} Hz")
    assert "acts as a capacitor" in told(f"{1.1 * resonance} Hz")
    above = values(answer(frequency=f"{1.1 * resonance} Hz"))
    assert above["effective_inductance"] is None
    assert above["effective_quality"] is None
