"""The tables of reference: calc's own figures, laid out once, and written from that both as a page and as CSV."""

import csv
import io
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from calc import bands, earphones, earths, ground_wave, preferred_values, tables, wire
from calc.constants import SPEED_OF_LIGHT
from calc.detectors import presets
from calc.units import InputError, number
from site_overrides.pages.markup import element, escape


@dataclass(frozen=True)
class Column:
    """A column: its head, the unit that head names, that unit in SI, figures shown, and whether noughts at the end are
    among them, as they are in what was worked out. No unit, no figures: words."""

    head: str
    unit: str = ""
    factor: float = 1.0
    digits: int = 4
    zeros: bool = False

    @property
    def title(self) -> str:
        """The head with its unit."""
        return f"{self.head} [{self.unit}]" if self.unit else self.head


Cell = str | float | None


@dataclass(frozen=True)
class Reference:
    """A table: its word in addresses, caption, columns, rows in SI units, and where the figures come from."""

    key: str
    caption: str
    columns: Sequence[Column]
    rows: Sequence[Sequence[Cell]]
    source: str

    def texts(self) -> list[list[str]]:
        """The cells as they are shown, row by row. An empty one stands for what is not known or does not apply."""
        return [[_text(cell, column) for cell, column in zip(row, self.columns, strict=True)] for row in self.rows]

    def csv(self) -> str:
        """The table as CSV: the source in the first line, then heads, then the figures that the page shows."""
        out = io.StringIO()
        out.write(f"# {self.caption}. {self.source}\n")
        writer = csv.writer(out, lineterminator="\n")
        writer.writerow([column.title for column in self.columns])
        for row, shown in zip(self.rows, self.texts(), strict=True):
            writer.writerow(
                text if isinstance(cell, str) else text.replace("−", "-") for cell, text in zip(row, shown, strict=True)
            )
        return out.getvalue()

    @property
    def address(self) -> str:
        """Of the CSV, from the root of the site."""
        return f"tables/{self.key}.csv"

    def html(self) -> str:
        """The table with its source and a link to the CSV, which lies in the folder above the page's."""
        heads = "".join(
            element("th", {"role": "columnheader", "scope": "col", "class": self._dress(index)}, escape(column.title))
            for index, column in enumerate(self.columns)
        )
        rows = "".join(self._row(row, texts) for row, texts in zip(self.rows, self.texts(), strict=True))
        table = element(
            "table",
            {"class": "bp-table", "role": "table", "aria-describedby": f"{self.key}-source"},
            element("caption", {}, escape(self.caption)),
            element("thead", {"role": "rowgroup"}, element("tr", {"role": "row"}, heads)),
            element("tbody", {"role": "rowgroup"}, rows),
        )
        link = element("a", {"href": f"../{self.key}.csv", "download": f"{self.key}.csv"}, f"Download {self.key}.csv")
        source = element("p", {"class": "bp-cited", "id": f"{self.key}-source"}, escape(self.source), " ", link)
        return element(
            "div",
            {"class": "bp-reference", "id": f"table-{self.key}"},
            element("div", {"class": "bp-scroll"}, table),
            source,
        )

    def _dress(self, index: int) -> str | None:
        """Heads stand as their columns do: words to the left, figures to the right."""
        return "bp-words" if any(isinstance(row[index], str) for row in self.rows) else None

    def _row(self, row: Sequence[Cell], texts: Sequence[str]) -> str:
        cells = [element("th", {"role": "rowheader", "scope": "row"}, escape(texts[0]))]
        for column, cell, text in zip(self.columns[1:], row[1:], texts[1:], strict=True):
            words = "bp-words" if isinstance(cell, str) else None
            cells.append(
                element("td", {"role": "cell", "data-label": column.title, "class": words}, escape(text or "–"))
            )
        return element("tr", {"role": "row"}, *cells)


