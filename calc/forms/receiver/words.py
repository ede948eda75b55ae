"""The answer in words: the sentence, and what to think of."""

from collections.abc import Mapping

import numpy as np

from calc.forms.receiver.catalogue import LINK_NAMES
from calc.forms.receiver.outcome import Outcome
from calc.forms.receiver.parts_advice import parts_advice
from calc.forms.receiver.verdicts import is_clear, join
from calc.forms.results import Advice


def sentence(outcome: Outcome) -> str:
    """Who is in the clear, and what is wrong with the others."""
    words = outcome.judged[0]
    names = [station.name for station in outcome.chosen.stations]
    count = len(names)
    clear = [names[index] for index in outcome.clear]
    if len(clear) == count:
        begin = f"{join(clear)} {'is' if count == 1 else 'are'} in the clear"
        faint = [names[i] for i, word in enumerate(words) if word == "clear but faint"]
        return (
            f"{begin}, {join(faint)} only faintly."
            if faint and len(faint) < count
            else (f"{begin}, but faint." if faint else f"{begin}.")
        )
    begin = f"{len(clear)} of {count} {'is' if len(clear) == 1 else 'are'} in the clear"
    begin += f" ({join(clear)})" if clear else ""
    rest = "; ".join(f"{names[i]} is {word}" for i, word in enumerate(words) if not is_clear(word))
    return f"{begin}; {rest}."


def advice(outcome: Outcome, ladder: Mapping[str, Outcome]) -> list[Advice]:
    """What would help, and what is left out."""
    found = []
    words, margin, _ = outcome.judged
    if any(word.startswith("off") for word in words):
        least, most = outcome.chosen.capacitor
        if np.any(outcome.heard.own_capacitance < least):
            found.append(
                Advice(
                    "A station lies above the dial: the capacitance that aerial, coil and wiring bring is too much "
                    "already. Loosen the link, or take turns off the coil."
                )
            )
        if np.any(outcome.heard.own_capacitance > most):
            found.append(Advice("A station lies below the dial: add turns to the coil, or take a larger capacitor."))
    better = _best_link(outcome, ladder)
    if better is not None:
        kind, count = better
        found.append(
            Advice(
                f"With the {LINK_NAMES[kind]} instead, {count} of {len(words)} would be in the clear; the table of "
                f"links shows what it costs in loudness."
                if kind != "direct"
                else f"With the aerial straight on the coil, {count} of {len(words)} would be in the clear."
            )
        )
    if np.any(outcome.reachable) and float(margin[outcome.reachable].min()) < 0.0:
        found.append(
            Advice(
                "The faintest station is below the room's noise: more sensitive earphones, more height or a closer "
                "link come before a sharper circuit. A better earth helps where the link is close or the aerial tuned."
            )
        )
    found += parts_advice(outcome)
    found.append(
        Advice(
            "Loss in the coil's former and in the variable capacitor, and the drift of parts with the weather. In the "
            "tables each station goes through the detector by itself; “Listen” lets all in at once, and plays what "
            "circuits and by-pass leave of the highest notes. Earphone figures are handbook lore: take levels as good "
            "to 10 dB.",
            "limit",
        )
    )
    return found


def _best_link(outcome: Outcome, ladder: Mapping[str, Outcome]) -> tuple[str, int] | None:
    """Another link that brings more stations into the clear, and how many; None if there is none."""
    counts = {kind: len(other.clear) for kind, other in ladder.items()}
    kind = max(counts, key=lambda name: counts[name])
    return (kind, counts[kind]) if counts[kind] > len(outcome.clear) else None
