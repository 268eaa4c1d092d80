"""The answer about a tub in a maker's words and units."""

from __future__ import annotations

import re
from collections.abc import Callable

from caskward.planning.readings import QUANTITIES
from caskward.planning.tub.ask import Shows, Suggested, Told
from caskward.services.tub_ask import MAYBE_DRY, TubAnswer
from caskward.services.tub_mend_words import mend
from caskward.units import show
from caskward.units.types import UnitSystem

SURE, LIKELY, SPOILS = 0.9, 0.5, 0.3
ESTIMATE = (
    "Chances weigh how often each cause is met against how well it explains every reading; they are as good "
    "as the list of causes. A cause that is not on it can't be found."
)


def headline(report: TubAnswer, system: UnitSystem) -> str:
    """The answer in one sentence, and the first thing to do."""
    if report.minds:
        return "Make sure of what you read first, before you do anything to the tub."
    if report.dry:
        return _it_is_dry(report)
    first = report.answer.causes[0]
    rival = likelier(report)
    if rival is not None:
        return (
            f"Not settled yet. All that you read lies where a sound {report.stage} is read, yet this is "
            f"likelier ({_chance(rival.chance)}): {rival.words}. Make sure before you do anything to the tub."
        )
    if report.answer.as_planned:
        so_far = f"As planned so far: everything you read lies where a sound {report.stage} is read."
        return f"{so_far} {_go_on(report, system)}"
    if report.answer.unexplained:
        return (
            "No cause on the list explains all that you read: two things may be wrong at once, or a reading "
            f"is. Nearest: {first.words}. Read again what is hard to believe before you do anything."
        )
    if first.chance >= SURE:
        begin = f"Most likely {first.words}"
    elif first.chance >= LIKELY:
        begin = f"Probably {first.words}"
    else:
        begin = f"Not settled yet; first in the running: {first.words}"
    end = "." if report.answer.check is None else f" ({_chance(first.chance)})."
    return begin + end + (f" {mend(report, first.mends[0], system)}" if first.chance >= LIKELY else "")


def likelier(report: TubAnswer) -> Told | None:
    """What is likelier than not beside readings that pass for a sound tub's; None where nothing is."""
    rivals = report.answer.causes[1:] if report.answer.as_planned and not report.dry else ()
    return next((one for one in rivals if one.chance >= LIKELY), None)


def _go_on(report: TubAnswer, system: UnitSystem) -> str:
    """What to do with a tub that is as planned."""
    first = report.answer.causes[0].mends[0]
    if first.way != "hold":
        return mend(report, first, system)
    clear = any(r.quantity == "starch" and r.value < 0.5 for r in report.answer.readings)
    if clear or first.hold_h is None or first.hold_h < 1.0 / 12.0:
        return "Go on with the plan, and test for starch when its holds are over."
    return f"Go on with the plan: a drop should be clear in about {show.duration(first.hold_h)}."


def _it_is_dry(report: TubAnswer) -> str:
    """That it is done, what to do with it, and from what that is known."""
    assert report.dryness is not None
    on = "strain it and go on" if report.strains else "go on to the still, grain or fruit and all"
    spoils = next((c for c in report.answer.causes if c.key == "infection"), None)
    haste = " Do it today, for bacteria may be in it." if spoils and spoils.chance >= SPOILS else ""
    gravity = report.dryness.gravity
    ends = f" A sound one ends between {gravity[0]:.3f} and {gravity[2]:.3f}." if gravity else ""
    return (
        f"It is dry: {on}.{haste} Of the tubs that would read as yours does, "
        f"{_hundred(report.dryness.chance)} have used up their sugar.{ends}"
    )


def _hundred(chance: float) -> str:
    return f"{min(round(100.0 * chance), 99)} in 100"


def dry_notes(report: TubAnswer) -> list[str]:
    """That it may be dry, where that is not sure."""
    dry = report.dryness
    if dry is None or report.dry or dry.chance < MAYBE_DRY:
        return []
    return [
        f"It may be dry already ({_hundred(dry.chance)}): read it again tomorrow, and go on with it where it "
        "has not fallen."
    ]


def cautions(report: TubAnswer, system: UnitSystem) -> list[str]:
    """What to mind, in the maker's own degrees."""
    return [show.temperatures_in(one, system) for one in report.cautions]


def table_title(report: TubAnswer) -> str:
    """What the table of causes is."""
    return "What could hide behind it" if report.answer.as_planned else "What explains the readings"


def cause_rows(report: TubAnswer, system: UnitSystem) -> list[list[str]]:
    """Every cause told: chance, words, and what the suggested check would show under it."""
    shows = report.answer.causes[0].shows
    rows = [["cause", "chance", *(_head(s.quantity) for s in shows)]]
    rows += [
        [told.words, _chance(told.chance), *(shown(s, system) for s in told.shows)]
        for told in report.answer.causes
    ]
    if report.answer.others_chance >= 0.01:
        rows.append(["anything else on the list", _chance(report.answer.others_chance)])
    return rows