def _text(cell: Cell, column: Column) -> str:
    if cell is None:
        return ""
    return cell if isinstance(cell, str) else number(cell / column.factor, column.digits, column.zeros)


# --- wire ---------------------------------------------------------------------------------------------------------

_SIZES = (
    Column("Diameter", "mm", 1e-3, zeros=True),
    Column("Area", "mm²", 1e-6, zeros=True),
    Column("Resistance at 20 °C", "Ω/km", 1e-3, zeros=True),
    *(Column(covering.capitalize(), "mm", 1e-3, zeros=True) for covering in wire.COVERINGS[1:]),
    Column("Turns, enamel grade 1", "1/cm", 1e2, 3, zeros=True),
)
_COVERED = (
    " Covered diameters: enamel as the greatest that IEC 60317-0-1 allows, read between its sizes; silk and cotton "
)
_COVERED += "are common practice. Turns lie close."


def _covered(bare: float, covering: str) -> float | None:
    """The covered diameter, or None for sizes that the covering's table does not reach."""
    try:
        return float(wire.covered_diameter(bare, covering))
    except InputError:
        return None


def _sizes(name: str) -> list[Cell]:
    bare = wire.diameter(name)
    covered = [_covered(bare, covering) for covering in wire.COVERINGS[1:]]
    resistance = float(wire.dc_resistance(bare, 1.0))
    area = float(wire.resistivity()) / resistance
    return [name, bare, area, resistance, *covered, 1.0 / covered[0] if covered[0] else None]


def _wire(key: str, caption: str, names: Sequence[str], source: str) -> Reference:
    return Reference(key, caption, (Column("Wire"), *_SIZES), [_sizes(name) for name in names], source + _COVERED)


def _awg() -> Reference:
    names = [f"AWG {number}" for number in range(10, 47)]
    source = "Diameter by the definition of ASTM B258: No. 36 is 0.0050 in, No. 0000 is 0.4600 in, ratios even between."
    return _wire("wire-awg", "American wire gauge", names, source)


def _swg() -> Reference:
    names = [f"SWG {gauge}" for gauge in wire.standard_wire_gauge() if "/" not in gauge and int(gauge) >= 10]
    return _wire("wire-swg", "Standard wire gauge", names, tables.source("standard_wire_gauge"))


def _metric() -> Reference:
    names = [f"{row['nominal']} mm" for row in tables.read("enamelled_wire")]
    return _wire("wire-metric", "Metric wire", names, tables.source("enamelled_wire"))


# --- bands and parts ----------------------------------------------------------------------------------------------


def _plans() -> Reference:
    heads = ("Band from", "to", "First channel", "Last channel", "Spacing")
    columns = [Column("Plan"), *(Column(head, "kHz", 1e3, 5) for head in heads), Column("Channels")]
    rows = [
        [plan.name, plan.low, plan.high, plan.first, plan.last, plan.step, float(plan.channels().size)]
        for plan in bands.channel_plans().values()
    ]
    return Reference("channel-plans", "Channel plans", columns, rows, tables.source("channel_plans"))


def _channels(key: str) -> Callable[[], Reference]:
    def made() -> Reference:
        plan = bands.channel_plans()[key]
        columns = (Column("Channel"), Column("Carrier", "kHz", 1e3, 5), Column("Wavelength", "m", zeros=True))
        rows = [
            [str(place), float(carrier), SPEED_OF_LIGHT / float(carrier)]
            for place, carrier in enumerate(plan.channels(), 1)
        ]
        return Reference(f"channels-{key}", plan.name, columns, rows, tables.source("channel_plans"))

    return made


def _preferred() -> Reference:
    """A row a value of the finest series, and which of the coarser ones hold it too."""
    held = {series: preferred_values.preferred_values(series) for series in preferred_values.SERIES}
    values = sorted({value for series in held.values() for value in series})
    columns = (Column("Value"), *(Column(series) for series in held))
    rows: list[list[Cell]] = [
        [number(value, 3), *("yes" if value in of else "" for of in held.values())] for value in values
    ]
    return Reference("preferred-values", "Preferred values in a decade", columns, rows, preferred_values.SOURCE)


