"""What was worked out last, kept for the next answers: most of what is typed leaves most of it as it is."""

import pickle
from collections import OrderedDict
from collections.abc import Callable
from typing import Any


class Recent[V]:
    """The last few values, by all that they were worked out from."""

    def __init__(self, most: int) -> None:
        """Keeps so many."""
        self._most = most
        self._known: OrderedDict[bytes, V] = OrderedDict()

    def of(self, parts: Any, work_out: Callable[[], V]) -> V:
        """The value for such parts, which must be such as can be pickled; worked out if it is not known."""
        key = pickle.dumps(parts)
        if key not in self._known:
            self._known[key] = work_out()
            if len(self._known) > self._most:
                self._known.popitem(last=False)
        self._known.move_to_end(key)
        return self._known[key]

    def forget(self) -> None:
        """Keeps nothing of what was."""
        self._known.clear()
