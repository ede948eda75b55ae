"""The coil form at its limits, and beyond them."""

import pytest

from calc import bridge
from tests.calc.coil_answers import answer, values


@pytest.mark.parametrize(
    ("texts", "field"),
    [
        ({"wire": "25 mm", "former": "100 mm", "pitch": "30 mm"}, "wire"),
        ({"wire": "6 mm", "former": "5 mm", "pitch": "7 mm"}, "former"),
        ({"wire": "3 mm", "pitch": ""}, "covering"),
        ({"former_shape": "square", "turns": "1000", "pitch": "1 mm"}, "turns"),
        ({"former_shape": "square", "turns": "1", "pitch": "0.6 mm"}, "turns"),
        ({"former_shape": "square", "find": "turns", "inductance": "100 mH"}, "inductance"),
        ({"shape": "layers", "turns": "60.5"}, "turns"),
        ({"shape": "layers", "bobbin": "0.5 mm"}, "bobbin"),
        ({"shape": "layers", "bobbin": "2 mm", "turns": "181"}, "turns"),
        ({"shape": "layers", "find": "turns", "inductance": "100 mH", "core": "5 mm"}, "inductance"),
        ({"shape": "layers", "find": "turns", "inductance": "0.1 µH", "core": "200 mm"}, "inductance"),
        ({"shape": "scramble", "bobbin": "0.55 mm"}, "bobbin"),
        ({"shape": "scramble", "bobbin": "0.7 mm", "turns": "61"}, "turns"),
        ({"shape": "spiral", "turns": "301"}, "turns"),
        ({"shape": "spiral", "pitch": "0.4 mm"}, "pitch"),
        ({"shape": "cone", "turns": "97"}, "turns"),
        ({"shape": "cone", "find": "turns", "inductance": "1 mH"}, "inductance"),
        ({"shape": "rod", "rod_length": "15 mm"}, "rod_length"),
        ({"shape": "rod", "turns": "188"}, "turns"),
        ({"shape": "rod", "offset": "74.9 mm"}, "offset"),
        ({"shape": "rod", "find": "turns", "inductance": "2 mH"}, "inductance"),
        ({"wire_kind": "stranded", "strand": "0.03 mm"}, "strand"),
        ({"wire_kind": "stranded", "bundle": "0.2 mm"}, "bundle"),
        ({"wire_kind": "stranded", "strands": "400"}, "pitch"),
        ({"taps": "60"}, "taps"),
        ({"taps": "0"}, "taps"),
        ({"taps": "ten"}, "taps"),
        ({"taps": ", ".join(str(n) for n in range(1, 14))}, "taps"),
        ({"find": "turns", "inductance": "0.5 µH", "leads": "2 m"}, "leads"),
    ],
)
def test_shapes_beyond_the_limits_are_refused_by_name(texts, field):
    found = bridge.run("coil", texts)
    assert found["ok"] is False
    assert list(found["errors"]) == [field]


@pytest.mark.parametrize(
    "texts",
    [
        {"wire": "20 mm", "former": "100 mm", "pitch": "30 mm", "covering": "bare"},
        {"wire": "2 mm", "pitch": ""},
        {"shape": "layers", "bobbin": "2 mm", "turns": "180"},
        {"shape": "spiral", "turns": "300"},
        {"shape": "cone", "turns": "95"},
        {"shape": "rod", "turns": "187"},
        {"shape": "rod", "offset": "50 mm"},
        {"taps": "59.99"},
        {"turns": "2000", "pitch": "0.6 mm"},
    ],
)
def test_shapes_at_the_limits_are_answered(texts):
    assert answer(**texts)["ok"]


@pytest.mark.parametrize(("turns", "known"), [("10", True), ("9", False)])
def test_self_capacitance_is_known_from_a_tenth_of_the_diameter_on(turns, known):
    """Medhurst's table begins at a length of 0.1 diameters: 9.44 turns of 0.8 mm here."""
    found = answer(turns=turns)
    assert (values(found)["self_capacitance"] is not None) == known
    how = {row["key"]: row["how"] for row in found["rows"]}["self_capacitance"]
    assert ("0.1 to 50" in how) != known
