"""What was measured: printed line by line as it comes, and kept for a page of the reference."""

from dataclasses import dataclass, field


@dataclass
class Report:
    """Tables of figures, in the order in which they were measured."""

    tables: list[list[tuple[str, ...]]] = field(default_factory=list)

    def table(self, *heads: str) -> None:
        """Begins a table; its first head is its title."""
        if self.tables:
            print()
        self.tables.append([])
        self.line(*heads)

    def line(self, *cells: str) -> None:
        """A line of the table: a name and its figures."""
        self.tables[-1].append(cells)
        print(f"{cells[0]:<46}" + "".join(f"{cell:>14}" for cell in cells[1:]), flush=True)

    def markdown(self) -> str:
        """All tables, each under its title."""
        return "\n".join(_markdown(lines) for lines in self.tables)


def _markdown(lines: list[tuple[str, ...]]) -> str:
    (title, *heads), *rows = lines
    marks = ["| --- " * (1 + len(heads)) + "|"]
    text = "\n".join(
        ["| " + " | ".join(["Measured", *heads]) + " |", *marks, *("| " + " | ".join(row) + " |" for row in rows)]
    )
    return f"## {title}\n\n{text}\n"


def milliseconds(seconds: float) -> str:
    """A time as the tables show it."""
    return f"{1e3 * seconds:.1f} ms"


def kilobytes(count: int) -> str:
    """A weight as the tables show it."""
    return f"{count / 1e3:.0f} kB"
