"""What an answer takes natively."""

import json
from time import perf_counter

from calc.bridge import run_json
from tests.strategies import Texts


def answer_time(form_id: str, texts: Texts) -> float:
    """Time of one answer, JSON in and out as for the page [s].

    Raises:
        ValueError: the texts are refused.
    """
    asked = json.dumps(texts)
    started = perf_counter()
    answer = run_json(form_id, asked)
    taken = perf_counter() - started
    if not json.loads(answer)["ok"]:
        raise ValueError(f"an edit of the form {form_id} is refused: {answer}")
    return taken
