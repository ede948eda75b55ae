"""Pages as a checker of prose can read them: what is not prose blanked out, each line in its place.

    python -m tests.prose.flatten TO FILE...

Front matter, formulas, code, comments, HTML, attributes and tables go; a directive becomes a figure; what is folded or
set in a box stands as ordinary text. Lines keep their numbers.
"""

import re
import sys
from pathlib import Path

FIGURE = "12"
"""What stands for a computed figure, which is read as one word."""
SYMBOL = "x"

_FRONT = re.compile(r"\A---\n.*?\n---\n", re.DOTALL)
_BLOCKS = re.compile(r"^(```|~~~).*?^\1$|^\$\$.*?\$\$|<!--.*?-->", re.DOTALL | re.MULTILINE)
_BOX = re.compile(r'^(\s*)(?:\?\?\?\+?|!!!)\s*\w*\s*(?:"(.*)")?\s*$')
_PART = re.compile(r"^\s*\[\[(?:form|chart|drawing) [^\]]*\]\]\s*(?:\{[^}]*\})?\s*$")
_INLINE = (
    (re.compile(r"\[\[[^\[\]\n]*\]\]"), FIGURE),
    (re.compile(r"\$[^$\n]+\$"), SYMBOL),
    (re.compile(r"`[^`\n]+`"), SYMBOL),
    (re.compile(r"!\[([^\]]*)\]\([^)\n]*\)"), r"\1"),
    (re.compile(r"\[([^\]\n]*)\]\([^)\n]*\)"), r"\1"),
    (re.compile(r"\{[:.# ][^}\n]*\}"), ""),
    (re.compile(r"</?[a-z][^>\n]*>"), ""),
)


def flattened(markdown: str) -> str:
    """The prose of a page, as many lines as the page has."""
    text = _BLOCKS.sub(_blank, _FRONT.sub(_blank, markdown))
    for pattern, instead in _INLINE:
        if instead == FIGURE:
            text = "\n".join("" if _PART.match(line) else line for line in text.split("\n"))
        text = pattern.sub(instead, text)
    inside: list[int] = []
    return "\n".join(_line(line, inside) for line in text.split("\n"))


def _blank(found: re.Match[str]) -> str:
    return "\n" * found[0].count("\n")


def _line(line: str, inside: list[int]) -> str:
    """One line, taken out of the boxes that it stands in; `inside` holds how far each is set in."""
    bare = line.lstrip()
    depth = len(line) - len(bare)
    while inside and bare and depth <= inside[-1]:
        inside.pop()
    if box := _BOX.match(line):
        inside.append(depth)
        return f"#### {box[2]}" if box[2] else ""
    if bare.startswith("|"):
        return ""
    return line[min(4 * len(inside), depth) :]


def main(to: Path, pages: list[Path]) -> None:
    """Writes the pages' prose below `to`, each with its own path."""
    for page in pages:
        place = to / page
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(flattened(page.read_text(encoding="utf-8")), encoding="utf-8")


if __name__ == "__main__":
    main(Path(sys.argv[1]), [Path(name) for name in sys.argv[2:]])
