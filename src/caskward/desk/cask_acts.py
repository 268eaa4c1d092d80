"""What can be done with a cask from its page: each act with an example in own units, and what to mind."""

from __future__ import annotations

import shlex
from dataclasses import dataclass, replace
from typing import Final

from caskward.desk import deeds
from caskward.desk.casks_pages import CaskAct
from caskward.services.book.shelf import Place
from caskward.units.types import UnitSystem

_FIRE: Final = "No flame and no spark near open spirit; air the room before you open a bung."
_LABEL: Final = (
    "What a label's strength and volume may be off by is for your law to say; gauge the vat after it has "
    "rested, not before."
)


@dataclass(frozen=True, slots=True)
class _Kind:
    """An act's words. examples: in litres, in gallons."""

    verb: str
    label: str
    examples: tuple[str, str]
    help: str
    cautions: tuple[str, ...] = (_FIRE,)


_FILL: Final = _Kind(
    "fill",
    "From where, how much, how strong",
    ("tank {cask} 24.2 L 63 % at 18 C", "tank {cask} 6.4 gal 126 proof at 64 F"),
    "Spirit into an empty cask.",
    (_FIRE, "Swell the staves first and look for weeping; fill where it will lie: full it is heavy."),
)
_KINDS: Final = (
    _Kind(
        "gauge",
        "What you measured",
        ("23.9 L 62.4 % at 14 C", "6.31 gal 124 proof at 57 F"),
        "What is really in it. A difference from the book is asked about.",
        (_FIRE, "Read thermometer and hydrometer in the same sample."),
    ),
    _Kind(
        "sample",
        "How much, and what for",
        ("100 mL tasting", "3 fl oz tasting"),
        "Taken out, and not put back.",
        (_FIRE, "Spit, and close the bung again."),
    ),
    _Kind(
        "top",
        "From where, how much, how strong",
        ("from jar 7 500 mL 63 % at 18 C", "from jar 7 0.13 gal 126 proof at 64 F"),
        "More spirit into it.",
        (_FIRE, "Leave room for warm days: a cask filled to the bung weeps or bursts it."),
    ),
    _Kind(
        "move",
        "Where to, and how much",
        ("to tank all", "to tank all"),
        "Draw it off, all or a part.",
        (_FIRE, "Earth metal vessels and fill them from the bottom: running spirit charges itself."),
    ),
    _Kind(
        "vat",
        "How much of it, what else, into what",
        ("all, cask 2 10 L into tank", "all, cask 2 2.6 gal into tank"),
        "Together with others in one vessel.",
        (_FIRE, "Earth metal vessels and fill them from the bottom: running spirit charges itself."),
    ),
    _Kind(
        "bottle",
        "Lot, how many of what size, how strong",
        ("L26-1 40 x 500 mL 46 % at 20 C", "L26-1 40 x 750 mL 92 proof at 68 F"),
        "Straight into bottles; to mix or reduce it first, draw it off into a vessel.",
        (_FIRE, _LABEL),
    ),
)
VERBS: Final = frozenset({_FILL.verb, *(kind.verb for kind in _KINDS)})


def acts(place: Place, path: str, system: UnitSystem, batches: tuple[str, ...] = ()) -> tuple[CaskAct, ...]:
    """What can be done with it now; an empty cask can only be filled, for one of the open batches."""
    if place.liquid:
        return tuple(_act(kind, place, path, system) for kind in _KINDS)
    fill = _act(_FILL, place, path, system)
    return (replace(fill, form=replace(fill.form, batches=batches if len(batches) > 1 else ())),)


def before(verb: str, place: Place) -> str:
    """Words that stand before what is typed: the cask, but where something goes into it from elsewhere."""
    return "" if verb == "fill" else _quoted(place.name)


def _quoted(name: str) -> str:
    """A name as one word; one that has quotes or strokes in it itself in a shell's way."""
    return shlex.quote(name) if set(name) & set('"\\$`') else f'"{name}"'


def _act(kind: _Kind, place: Place, path: str, system: UnitSystem) -> CaskAct:
    example = kind.examples[1 if system == "us" else 0].format(cask=_quoted(place.name))
    return CaskAct(
        form=deeds.one_deed(kind.verb, kind.label, example, path, before(kind.verb, place)),
        help=kind.help,
        cautions=kind.cautions,
        foreseen=f"{path}/foreseen/{kind.verb}",
    )
