"""From the fields of the whole-set form to the physics: stations, aerial, coil, link, detector, earphones."""

from calc.forms.receiver.build.aerial import WholeAerial
from calc.forms.receiver.build.chosen import ChosenSet
from calc.forms.receiver.build.winding import Winding

__all__ = ["ChosenSet", "WholeAerial", "Winding"]