# --- ground -------------------------------------------------------------------------------------------------------


def _grounds() -> Reference:
    columns = (Column("Ground"), Column("Conductivity", "mS/m", 1e-3), Column("Relative permittivity"))
    rows = [[ground.name, ground.conductivity, ground.permittivity] for ground in ground_wave.grounds().values()]
    return Reference("grounds", "Grounds that waves run over", columns, rows, tables.source("grounds"))


def _soils() -> Reference:
    columns = (Column("Soil"), *(Column(head, "Ω m") for head in ("Usual resistivity", "From", "To")))
    rows = [[soil.name, soil.resistivity, soil.low, soil.high] for soil in earths.soils().values()]
    return Reference("soils", "Soils that stakes stand in", columns, rows, tables.source("soils"))


# --- detector and ear ---------------------------------------------------------------------------------------------


def _diodes() -> Reference:
    columns = (
        Column("Detector"),
        Column("Saturation current", "nA", 1e-9),
        Column("from", "nA", 1e-9),
        Column("to", "nA", 1e-9),
        Column("Ideality"),
        Column("Series resistance", "Ω"),
        Column("Capacitance at no bias", "pF", 1e-12),
        Column("Resistance at no bias", "kΩ", 1e3),
        Column("Source"),
    )
    rows = [
        [
            name,
            preset.diode.saturation_current,
            *preset.saturation_current_range,
            preset.diode.ideality,
            preset.series_resistance,
            preset.junction_capacitance,
            float(preset.diode.zero_bias_resistance),
            f"{'Assumption: ' if preset.assumed else ''}{preset.source}",
        ]
        for name, preset in presets().items()
    ]
    return Reference("diodes", "Diodes and crystals", columns, rows, tables.source("diodes"))


def _earphones() -> Reference:
    columns = (
        Column("Earphone"),
        Column("Impedance at 1 kHz", "Ω"),
        Column("Resistance to d.c.", "Ω"),
        Column("Sound for 1 mW", "dB SPL"),
        Column("Spread, to either side", "dB"),
        Column("Note"),
    )
    rows = [
        [
            kind.name,
            float(kind.earphone.impedance),
            kind.dc_resistance,
            float(kind.earphone.sensitivity),
            kind.spread,
            kind.note,
        ]
        for kind in earphones.earphone_kinds().values()
    ]
    return Reference("earphones", "Earphones", columns, rows, tables.source("earphones"))


def _thresholds() -> Reference:
    columns = (Column("Frequency [Hz]"), Column("Threshold", "dB SPL"))
    rows = [
        [row["frequency"], float(earphones.threshold(float(row["frequency"])))]
        for row in tables.read("hearing_threshold_iso226_2023")
    ]
    source = tables.source("hearing_threshold_iso226_2023")
    return Reference("hearing-threshold", "Threshold of hearing", columns, rows, source)


def _rooms() -> Reference:
    bands_hz = [head for head in tables.read("noise_criteria")[0] if head != "curve"]
    columns = (Column("Curve"), *(Column(f"{band} Hz", "dB") for band in bands_hz))
    rows = [
        [f"NC-{row['curve']}", *(earphones.room_noise(float(row["curve"]), float(band)) for band in bands_hz)]
        for row in tables.read("noise_criteria")
    ]
    return Reference("room-noise", "Noise of rooms by octave", columns, rows, tables.source("noise_criteria"))


_MAKERS = (
    _awg, _swg, _metric, _plans, *(_channels(key) for key in bands.channel_plans()), _preferred, _grounds, _soils,
    _diodes, _earphones, _thresholds, _rooms,
)  # fmt: skip


def references() -> dict[str, Reference]:
    """All tables of reference by key."""
    return {table.key: table for table in (make() for make in _MAKERS)}
