"""The comparison form: each coil as the coil form has it by itself, and the right one called best."""

import math
from functools import partial

import pytest

from calc import bridge
from calc.forms.coil import wound
from tests.calc.form_answers import answer as form_answer
from tests.calc.form_answers import values

answer = partial(form_answer, "coil-compare")


def rows(found, key):
    for table in found["tables"]:
        if table["key"] == key:
            names = [column["key"] for column in table["columns"]]
            return [dict(zip(names, [cell["value"] for cell in row], strict=True)) for row in table["rows"]]
    raise AssertionError(f"there is no table {key}")


COILS = {
    "tube; 60 mm; 0.4 mm; ; 0.7 mm;": {"former": "60 mm", "wire": "0.4 mm", "pitch": "0.7 mm"},
    "tube; 60 mm; 0.05 mm; 25; 0.7 mm;": {
        "former": "60 mm", "wire_kind": "stranded", "strands": "25", "strand": "0.05 mm", "pitch": "0.7 mm",
    },
    "spiral; 30 mm; 0.4 mm; ; 0.8 mm;": {"shape": "spiral", "hub": "30 mm", "wire": "0.4 mm", "pitch": "0.8 mm"},
    "layers; 20 mm; 0.3 mm; ; ; 12 mm": {"shape": "layers", "core": "20 mm", "wire": "0.3 mm", "bobbin": "12 mm"},
    "scramble; 20 mm; 0.3 mm; ; ; 12 mm": {"shape": "scramble", "core": "20 mm", "wire": "0.3 mm", "bobbin": "12 mm"},
    "tube; 60 mm; 0.4 mm; ; ;": {"former": "60 mm", "wire": "0.4 mm", "pitch": ""},
}  # fmt: skip


@pytest.mark.parametrize("line", COILS)
def test_each_coil_is_that_of_the_coil_form(line):
    found = answer(coils=line, inductance="180 µH", frequency="800 kHz")
    (takes,), (gives,) = rows(found, "coils"), rows(found, "loss")
    whole = takes["turns"]
    assert whole == round(whole)
    alone = bridge.run("coil", COILS[line] | {"turns": f"{whole:.0f}", "frequency": "800 kHz"})
    single = {row["key"]: row["value"] for row in alone["rows"]}
    assert takes["inductance"] == pytest.approx(single["inductance"], rel=1e-12)
    assert takes["wire_length"] == pytest.approx(single["wire_length"], rel=1e-12)
    assert gives["quality"] == pytest.approx(single["quality"], rel=1e-9)
    assert gives["resistance"] == pytest.approx(single["rf_resistance"], rel=1e-9)
    if single["self_resonance"] is None:
        assert gives["self_resonance"] is None
    else:
        assert gives["self_resonance"] == pytest.approx(single["self_resonance"], rel=1e-9)
    beside = [
        bridge.run("coil", COILS[line] | {"turns": f"{whole + step:.0f}"})["rows"][1]["value"] for step in (-1, 1)
    ]
    assert all(abs(other - 180e-6) >= abs(takes["inductance"] - 180e-6) for other in beside)


def test_the_best_is_called_best():
    found = answer(coils="\n".join(list(COILS)[:4]))
    quality = [row["quality"] for row in rows(found, "loss")]
    assert values(found)["best_quality"] == max(quality)
    assert values(found)["worst_quality"] == min(quality)
    assert f"Coil {quality.index(max(quality)) + 1} " in found["sentence"]
    assert values(found)["ratio"] == pytest.approx(max(quality) / min(quality), rel=1e-12)
    least = min(rows(found, "coils"), key=lambda row: row["wire_length"])
    assert least["coil"] in next(row["label"] for row in found["rows"] if row["key"] == "least_wire")


@pytest.mark.parametrize("line", COILS)
def test_an_answer_does_not_hang_on_those_before_it(line):
    """Coils are kept from one edit to the next: there and back, and at once, make the same."""
    sizes = [40.0 + 3.0 * step for step in range(60)]
    texts = [{"coils": line, "inductance": f"{size} µH"} for size in [*sizes, *reversed(sizes)]]
    kept = [answer(**text) for text in texts]
    assert kept[: len(sizes)] == kept[: len(sizes) - 1 : -1]
    for text, found in list(zip(texts, kept, strict=True))[: len(sizes) : 12]:
        for memory in (wound._whole, wound._inductances):
            memory.cache_clear()
        assert answer(**text) == found


def test_each_has_its_own_line_in_the_chart():
    found = answer(frequency="700 kHz")
    (chart,) = found["charts"]
    assert [line["key"] for line in chart["series"]] == ["coil-1", "coil-2", "coil-3", "coil-4"]
    for line, row in zip(chart["series"], rows(found, "loss"), strict=True):
        middle = len(line["x"]) // 2
        assert line["x"][middle] == pytest.approx(700e3, rel=1e-12)
        assert line["y"][middle] == pytest.approx(row["quality"], rel=1e-9)


def test_the_drawing_has_all_to_one_scale():
    found = answer(coils="tube; 100 mm; 1 mm; ; 2 mm;\ntube; 50 mm; 1 mm; ; 2 mm;", inductance="40 µH")
    (drawing,) = found["drawings"]
    circles = [shape for shape in drawing["shapes"] if shape["shape"] == "circle"]
    assert {round(abs(circle["y"]), 3) for circle in circles} == {50.5, 25.5}
    first, second = rows(found, "coils")
    assert len(circles) == 2 * (first["turns"] + second["turns"])
    assert math.isclose(drawing["box"][3], 101.0, rel_tol=0.2)


@pytest.mark.parametrize(
    ("line", "column", "words"),
    [
        ("layers; 20 mm; 0.3 mm; ; ;", "length", "wants its length"),
        ("tube; 60 mm; 0.8 mm; ; 0.7 mm;", "pitch", "at least the wire"),
        ("tube; 60 mm; 3 mm; ; ;", "wire", "0.04 to 2 mm"),
        ("tube; 60 mm; 0.01 mm; 5; ;", "wire", "0.04 to 0.5 mm"),
        ("tube; 3 mm; 4 mm; ; 5 mm;", "former", "no less than the wire"),
        ("layers; 20 mm; 0.3 mm; ; ; 0.5 mm", "former", "is too much"),
        ("layers; 20 mm; 1 mm; ; ; 1 mm", "length", "at least one turn"),
        ("heap; 20 mm; 0.3 mm", "shape", "must be one of"),
        ("tube; 5 mm; 0.1 mm; ; ;", "former", "is too much"),
    ],
)
def test_a_coil_that_cannot_be_is_named_by_row_and_cell(line, column, words):
    found = bridge.run("coil-compare", {"coils": f"tube; 75 mm; 0.5 mm; ; 0.8 mm;\n{line}", "inductance": "9 mH"})
    assert found["ok"] is False
    assert words in found["errors"]["coils"]
    assert "Row 2" in found["errors"]["coils"]
    assert found["cells"] == [{"field": "coils", "row": 1, "column": column}]


def test_four_at_most():
    line = "tube; 75 mm; 0.5 mm; ; 0.8 mm;"
    assert answer(coils="\n".join([line] * 4))
    assert "4 rows at most" in bridge.run("coil-compare", {"coils": "\n".join([line] * 5)})["errors"]["coils"]
