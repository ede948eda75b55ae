"""What forms answer, as tests of forms ask for it."""

from calc import bridge


def answer(form_id, /, **texts):
    """The answer to what was typed; it must be one."""
    found = bridge.run(form_id, texts)
    assert found["ok"], found
    return found


def values(found):
    """The values of an answer's rows, by their keys."""
    return {row["key"]: row["value"] for row in found["rows"]}
