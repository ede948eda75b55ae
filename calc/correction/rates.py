"""Rates of change of a model that is dear, and takes no complex numbers: by differences, all of them at once."""

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from calc.units import Array, InputError

_STEP = 3e-3
_PLACES = np.array([-2.0, -1.0, 1.0, 2.0])
_WEIGHTS = np.array([1.0, -8.0, 8.0, -1.0]) / 12.0
"""Central differences of the fourth order: M. Abramowitz and I. A. Stegun, Handbook of Mathematical Functions (1964),
table 25.2 (from memory)."""


@dataclass(frozen=True)
class Sampled:
    """A function of an array [p] with its rates, each place asked for once.

    Attributes:
        function: of many arrays [k, p], giving as many answers [k, n].

    Accuracy: of the rates about 1e-10 for a function that bends on a scale of one.
    """

    function: Callable[[Array], Array]
    _known: dict[bytes, tuple[Array, Array]] = field(default_factory=dict)
    _left: list[int] = field(default_factory=list)

    def begin(self, most: int) -> None:
        """Begins a search that may ask at so many new places."""
        self._left[:] = [most]

    def value(self, at: Array) -> Array:
        """The function there [n]."""
        return self._found(at)[0]

    def rates(self, at: Array) -> Array:
        """Its rates of change there [n, p]."""
        return self._found(at)[1]

    def _found(self, at: Array) -> tuple[Array, Array]:
        """Both, asked for at once: where a search asks for one it will nearly always want the other."""
        key = at.tobytes()
        if key not in self._known:
            if self._left:
                self._left[0] -= 1
                if self._left[0] < 0:
                    raise InputError("readings", "must agree better: no values of the unknowns fit them best")
            moved = at + _STEP * _PLACES[:, None, None] * np.eye(at.size)
            value, *around = self.function(np.concatenate([at[None], moved.reshape(-1, at.size)]))
            rates = np.tensordot(_WEIGHTS, np.reshape(around, (_PLACES.size, at.size, -1)), axes=1).T / _STEP
            self._known[key] = value, rates
        return self._known[key]

    def __call__(self, at: Array) -> Array:
        """The function there, as `calc.fitting.Function` wants it: an imaginary part passes on by the rates."""
        if not np.iscomplexobj(at):
            return self.value(at)
        plain = np.ascontiguousarray(at.real)
        return np.asarray(self.value(plain) + 1j * (self.rates(plain) @ at.imag))
