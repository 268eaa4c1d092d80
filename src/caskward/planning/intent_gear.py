"""The gear part of a maker's file: pot, tub, stills, straining."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, cast

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import PotKind, StillKind
from caskward.catalogue.load import Catalogue
from caskward.errors import OptionsClash, WrongShape
from caskward.planning.intent import CookPot, Gear, StillGear, Tub
from caskward.planning.learned_still import LearnedHabits
from caskward.planning.toml_section import Section, text
from caskward.units import parse

Learned = Callable[[str], LearnedHabits]
"""Reads what a still's runs taught, by the name that the maker's file gives."""


def read_gear(top: Section, catalogue: Catalogue, learned: Learned) -> Gear:
    """Everything the batch passes through; a missing [spirit_still] is the strip still again."""
    strip_still = _still(top, "strip_still", catalogue, learned, None)
    straining = top.take("straining", text, '"bag"')
    return Gear(
        cook_pot=_cook_pot(top, catalogue),
        tub=_tub(top, catalogue),
        strip_still=strip_still,
        spirit_still=_still(top, "spirit_still", catalogue, learned, strip_still),
        straining=catalogue.straining(straining),
    )


def _cook_pot(top: Section, catalogue: Catalogue) -> CookPot | None:
    part = top.section("cook_pot")
    if part is None:
        return None
    pot = CookPot(
        name=part.take("name", text, '"cook pot"', "cook pot"),
        kind=catalogue.pot(part.take("kind", text, '"gas-ring"')),
        working_volume_l=part.take("working_volume", parse.volume_l, '"100 L"'),
        power_kw=part.take("power", parse.power_kw, '"12 kW"'),
    )
    part.done()
    return pot


def _tub(top: Section, catalogue: Catalogue) -> Tub:
    part = top.section("tub", needed=True, example='volume = "500 L"')
    assert part is not None
    kind = catalogue.tub(part.take("kind", text, '"insulated"', "insulated"))
    volume_l = part.take("volume", parse.volume_l, '"500 L"')
    loss = part.take("heat_loss", parse.heat_loss_w_k, '"2.2 W/K"', None)
    tub = Tub(
        name=part.take("name", text, '"tub"', "tub"),
        kind=kind,
        volume_l=volume_l,
        headspace_share=part.take("headspace", parse.share, '"15 %"', kind.headspace_share.likely),
        heat_loss_w_k=certain(loss) if loss is not None else kind.heat_loss_w_k(volume_l),
    )
    part.done()
    return tub


def _still(
    top: Section, key: str, catalogue: Catalogue, learned: Learned, same: StillGear | None
) -> StillGear:
    part = top.section(key, needed=same is None, example='charge_limit = "100 L"')
    if part is None:
        assert same is not None
        return same
    kind, taught = _kind(part, catalogue, learned)
    still = StillGear(
        name=part.take("name", text, '"still"', "still"),
        kind=kind,
        charge_limit_l=part.take("charge_limit", parse.volume_l, '"100 L"'),
        minimum_charge_l=part.take("minimum_charge", parse.volume_l, '"25 L"', 0.0),
        power_kw=part.take("power", parse.power_kw, '"6 kW"'),
        heat=_heat(part, catalogue, same),
        reflux_strip=_reflux(part, "head_reflux_strip", kind, "reflux_strip"),
        reflux_spirit=_reflux(part, "head_reflux", kind, "reflux_spirit"),
        learned=taught,
    )
    part.done()
    return still


def _kind(part: Section, catalogue: Catalogue, learned: Learned) -> tuple[StillKind, str]:
    """The catalogue's still; where a file says what its runs taught, with that in place of its habits."""
    name = part.take("learned", text, '"my-still.toml"', "")
    if not name:
        return catalogue.still(part.take("kind", text, '"pot-bare"', "pot-bare")), ""
    for own in ("head_reflux", "head_reflux_strip"):
        if part.has(own):
            raise OptionsClash(part.said("learned"), own, "Leave out the one that you trust less.")
    habits = learned(name)
    kind = catalogue.still(part.take("kind", text, '"pot-bare"', habits.kind))
    return habits.like(kind), habits.sentence(kind)


def _heat(part: Section, catalogue: Catalogue, same: StillGear | None) -> PotKind:
    """What heats a still; a second still is heated like the first unless it says otherwise."""
    if same is not None and not part.has("heat"):
        return same.heat
    return catalogue.pot(part.take("heat", text, '"immersion-element"'))


def _reflux(part: Section, key: str, kind: StillKind, fact: str) -> Fact:
    own = part.take(key, parse.share, '"10 %"', None)
    return certain(own) if own is not None else cast(Fact, getattr(kind, fact))


def certain(value: float) -> Fact:
    """A figure the maker is sure of."""
    return Fact(value, value, value, "maker", "maker")


def positive(given: Any, *, what: str) -> float:
    """A plain number above nought."""
    if not isinstance(given, int | float) or isinstance(given, bool) or not 0 < given < 1e6:
        raise WrongShape(what, given, "a number above 0, without quotes")
    return float(given)
