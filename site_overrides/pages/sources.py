"""What the tests and the calculations say of their own sources, read from their text."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from itertools import groupby, pairwise
from pathlib import Path

TOOLS = {"scipy": "scipy", "mpmath": "mpmath", "skrf": "scikit-rf", "ngspice": "ngspice", "nec2c": "nec2c"}
"""General libraries and simulators by the word that a test has for them."""
CERTAINTIES = {"from memory": r"from memory", "assumption": r"\bassum", "common practice": r"common practice"}


class Module:
    """A test module, read but not run."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.text = path.read_text(encoding="utf-8")
        self.tree = ast.parse(self.text)
        self.title = first_sentence(ast.get_docstring(self.tree) or path.stem)
        self.tests = {
            node.name: node
            for node in ast.walk(self.tree)
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
        }

    def remarks(self, test: str) -> str:
        """What stands in the docstring and the comments of a test, each block of them a sentence."""
        node = self.tests[test]
        lines = [line.strip() for line in self.text.splitlines()[node.lineno - 1 : node.end_lineno]]
        blocks = [
            " ".join(line.lstrip("# ") for line in block)
            for remark, block in groupby(lines, lambda line: line.startswith("#"))
            if remark
        ]
        said = [part.rstrip(".") for part in (ast.get_docstring(node) or "", *blocks) if part]
        return " ".join(f"{part[:1].upper()}{part[1:]}." for part in said)

    def heads(self, test: str) -> str:
        """What the CSVs that a test reads say of themselves in their first lines."""
        return " ".join(head(self.path.parent / name) for name in sorted(self._tables(self.tests[test], set())))

    def _tables(self, node: ast.AST, seen: set[str]) -> set[str]:
        """The CSVs that a piece of the module names, by itself or through what it uses of the module."""
        found = {
            part.value
            for part in ast.walk(node)
            if isinstance(part, ast.Constant) and isinstance(part.value, str) and re.fullmatch(r"\w+\.csv", part.value)
        }
        used = {part.id for part in ast.walk(node) if isinstance(part, ast.Name)} - seen
        for statement in self.tree.body:
            names = {statement.name} if isinstance(statement, ast.FunctionDef) else set()
            if isinstance(statement, ast.Assign):
                names = {
                    part.id for target in statement.targets for part in ast.walk(target) if isinstance(part, ast.Name)
                }
            if names & used:
                found |= self._tables(statement, seen | used)
        return found

    def tools(self) -> list[str]:
        """The general libraries and simulators that the module compares with."""
        words = {part.split(".")[0] for node in ast.walk(self.tree) for part in _names(node)}
        return [name for word, name in TOOLS.items() if word in words]

    def tolerances(self) -> list[float]:
        """All tolerances over the size of a value that its comparisons state as plain figures."""
        return sorted(
            {
                float(keyword.value.value)
                for node in ast.walk(self.tree)
                if isinstance(node, ast.Call)
                for keyword in node.keywords
                if keyword.arg in {"rel", "rtol"}
                and isinstance(keyword.value, ast.Constant)
                and isinstance(keyword.value.value, int | float)
            }
        )


@cache
def read(path: Path) -> Module:
    """The module of that path, read once in a build."""
    return Module(path)


def _names(node: ast.AST) -> Iterator[str]:
    if isinstance(node, ast.Import):
        yield from (alias.name for alias in node.names)
    elif isinstance(node, ast.ImportFrom):
        yield node.module or ""
    elif isinstance(node, ast.Constant) and node.value in TOOLS:
        yield str(node.value)


def head(path: Path) -> str:
    """The first lines of a CSV, which name its source."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return " ".join(line.lstrip("# ").strip() for line in lines if line.startswith("#"))


def first_sentence(text: str) -> str:
    """Of a docstring."""
    return re.split(r"(?<=[.:;])\s", " ".join(text.split()), maxsplit=1)[0].rstrip(":;")


def statements(calc: Path, pattern: str) -> Iterator[tuple[str, str]]:
    """Every sentence in calc's docstrings and heads of data in which a pattern is found: where, and the sentence."""
    return ((where, sentence) for where, text in _texts(calc) for sentence in _sentences(text, pattern))


@cache
def _texts(calc: Path) -> list[tuple[str, str]]:
    """All heads of data and docstrings of calc, each with its place."""
    found = [(f"data/{path.name}", head(path)) for path in sorted((calc / "data").glob("*.csv"))]
    for path in sorted(calc.rglob("*.py")):
        module = ".".join(path.relative_to(calc).with_suffix("").parts)
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef):
                name = module if isinstance(node, ast.Module) else f"{module}.{node.name}"
                found.append((name, ast.get_docstring(node) or ""))
                found += [(f"{name}.{named}", text) for named, text in _said_of_names(node)]
    return found


def _said_of_names(node: ast.Module | ast.FunctionDef | ast.ClassDef) -> Iterator[tuple[str, str]]:
    """Names that are given a value and, on the next line, words on what it is."""
    for given, said in pairwise(node.body):
        target = given.target if isinstance(given, ast.AnnAssign) else getattr(given, "targets", [None])[0]
        is_text = isinstance(said, ast.Expr) and isinstance(said.value, ast.Constant)
        if isinstance(target, ast.Name) and is_text and isinstance(said.value.value, str):
            yield target.id, said.value.value


def _sentences(text: str, pattern: str) -> Iterator[str]:
    for sentence in re.split(r"(?<=[.;])\s+(?=[A-Z])", " ".join(text.split())):
        if re.search(pattern, sentence, re.IGNORECASE):
            yield sentence
