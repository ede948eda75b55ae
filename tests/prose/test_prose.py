"""The checks of wording find what they are there for, and let good prose pass."""

import subprocess
from pathlib import Path

import pytest

from calc import bridge
from tests.prose.flatten import flattened
from tests.prose.typed_figures import copied

HERE = Path(__file__).resolve().parent
PROJECT = HERE.parent.parent
LINTER = HERE / "node_modules/textlint/bin/textlint.js"

PAGE = """---
title: A page
---

# A page

A coil of [[value coil.inductance]] with $L = 2$ and `code`, see [the link](link.md#there).

??? question "Why?"
    Because it is.

| a | table |
"""


def test_lines_keep_their_places():
    flat = flattened(PAGE).split("\n")
    assert len(flat) == len(PAGE.split("\n"))
    assert flat[6] == "A coil of 12 with x and x, see the link."
    assert flat[8:10] == ["#### Why?", "Because it is."]
    assert "table" not in "".join(flat)
    assert "title" not in "".join(flat)


def test_a_figure_that_a_form_gives_is_not_typed():
    page = "# Coil\n\n[[form coil]]\n\nThis makes {}.\n"
    answer = next(row for row in bridge.run("coil", {})["rows"] if row["key"] == "inductance")
    typed = page.format(answer["text"])
    found = copied(typed)
    assert [(each.line, each.form) for each in found] == [(5, "coil")]
    assert not copied(page.format("[[value coil.inductance]]"))
    assert not copied(page.format("nothing like 777 µH"))
    assert not copied(f"---\nstated:\n  - {found[0].typed.text}: by chance\n---\n\n{typed}")


@pytest.mark.parametrize(
    ("prose", "rule"),
    [
        ("The color of the wire says nothing.", "word-list"),
        ("It is very loud.", "word-list"),
        ("One word " + "and another " * 20 + "make a long sentence.", "sentence-length"),
        (
            "Considerable electromagnetic irregularities necessitate methodological sophistication. " * 20,
            "reading-ease",
        ),
        ("Wind the coil. Tap it at ten turns. Then listen.", None),
    ],
)
def test_rules_of_prose(tmp_path, prose, rule):
    page = tmp_path / "page.md"
    page.write_text(f"# A page\n\n{prose}\n", encoding="utf-8")
    command = ["node", str(LINTER), "--config", str(HERE / ".textlintrc.json"), "--rulesdir", str(HERE / "rules")]
    command += ["--format", "unix", str(page)]
    said = subprocess.run(command, capture_output=True, text=True, check=False, cwd=PROJECT)
    assert said.returncode == (1 if rule else 0), said.stdout + said.stderr
    assert (f"/{rule}]" in said.stdout) == bool(rule), said.stdout
