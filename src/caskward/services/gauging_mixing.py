"""Reducing, strengthening and mixing from typed text."""

from __future__ import annotations

import math

from caskward.errors import MissingValue, SweetDiluent
from caskward.gauging.instruments import instrument
from caskward.gauging.liquids import WATER, Liquid, Portion
from caskward.gauging.mixing import Mixture, bring, make
from caskward.gauging.mixing import mix as _mix
from caskward.gauging.steps import REST_DAYS, Step, staged
from caskward.services import gauging_liquids as liquids
from caskward.services.gauging_asks import LiquidAsk, MixAnswer, MixAsk, ReduceAnswer, ReduceAsk
from caskward.services.gauging_typed import Notes
from caskward.units import parse


def reduce(ask: ReduceAsk) -> ReduceAnswer:
    """The answer to `gauging.reduce`."""
    notes = Notes()
    if not ask.spirits:
        raise MissingValue("A reduction", "at least one spirit", "20 L of 63 %")
    found = [
        liquids.liquid(one, notes, _called("spirit", n, ask.spirits)) for n, one in enumerate(ask.spirits)
    ]
    portions = [
        liquids.portion(one, liquid, notes) for one, (liquid, _) in zip(ask.spirits, found, strict=True)
    ]
    goal = liquids.strength_pct_vol(ask.to, "the strength wanted")
    temp_c = _result_temp(ask.temp)
    add = _added(ask.add, notes)
    share = instrument(ask.by, "scale", "volume").standard
    mixture = _reduced(ask, portions, goal, add, temp_c, share)
    steps: tuple[Step, ...] = ()
    if ask.steps != 1:
        rest_days = parse.duration_h(ask.rest, what="the rest") / 24.0 if ask.rest else REST_DAYS
        whole = [
            Portion(p.liquid, t.mass_kg, p.standard_share)
            for p, t in zip(portions, mixture.take, strict=True)
        ]
        steps = staged(whole, goal, ask.steps, add, temp_c, rest_days, share)
    return ReduceAnswer(mixture, steps, goal, tuple(g for _, g in found), tuple(notes.said))


def mix(ask: MixAsk) -> MixAnswer:
    """The answer to `gauging.mix`."""
    notes = Notes()
    found = [
        liquids.liquid(one, notes, _called("liquid", n, ask.liquids)) for n, one in enumerate(ask.liquids)
    ]
    portions = [
        liquids.portion(one, liquid, notes) for one, (liquid, _) in zip(ask.liquids, found, strict=True)
    ]
    for one in portions:
        if math.isinf(one.mass_kg):
            raise MissingValue(one.liquid.name.capitalize(), "an amount", "20 L")
    mixture = _mix(portions, _result_temp(ask.temp))
    return MixAnswer(mixture, tuple(g for _, g in found), tuple(notes.said))


def _reduced(
    ask: ReduceAsk, portions: list[Portion], goal: float, add: Liquid, temp_c: float, share: float
) -> Mixture:
    if not ask.make_volume and not ask.make_mass:
        for one in portions:
            if math.isinf(one.mass_kg):
                raise MissingValue(one.liquid.name.capitalize(), "an amount, or say how much to make", "20 L")
        return bring(portions, goal, add, temp_c, share)
    volume_l = parse.volume_l(ask.make_volume, what="the volume to make") if ask.make_volume else None
    scale_kg = parse.mass_kg(ask.make_mass, what="the mass to make") if ask.make_mass else None
    if len(portions) > 1 and any(math.isinf(one.mass_kg) for one in portions):
        raise MissingValue("Each of several spirits", "an amount", "20 L")
    return make(portions, goal, volume_l, scale_kg, add, temp_c, share)


_SWEET = ("syrup", "sugar", "honey", "juice", "molasses", "must")


def _added(ask: LiquidAsk | None, notes: Notes) -> Liquid:
    if ask is None:
        return WATER
    if any(word in ask.name.lower() for word in _SWEET):
        raise SweetDiluent(ask.name)
    if not ask.strength:
        temp_c = parse.temperature_c(ask.temp, what="the water's temperature") if ask.temp else WATER.temp_c
        return Liquid(ask.name or WATER.name, 0.0, temp_c)
    return liquids.liquid(ask, notes, "what is added")[0]


def _result_temp(text: str) -> float:
    return parse.temperature_c(text, what="the mixture's temperature") if text else 20.0


def _called(noun: str, index: int, among: tuple[LiquidAsk, ...]) -> str:
    return noun if len(among) == 1 else f"{noun} {index + 1}"
