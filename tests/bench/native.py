"""What an answer takes natively."""

import json
from time import perf_counter

from calc.bridge import run_json
from tests.strategies import Texts


def answer_time(form_id: str, texts: Texts) -> float:
    """Time of one answer, JSON in and out as for the page [s]."""
    asked = json.dumps(texts)
    started = perf_counter()
    run_json(form_id, asked)
    return perf_counter() - started
