"""What to mind of a move: what it changes for the worse, what it gives up, and how it is done safely."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from caskward.planning.remedy_prices import Warned
from caskward.planning.strengths import said
from caskward.services.plan_remedy import Offer
from caskward.services.words import counted
from caskward.units import show
from caskward.units.types import UnitSystem

_MIND: Final[dict[str, tuple[str, ...]]] = {
    "sugar": (
        "Dissolve it in warm water and stir it in by parts, with headspace left: it foams over.",
        "More sugar ferments hotter and strains the yeast: watch the tub's temperature.",
    ),
    "rinse": (
        "Wet grain is heavy: lift in small lots.",
        "Rinsings are weak and sour within a day: strip them at once.",
    ),
    "feints": (
        "Feints burn: still cold, no flame or spark near while you pour, and gauge the charge before heat.",
    ),
    "top-up": ("Two lots become one.",),
    "smaller cask": ("A small cask gives its wood faster: taste it sooner.",),
}
"""Short cautions at the step, and what a maker meets with it; *common practice, no source*."""
_GIVES_UP: Final = {
    "entry strength": "the strength",
    "less full": "the fill",
    "smaller cask": "the cask",
}
_FIRES: Final = ("strong feints", "feints over limit")


def cautions(of: Offer, system: UnitSystem) -> list[str]:
    """Everything to mind of a move, what it gives up of the wish first."""
    given_up = _GIVES_UP.get(of.key) if of.changes_wish else None
    wish = [f"It gives up {given_up} that your file asks for."] if given_up else []
    warned = [_WARNED[w.key](w, system) for w in of.warnings]
    fire_is_said = any(w.key in _FIRES for w in of.warnings)
    minded = [] if of.key == "feints" and fire_is_said else list(_MIND.get(of.key, ()))
    return [*wish, *warned, *minded]


_WARNED: Final[dict[str, Callable[[Warned, UnitSystem], str]]] = {
    "name": lambda w, _: (
        f"Sugar beside the bill, {show.share(w.value)} of it, may change what the spirit may be called."
    ),
    "tolerance": lambda w, _: f"In {show.share(w.value)} of batches strength then stops the yeast.",
    "tub": lambda w, s: f"The tub is then filled to {show.volume(w.value, s)} of {show.volume(w.limit, s)}.",
    "charge": lambda w, s: f"The charge is thinned to {said(w.value, s)}.",
    "settles lower": lambda w, s: f"The cask then settles at {said(w.value, s)}, not {said(w.limit, s)}.",
    "under legal strength": lambda w, s: (
        f"One time in ten it settles at {said(w.value, s)} or less, under the {said(w.limit, s)} that most "
        "rules ask at bottling."
    ),
    "air": lambda w, _: f"{show.share(w.value)} of the cask stays air: it ages faster and more evaporates.",
    "strong feints": lambda w, s: (
        f"At {said(w.value, s)} they are stronger than the charge, {said(w.limit, s)}: gauge them again, and "
        "keep flames and sparks away while you pour."
    ),
    "feints over limit": lambda w, s: (
        f"At {said(w.value, s)} they reach the {said(w.limit, s)} that a charge of this plan may have: thin "
        "them with water before they go in. Keep flames and sparks away while you pour."
    ),
    "cover": lambda w, s: (
        f"{show.volume(w.value, s)} of water goes into the charge to keep the still covered."
    ),
    "more strips": lambda w, _: f"It makes {counted(w.value, 'strip')}, not {w.limit:.0f}.",
    "more runs": lambda w, _: f"It makes {counted(w.value, 'spirit run')}, not {w.limit:.0f}.",
    "tails": lambda w, s: (
        f"Hearts seldom run under {said(w.limit, s)}: smell and taste each jar before it goes in."
    ),
    "other batch": lambda w, s: (
        f"Write the {show.volume(w.value, s)} into the account of both batches, and mind the label."
    ),
}
