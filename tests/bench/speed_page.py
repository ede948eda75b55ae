"""The page of the reference that keeps the figures."""

import os
import platform
from time import strftime

from tests.bench.report import Report

_FRONT = """---
title: How fast it is
description: What a visit, an edit and a build take, as they were last measured.
---

# How fast it is

Times depend on the machine; ratios within one run do so much less. The site is made to keep to these bounds.
Where a figure further down is greater than its bound, the bound is not kept yet.

| What | Bound |
| --- | --- |
| a form's default answer and its pictures | there before any script runs |
| a form's page live at a second visit | 0.70 of the time that the browser's Python takes to start by itself |
| an edit, until its answer | 16 ms, and 4 times the time of the same sum outside a browser |
| the trade-off of a set with 12 stations, one wanted | 100 ms |
| 200 draws of a set's tolerances | 300 ms |
| the map of settings, 6 stations | 500 ms |
| first visit, before Python | 400 kB, compressed |
| first visit, all told | 9 MB, compressed |
| making the site | 20 s |

What follows was printed by `make bench` on {date}: {processors} processors, {system}, Chromium {browser},
load {load:.1f} at the start. “Shown” is from the edit until the answer stands on the page, “calculated” the part of it
from the question to the worker until its answer, and “native” the same sum outside a browser. The bound of a start is
against “bare Python”, the interpreter and its library without numpy or calculations, for a visitor whose browser has
fetched the files before. “Bare, compiled” is the same for a visitor who has just had a form's page open, and whose
browser still has what it compiled for that.

"""


def speed_page(report: Report, browser: str, load: float) -> str:
    """The page's Markdown.

    Args:
        report: what was measured.
        browser: version of the browser.
        load: of the machine before anything was measured.
    """
    date = strftime("%d %B %Y").lstrip("0")
    front = _FRONT.format(date=date, processors=os.cpu_count(), system=platform.system(), browser=browser, load=load)
    return front + report.markdown()