def shown(of: Shows, system: UnitSystem) -> str:
    """What a reading would show: a figure, or how often a yes."""
    kind = QUANTITIES[of.quantity]
    if kind.yes_or_no:
        if of.value >= 0.9:
            return "yes"
        return "no" if of.value <= 0.1 else f"{10 * of.value:.0f} in 10 yes"
    figures: dict[str, Callable[[float], str]] = {
        "C": lambda v: show.temperature(v, system),
        "sg": lambda v: f"{v:.3f}",
        "L": lambda v: show.volume(v, system),
        "pct_vol": lambda v: f"{v:.1f} %vol",
        "g/L": lambda v: f"{v:.0f} g/L",
        "": lambda v: f"{v:.1f}",
    }
    return figures[kind.unit](of.value)


def in_units(words: str, system: UnitSystem) -> str:
    """A check's words, its temperatures in the maker's units."""
    if system == "metric":
        return words
    warmer = re.sub(r"(\d+) °C warmer", lambda m: f"{1.8 * float(m[1]):.0f} °F warmer", words)
    fahrenheit = re.sub(r"(\d+) °C", lambda m: f"{32.0 + 1.8 * float(m[1]):.0f} °F", warmer)
    return fahrenheit.replace("a litre", "a quart")


def check_sentence(of: Suggested, system: UnitSystem) -> str:
    """The check that tells most, with its work and what it is worth."""
    stop = "" if of.check.words.endswith("?") else "."
    return (
        f"To tell them apart, {in_units(of.check.words, system)}{stop} About "
        f"{of.check.minutes:.0f} minutes; on average the leading cause then stands at {_chance(of.after)}."
    )


def how_to_enter(of: Suggested, report: TubAnswer, system: UnitSystem = "metric") -> str:
    """How the result of the check is typed, by figures that such a tub could have."""
    typed = ", ".join(_typed(q, report.stage, system) for q in of.check.quantities)
    return (
        f'Then ask again with it, such as: --reading "{report.stage} {_clock(report.answer.at_h)}: {typed}"'
    )


def doubted_sentences(report: TubAnswer, system: UnitSystem) -> list[str]:
    """Readings that no cause explains, or that no such tub could have."""
    out = list(report.minds)
    for one in report.answer.doubted:
        kind = QUANTITIES[one.reading.quantity]
        read, fits = (shown(Shows(kind.key, v), system) for v in (one.reading.value, one.expected))
        again = "Look again." if kind.yes_or_no else "Check the instrument and read it again."
        out.append(
            f"Hard to believe beside the rest: {kind.words}, {read} in {one.reading.said!r}; {fits} would "
            f"fit. {again}"
        )
    return out


def more_checks(report: TubAnswer, system: UnitSystem) -> list[list[str]]:
    """Other checks by their worth."""
    found = report.answer.more_checks[:4]
    rows = [
        [in_units(c.check.words, system).rstrip("?"), f"{c.check.minutes:.0f}", _chance(c.after)]
        for c in found
    ]
    return [["other checks", "minutes", "then at"], *rows] if rows else []


def _chance(value: float) -> str:
    if value >= 0.995:
        return "over 99 %"
    return "under 1 %" if value < 0.01 else f"{100 * value:.0f} %"


def _head(quantity: str) -> str:
    heads = {
        "second_thermometer": "thermometer",
        "gravity_checked": "gravity",
        "grits": "hard bits",
        "jar_warmer": "warm jar blue",
        "jar_dosed": "dosed jar blue",
        "glucose": "glucose",
        "label_thin": "thin label same",
        "label_sweeten": "sweet label same",
        "starch": "blue",
        "spoiled": "spoiled",
        "jar_warm": "warm jar",
        "jar_fed": "fed jar",
        "jar_pitched": "pitched jar",
        "lid_tight": "lid holds",
        "pitched_at": "pitched at",
        "ph_checked": "pH strip",
        "ammonium": "ammonium",
        "yeast_packet": "yeast as planned",
        "food_packet": "food given",
    }
    return heads.get(quantity, QUANTITIES[quantity].words)


def _typed(quantity: str, stage: str, system: UnitSystem) -> str:
    mash, metric = stage == "mash", system == "metric"
    warm = ("61 C" if metric else "142 F") if mash else ("24 C" if metric else "75 F")
    gravity = "1.055" if mash else "1.030"
    typed = {
        "second_thermometer": f"second thermometer {warm}",
        "gravity_checked": f"gravity checked {gravity}",
        "gravity": gravity,
        "temperature": warm,
        "ph": "pH 5.4" if mash else "pH 4.1",
        "volume": "480 L" if metric else "127 gal",
        "glucose": "glucose 90 g/L",
        "jar_warmer": "jar warmer clear",
        "jar_dosed": "jar dosed clear",
        "starch": "starch blue",
        "strength": "strength 7.5 %",
        "pitched_at": f"pitched at {warm}",
        "ph_checked": "pH checked 5.4" if mash else "pH checked 4.1",
    }
    return typed.get(quantity, f"{quantity.replace('_', ' ')} no")


def _clock(at_h: float) -> str:
    if at_h >= 48.0:
        return f"{at_h / 24.0:.3g} d"
    return f"{at_h * 60.0:.0f} min" if at_h < 3.0 else f"{at_h:.3g} h"
