"""Gauging and reducing as the faces ask for it: typed text in, figures with their doubt out.

One function for each question: what is it (`gauge`), what is in the wash (`gauge_wash`), how much water
(`reduce`), what results (`mix`), does it meet the label (`check_label`). `gauging_words.words` puts any
answer into sentences; `as_json` writes it down. What only some questions need is loaded when they are asked,
so that a single reading answers at once.
"""

from __future__ import annotations

import json
from dataclasses import asdict
from typing import TYPE_CHECKING

from caskward.errors import MissingValue
from caskward.gauging.instruments import Instrument
from caskward.gauging.instruments import instruments as _instruments
from caskward.gauging.strength import gauge as _gauge
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

if TYPE_CHECKING:
    from caskward.gauging.label import Rule

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
    from caskward.services.gauging_washes import gauge_wash as answer

    return answer(ask)


def reduce(ask: ReduceAsk) -> ReduceAnswer:
    """How much water, or anything else, brings spirit to a strength.

    Raises:
        InputError: text that makes no sense, or an amount that is missing.
        ImpossibleIntent: a strength that cannot be mixed, or more than there is.
    """
    from caskward.services.gauging_mixing import reduce as answer

    return answer(ask)


def mix(ask: MixAsk) -> MixAnswer:
    """What results if these liquids go together.

    Raises:
        InputError: text that makes no sense, or an amount that is missing.
    """
    from caskward.services.gauging_mixing import mix as answer

    return answer(ask)


def check_label(ask: LabelAsk) -> LabelAnswer:
    """Whether a measured strength meets a label, as far as the instrument can tell.

    Raises:
        InputError: text that makes no sense, or an unknown rule.
    """
    from caskward.gauging.label import check_label as check_it
    from caskward.gauging.label import rule
    from caskward.services import gauging_liquids as liquids

    tolerance = liquids.strength_pct_vol(ask.tolerance, "the tolerance") if ask.tolerance else None
    by = rule(ask.rule, tolerance)
    answer = gauge(ask.spirit)
    label = liquids.label_pct_vol(ask.label)
    check = check_it(label, answer.gauged.pct_vol, by, answer.readings[0].temp_c)
    return LabelAnswer(check, answer.gauged, answer.assumed)


def as_json(answer: Answer) -> str:
    """Any answer as JSON, every figure with its standard uncertainty and 95 % interval."""
    return json.dumps(asdict(answer), ensure_ascii=False, indent=2)


def instruments() -> tuple[Instrument, ...]:
    """Every instrument a reading may name, with its limits of error and their source."""
    return tuple(_instruments().values())


def rules() -> tuple[Rule, ...]:
    """Every label rule by name; `other` takes a maker's own tolerance."""
    from caskward.gauging.label import rules as every

    return tuple(every().values())
