"""A form made for trying pages out, with everything that a form may have; answered by Python outside the browser.

Its page is served to the browser in the site's frame, and its worker is one that asks this process. What is tried is
the page: how it asks, shows, and keeps up.
"""

import json
import math
from pathlib import Path
from time import sleep
from typing import Any

import numpy as np
from playwright.sync_api import Page, Route

from calc.bridge import run_json
from calc.forms.bars import Bar, Bars
from calc.forms.fields import Choice, Field, ShownWhen
from calc.forms.form import Form
from calc.forms.regions import RegionMap
from calc.forms.results import Advice, Axis, Chart, Mark, Result, Row, Rule, Series
from site_overrides.pages.book import Book

STATIONS = (
    "Aldermoss", "Brackwater", "Castle Quoy", "Dunlin", "Eskerhead", "Fennmarch",
    "Gannet Light", "Hollin", "Inchbrae", "Juniper Tor", "Kelda", "Long Strand",
)  # fmt: skip
DIAL_STOPS = tuple(f"{number / 2:g}" for number in range(201))
LINK_STOPS = tuple(f"{4.0 * 1.05**number:.3g} pF" for number in range(61))
LINKS = Axis("Link", "F", 4e-12, 80e-12, True)
CLEAR = 5.0
"""Decibels of separation from which on a station counts as clear."""
TRIAL_WORKER = """
let busy = false;
self.addEventListener("message", async ({ data }) => {
  if (data.kind === "start") return self.postMessage({ kind: "ready", versions: {} });
  if (busy) return self.postMessage({ kind: "failed", id: data.id, message: "two questions at once" });
  busy = true;
  const reply = await fetch("/trial-answer", { method: "POST", body: JSON.stringify(data) });
  const json = await reply.text();
  busy = false;
  self.postMessage({ kind: "result", id: data.id, json });
});
"""


def solve(question: str, dial: float | None, link: float, stations: int) -> Result:
    """Something smooth that looks like a receiver; no physics."""
    place = 50.0 if dial is None else dial
    where = [100.0 * (index + 0.5) / stations for index in range(stations)]
    sentence = f"At {place:g} and {link * 1e12:g} pF."
    rows = [Row("place", "Dial", place), Row("link", "Link", link, "F")]
    advice = [Advice("Made for trying pages out.")]
    if question == "map":
        return Result(sentence, rows, maps=[region_map(where, place, link)], advice=advice)
    if question == "trade-off":
        return Result(sentence, rows, charts=[trade_off(link)], advice=advice)
    return Result(sentence, rows, bars=[heard(where, place, link)], advice=advice)


def heard(where: list[float], place: float, link: float) -> Bars:
    """A bar a station, those of every third with a range."""
    loud = [62.0 + 6.0 * math.log10(link / 10e-12) - 9e-12 / link * abs(place - spot) for spot in where]
    apart = [level - max(other for k, other in enumerate(loud) if k != i) for i, level in enumerate(loud)]
    bars = [
        Bar(
            STATIONS[index],
            (loud[index], max(apart[index], -40.0)),
            ((loud[index] - 4.0, loud[index] + 4.0), None) if index % 3 == 0 else (),
            "in the clear" if apart[index] > CLEAR else "drowned" if apart[index] < 0.0 else "",
            apart[index] > CLEAR,
        )
        for index in range(len(where))
    ]
    return Bars(
        "heard",
        "What is heard at this setting",
        "Two bars a station: loudness, and below it separation.",
        Axis("Loudness and separation", "dB", -40.0, 80.0),
        ("loudness", "separation"),
        bars,
        [Rule("threshold of hearing", "x", 8.0), Rule("noise of the room", "x", 22.0)],
    )


def region_map(where: list[float], place: float, link: float) -> RegionMap:
    """A region a station, narrow where the link is close."""
    columns, links = np.linspace(1.0, 99.0, 60), np.geomspace(4e-12, 80e-12, 40)
    away = np.abs(columns[:, None] - np.array(where))
    wide = away.min(axis=1)[None, :] * links[:, None] / 10e-12
    return RegionMap(
        "clear",
        "Which station is in the clear",
        "Each station has a place on the dial, narrow where the link is close.",
        Axis("Dial", "", 0.0, 100.0),
        LINKS,
        columns,
        links,
        [f"{name} in the clear" for name in STATIONS[: len(where)]],
        np.where(wide > 6.0, -1, away.argmin(axis=1)[None, :]),
        "none in the clear",
        [Mark("now", place, link, True)],
    )


def trade_off(link: float) -> Chart:
    """Two lines that cross, and the present setting."""
    x = np.geomspace(LINKS.least, LINKS.most, 60)
    decades = np.log10(x / LINKS.least)
    return Chart(
        "trade",
        "Loudness and separation",
        "As one rises the other falls.",
        LINKS,
        Axis("Level", "dB", 0.0, 80.0),
        [
            Series("loud", "loudness", x, 40.0 + 10.0 * decades),
            Series("apart", "separation", x, 60.0 - 15.0 * decades),
        ],
        [Mark("now", link, 40.0 + 10.0 * math.log10(link / LINKS.least), True)],
    )


TRIAL = Form(
    id="trial",
    title="Trial",
    chapter="whole-set",
    summary="For trying pages out.",
    fields=(
        Field(
            "question", "What do you want to know?", default="dial", place="question", help="Each has its own answer.",
            choices=(
                Choice("dial", "What is heard?"), Choice("trade-off", "Loudness against separation"),
                Choice("map", "Where is which station in the clear?"),
            ),
        ),
        Field("stations", "Stations", default="6", least=2, most=12, whole=True, group="District"),
        Field(
            "dial", "Dial", default="42", least=0, most=100, place="answer", stops=DIAL_STOPS,
            shown_when=ShownWhen("question", ("dial", "map")),
        ),
        Field("link", "Link capacitor", "F", "12 pF", 1e-12, 1e-9, bare="pF", place="answer", stops=LINK_STOPS),
    ),
    solve=solve,
)  # fmt: skip


def trial_page(frame: str, *presets: dict[str, str]) -> str:
    """A page of the site with its article replaced by trial forms, one for each of these presets."""
    book = Book()
    given = [[f"'{name}={text}'" for name, text in entry.items()] for entry in presets]
    asked = "".join(book.directive(" ".join(["form trial", *options])) for options in given)
    book.draw()
    before, _, rest = frame.partition("<article")
    after = rest.rpartition("</article>")[2]
    body = f'<h1 id="notices">Trial</h1>{book.fill(asked, "..")}'
    return f'{before}<article class="md-content__inner md-typeset">{body}</article>{after}'


def trial(
    page: Page, site: str, folder: Path, *presets: dict[str, str], search: str = "", delay: float = 0.0
) -> list[Any]:
    """Opens the trial page; gives the list of questions that it asks, as they come. Each takes `delay` seconds.

    The form must be among those that the bridge knows.
    """
    asked: list[Any] = []
    html = trial_page((folder / "notices" / "index.html").read_text(encoding="utf-8"), *(presets or ({},)))

    def answer(route: Route) -> None:
        question = json.loads(route.request.post_data or "")
        asked.append(question)
        sleep(delay)
        route.fulfill(body=run_json(question["form"], json.dumps(question["texts"])), content_type="application/json")

    page.route("**/assets/worker.js", lambda route: route.fulfill(body=TRIAL_WORKER, content_type="text/javascript"))
    page.route("**/trial-answer", answer)
    page.route(f"{site}trial/**", lambda route: route.fulfill(body=html, content_type="text/html"))
    page.goto(f"{site}trial/{search}")
    return asked
