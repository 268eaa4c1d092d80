"""Gauging and reducing as the faces ask for it: typed text in, figures with their doubt out.

One function for each question: what is it (`gauge`), what is in the wash (`gauge_wash`), how much water
(`reduce`), what results (`mix`), does it meet the label (`check_label`). `gauging_words.words` puts any
answer into sentences; `as_json` writes it down.
"""

from __future__ import annotations

import json
import math
from dataclasses import asdict

from caskward.errors import MissingValue
from caskward.gauging.attenuation import wash_now
from caskward.gauging.gravity import GravityReading, RefractometerReading, must
from caskward.gauging.instruments import Instrument, instrument
from caskward.gauging.instruments import instruments as _instruments
from caskward.gauging.label import Rule
from caskward.gauging.label import check_label as _check_label
from caskward.gauging.label import rule as _rule
from caskward.gauging.label import rules as _rules
from caskward.gauging.liquids import WATER, Liquid, Portion
from caskward.gauging.mixing import Mixture, bring, make
from caskward.gauging.mixing import mix as _mix
from caskward.gauging.steps import REST_DAYS, Step, staged
from caskward.gauging.strength import gauge as _gauge
from caskward.services import gauging_liquids as liquids
from caskward.services import gauging_typed as typed
from caskward.services.gauging_asks import (
    GaugeAnswer,
    GaugeAsk,
    LabelAnswer,
    LabelAsk,
    LiquidAsk,
    MixAnswer,
    MixAsk,
    ReadingAsk,
    ReduceAnswer,
    ReduceAsk,
    WashAnswer,
    WashAsk,
)
from caskward.services.gauging_typed import is_of_a_wash
from caskward.units import parse

Answer = GaugeAnswer | WashAnswer | ReduceAnswer | MixAnswer | LabelAnswer

__all__ = [
    "Answer",
    "GaugeAnswer",
    "GaugeAsk",
    "LabelAnswer",
    "LabelAsk",
    "LiquidAsk",
    "MixAnswer",
    "MixAsk",
    "ReadingAsk",
    "ReduceAnswer",
    "ReduceAsk",
    "WashAnswer",
    "WashAsk",
    "as_json",
    "check_label",
    "gauge",
    "gauge_wash",
    "instruments",
    "is_of_a_wash",
    "mix",
    "reduce",
    "rules",
]


def gauge(ask: GaugeAsk) -> GaugeAnswer:
    """What a spirit really is, and how much of it there is.

    Raises:
        InputError: text that makes no sense, or a reading that cannot be; says what was probably meant.
    """
    notes = typed.Notes()
    readings = tuple(typed.spirit_reading(one, notes, n) for n, one in enumerate(ask.readings, start=1))
    if not readings:
        raise MissingValue("The strength", "at least one reading", "47 % at 28 C")
    amount = typed.amount(
        ask.volume,
        ask.mass,
        ask.volume_temp,
        ask.amount_by,
        ask.vessel,
        ask.readings[0].thermometer,
        readings[0].temp_c,
        notes,
    )
    gauged = _gauge(readings, amount, typed.solids(ask.residue, ask.sugar))
    return GaugeAnswer(gauged, readings, tuple(notes.said))


def gauge_wash(ask: WashAsk) -> WashAnswer:
    """Gravity and potential strength of a must, or what is really in a wash.

    Raises:
        InputError: no reading, or readings that cannot be.
    """
    notes = typed.Notes()
    original = typed.sugar_reading(ask.original, notes, "original gravity") if ask.original else None
    gravity = typed.sugar_reading(ask.gravity, notes, "gravity now") if ask.gravity else None
    light = (
        typed.sugar_reading(ask.refractometer, notes, "refractometer", by_light=True)
        if ask.refractometer
        else None
    )
    if isinstance(gravity, RefractometerReading):
        light, gravity = light or gravity, None
    found = tuple(one for one in (original, gravity, light) if one)
    if not found:
        raise MissingValue("A wash", "at least one reading", "1.062 at 24 C")
    if len(found) == 1:
        return WashAnswer(must(found[0]), None, found, tuple(notes.said))
    washed = wash_now(
        original,
        gravity if isinstance(gravity, GravityReading) else None,
        light if isinstance(light, RefractometerReading) else None,
    )
    return WashAnswer(None, washed, found, tuple(notes.said))


def reduce(ask: ReduceAsk) -> ReduceAnswer:
    """How much water, or anything else, brings spirit to a strength.

    Raises:
        InputError: text that makes no sense, or an amount that is missing.
        ImpossibleIntent: a strength that cannot be mixed, or more than there is.
    """
    notes = typed.Notes()
    if not ask.spirits:
        raise MissingValue("A reduction", "at least one spirit", "20 L of 63 %")
    found = [
        liquids.liquid(one, notes, _called("spirit", n, ask.spirits)) for n, one in enumerate(ask.spirits)
    ]
    portions = [liquids.portion(one, liquid) for one, (liquid, _) in zip(ask.spirits, found, strict=True)]
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
    """What results if these liquids go together.

    Raises:
        InputError: text that makes no sense, or an amount that is missing.
    """
    notes = typed.Notes()
    found = [
        liquids.liquid(one, notes, _called("liquid", n, ask.liquids)) for n, one in enumerate(ask.liquids)
    ]
    portions = [liquids.portion(one, liquid) for one, (liquid, _) in zip(ask.liquids, found, strict=True)]
    for one in portions:
        if math.isinf(one.mass_kg):
            raise MissingValue(one.liquid.name.capitalize(), "an amount", "20 L")
    mixture = _mix(portions, _result_temp(ask.temp))
    return MixAnswer(mixture, tuple(g for _, g in found), tuple(notes.said))


def check_label(ask: LabelAsk) -> LabelAnswer:
    """Whether a measured strength meets a label, as far as the instrument can tell.

    Raises:
        InputError: text that makes no sense, or an unknown rule.
    """
    tolerance = liquids.strength_pct_vol(ask.tolerance, "the tolerance") if ask.tolerance else None
    by = _rule(ask.rule, tolerance)
    answer = gauge(ask.spirit)
    label = liquids.label_pct_vol(ask.label)
    check = _check_label(label, answer.gauged.pct_vol, by, answer.readings[0].temp_c)
    return LabelAnswer(check, answer.gauged, answer.assumed)


def as_json(answer: Answer) -> str:
    """Any answer as JSON, every figure with its standard uncertainty and 95 % interval."""
    return json.dumps(asdict(answer), ensure_ascii=False, indent=2)


def instruments() -> tuple[Instrument, ...]:
    """Every instrument a reading may name, with its limits of error and their source."""
    return tuple(_instruments().values())


def rules() -> tuple[Rule, ...]:
    """Every label rule by name; `other` takes a maker's own tolerance."""
    return tuple(_rules().values())


# The parts ---------------------------------------------------------------------------------------


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


def _added(ask: LiquidAsk | None, notes: typed.Notes) -> Liquid:
    if ask is None:
        return WATER
    if not ask.strength:
        temp_c = parse.temperature_c(ask.temp, what="the water's temperature") if ask.temp else WATER.temp_c
        return Liquid(ask.name or WATER.name, 0.0, temp_c)
    return liquids.liquid(ask, notes, "what is added")[0]


def _result_temp(text: str) -> float:
    return parse.temperature_c(text, what="the mixture's temperature") if text else 20.0


def _called(noun: str, index: int, among: tuple[LiquidAsk, ...]) -> str:
    return noun if len(among) == 1 else f"{noun} {index + 1}"
