"""Receivers of a batch's spirit runs on a shelf, and what any choice of them does to the cask."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Final, Literal
from weakref import WeakKeyDictionary

import numpy as np

from caskward.errors import CaskwardError, NoSuchChoice
from caskward.planning.jars import Gauged, Mark
from caskward.planning.plan import Band, band
from caskward.planning.strengths import said
from caskward.planning.wish import Wish
from caskward.properties import alcohol
from caskward.properties.congeners import CONGENERS
from caskward.services import still_choice, still_jar_words
from caskward.services.run_forecast import Between, RunForecast, between, settled
from caskward.services.run_log import Receiver, RunLog
from caskward.services.still_choice import ChoiceReport
from caskward.services.still_congeners import GROUPS, groups_of
from caskward.services.still_words import rough
from caskward.services.words import banded, figure
from caskward.stages.stream import mixed
from caskward.units import convert, show
from caskward.units.types import UnitSystem

Way = Literal["cut", "free"]
BEST_IN_S: Final = 4.0
_LITRES: Final = (
    0.1,
    0.25,
    0.5,
    0.75,
    1.0,
    1.5,
    2.0,
    3.0,
    5.0,
    10.0,
    15.0,
    20.0,
    25.0,
    30.0,
    50.0,
    60.0,
    100.0,
)
_GALLONS: Final = (0.0625, 0.125, 0.25, 0.5, 1.0, 2.0, 3.0, 5.0, 10.0, 15.0, 30.0)
_SIZES_L: Final = tuple(sorted((*_LITRES, *(convert.US_GALLON_L * each for each in _GALLONS))))
_BRIM: Final = 1.03
NO_WISH: Final = Wish(0.0, 1.0)
GROUP_WORDS: Final = {"early": "come early", "with the heart": "come with the heart", "late": "come late"}


@dataclass(frozen=True)
class OnShelf:
    """A receiver as it is shown. level: 0 to 1. read: whether its strength was read. said: all in words."""

    name: str
    vessel: str
    level: float
    volume: str
    strength: str
    read: bool
    mark: str
    smells: str
    taken: bool
    discarded: bool
    congeners: tuple[tuple[str, str], ...]
    said: str


@dataclass(frozen=True)
class Chosen:
    """What a choice gives. rows: what is entered when it is recorded; empty where it cannot be.

    congeners: group, level in the chosen heart [g/hL of pure alcohol] as text.
    """

    headline: str
    sentences: tuple[str, ...]
    figures: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
    congeners: tuple[tuple[str, str], ...]
    rows: tuple[str, ...]


@dataclass(frozen=True)
class Best:
    """The best choice: names, and how good it is; where none meets every limit, why, and the nearest."""

    names: tuple[str, ...]
    sentence: str


def wish_of(of: RunForecast | None, system: UnitSystem) -> Wish:
    """What the batch's cask asks for; nothing without a plan."""
    if of is None:
        return NO_WISH
    method = of.belief.sized.method
    return Wish(method.fill_l, method.entry_pct_vol, show=system)


# The shelf ---------------------------------------------------------------------------------------


def taken_first(log: RunLog, of: RunForecast | None) -> tuple[str, ...]:
    """What is taken before anybody taps: what is recorded, else by marks, else by the plan's own cuts."""
    jars = [one for one in log.of_kind("run") if not one.discarded]
    if log.taken:
        return tuple(one.name for one in jars if one.name in log.taken)
    if any(one.mark is not None for one in jars):
        return tuple(one.name for one in jars if _liked(one, of))
    return tuple(one.name for one in jars if _in_plan(one, of))


def _liked(one: Receiver, of: RunForecast | None) -> bool:
    if one.mark is None:
        return _in_plan(one, of)
    return one.mark.place == "in" or (one.mark.place == "maybe" and one.mark.score >= 0.0)


def _in_plan(one: Receiver, of: RunForecast | None) -> bool:
    """Whether the middle of it ran between the plan's own cuts; without a plan every jar might be heart."""
    if of is None or of.heart_from_l is None or of.heart_to_l is None:
        return True
    middle_l = 0.5 * (one.from_l + one.to_l)
    return of.heart_from_l.mid <= middle_l <= of.heart_to_l.mid


def shelf(
    receivers: Sequence[Receiver], of: RunForecast | None, taken: Collection[str], system: UnitSystem
) -> tuple[OnShelf, ...]:
    """Receivers as they are shown."""
    return tuple(_shown(one, receivers, of, one.name in taken, system) for one in receivers)


def _shown(
    one: Receiver, among: Sequence[Receiver], of: RunForecast | None, taken: bool, system: UnitSystem
) -> OnShelf:
    ran = ran_into(of, one)
    volume = figure(one.volume_l, "L", system)
    strength = _strength(one, ran, system)
    mark = _mark(one)
    smells = ", ".join(one.smells)
    is_in = taken and not one.discarded
    parts = (volume, strength or "strength not read", mark, smells)
    return OnShelf(
        name=one.name,
        vessel=one.vessel,
        level=min(one.volume_l / _size_l(one, among), 1.0),
        volume=volume,
        strength=strength,
        read=one.pct_vol is not None,
        mark=mark,
        smells=smells,
        taken=is_in,
        discarded=one.discarded,
        congeners=congener_lines(ran) if one.of[0] == "run" else (),
        said=f"{one.name}: {', '.join(part for part in parts if part)}",
    )


def _strength(one: Receiver, ran: Between | None, system: UnitSystem) -> str:
    if one.pct_vol is not None:
        return said(one.pct_vol, system)
    return f"about {said(ran.pct_vol.mid, system)}" if ran else ""


def _mark(one: Receiver) -> str:
    if one.mark is None:
        return ""
    if one.mark.place != "maybe":
        return one.mark.place
    return f"{one.mark.score:+g}" if one.mark.score else "0"


def _size_l(one: Receiver, among: Sequence[Receiver]) -> float:
    """The least usual size that holds the fullest receiver of its kind; *common practice, no source*."""
    most_l = max(other.volume_l for other in among if _alike(other, one))
    return next((size for size in _SIZES_L if most_l <= size * _BRIM), most_l)


def _alike(one: Receiver, other: Receiver) -> bool:
    return (one.vessel, one.discarded) == (other.vessel, other.discarded)


_RAN: WeakKeyDictionary[RunForecast, dict[tuple[float, float], Between]] = WeakKeyDictionary()


def ran_into(of: RunForecast | None, one: Receiver) -> Between | None:
    """What is expected to have run into a receiver; None where nothing is forecast of it."""
    if of is None or of.key[0] != one.of[0] or one.from_l >= of.litres[-1]:
        return None
    known, ends = _RAN.setdefault(of, {}), (round(one.from_l, 4), round(one.to_l, 4))
    if ends not in known:
        known[ends] = between(of, *ends)
    return known[ends]


def congener_lines(ran: Between | None) -> tuple[tuple[str, str], ...]:
    """Groups of congeners and methanol [g/hL of pure alcohol], as text with bands."""
    levels = ran.liquid.traces_g_hl_pure if ran is not None else None
    if ran is None or levels is None:
        return ()
    groups = zip(GROUPS, groups_of(ran.liquid), strict=True)
    methanol = band(np.maximum(levels[CONGENERS.index("methanol")], 0.0))
    return (*((GROUP_WORDS[group], rough(of)) for group, of in groups), ("methanol", rough(methanol)))


# A choice ----------------------------------------------------------------------------------------


def gauged(log: RunLog, of: RunForecast | None) -> tuple[Gauged, ...]:
    """Receivers of the spirit runs as a choice takes them; without any strength one cannot be chosen."""
    found = []
    for one in log.of_kind("run"):
        ran = ran_into(of, one)
        pct_vol = one.pct_vol if one.pct_vol is not None else ran.pct_vol.mid if ran else None
        if pct_vol is not None:
            found.append(
                Gauged(one.name, one.volume_l, pct_vol, one.mark or Mark(), _traces(ran, one, pct_vol))
            )
    return tuple(found)


def _traces(ran: Between | None, one: Receiver, pct_vol: float) -> dict[str, Band]:
    """Milligrams in a receiver: levels as forecast, on the alcohol that is in it."""
    if ran is None or ran.liquid.traces_g_hl_pure is None:
        return {}
    mg_per_g_hl = 10.0 * one.volume_l * pct_vol / 100.0
    levels = np.maximum(ran.liquid.traces_g_hl_pure, 0.0) * mg_per_g_hl
    return {name: band(levels[row]) for row, name in enumerate(CONGENERS)}


def chosen(
    log: RunLog, of: RunForecast | None, names: Collection[str], system: UnitSystem, *, planned: bool = True
) -> Chosen:
    """What a choice of receivers gives, at once. planned: whether a cask asks for it, once that is known."""
    jars, wish = gauged(log, of), wish_of(of, system)
    names = [jar.name for jar in jars if jar.name in names]
    unread = [one.name for one in log.of_kind("run") if one.name not in {jar.name for jar in jars}]
    missing = _not_read(unread) if unread and (of is not None or not planned) else ""
    if not names:
        nothing = "Nothing is taken in yet: tap a jar." if jars else "No jar is filled yet."
        return Chosen(nothing, (), (), (missing,) if missing else (), (), ())
    report = still_choice.chosen(jars, names, wish, worths=False)
    warnings = still_jar_words.choice_warnings(report, wish, system)
    return Chosen(
        headline=_headline(report, system),
        sentences=_sentences(report, of, wish, system, planned=planned),
        figures=_figures(report, wish, system),
        warnings=(*warnings, missing) if missing else warnings,
        congeners=_congeners(log, of, names),
        rows=_rows(names, report, system),
    )


def best(log: RunLog, of: RunForecast | None, way: Way, system: UnitSystem) -> Best:
    """The best choice under the maker's marks.

    Raises:
        InputError: nothing to choose from.
    """
    jars, wish = gauged(log, of), wish_of(of, system)
    try:
        report = still_choice.choose(jars, wish, way, BEST_IN_S, worths=False)
    except NoSuchChoice as why:
        near = Wish(wish.wanted_l, wish.entry_pct_vol, volume="near", show=system)
        try:
            report = still_choice.choose(jars, near, "cut", BEST_IN_S, worths=False)
        except CaskwardError:
            return Best((), str(why))
        return Best(_names(report), f"{why} The nearest to it is taken in below.")
    return Best(_names(report), f"Taken in below: {report.how}.")


def _names(report: ChoiceReport) -> tuple[str, ...]:
    return tuple(line.name for line in report.jars if line.share >= 0.5)


def _headline(report: ChoiceReport, system: UnitSystem) -> str:
    volume = banded(report.heart.volume_l, "L", system)
    return f"What is in makes {volume} at {banded(report.heart.pct_vol, 'pct_vol', system)}."


def _not_read(names: Sequence[str]) -> str:
    are = "it is" if len(names) == 1 else "they are"
    return f"No strength of {' and '.join(names)} is read yet, so {are} left out."


def _sentences(
    report: ChoiceReport, of: RunForecast | None, wish: Wish, system: UnitSystem, *, planned: bool
) -> tuple[str, ...]:
    if of is None:
        return () if planned else ("No plan is kept with this batch, so no cask asks for it.",)
    wanted, entry = figure(wish.wanted_l, "L", system), said(wish.entry_pct_vol, system)
    if report.heart.pct_vol.mid < wish.entry_pct_vol - 0.05:
        return (f"It is weaker than {entry}, so no water brings it to the cask's entry strength.",)
    _, settles = settled(of, report.in_cask_l.mid, report.reduced.pct_vol.mid)
    fills = (
        f"Let down to {entry} it fills the cask to {banded(report.in_cask_l, 'L', system)} of {wanted}, full "
        f"with {show.in_ten(report.chance)} confidence. It settles at {banded(settles, 'pct_vol', system)} "
        "once the wood has given its water."
    )
    over_l = report.surplus_l.mid
    over = f"{figure(over_l, 'L', system)} would be left over." if over_l > 0.05 else ""
    return (fills, over) if over else (fills,)


def _figures(report: ChoiceReport, wish: Wish, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    lines = dict(still_jar_words.choice_lines(report, wish, system))
    for told in ("in the cask", "over and above", "heart, as it stands"):
        lines.pop(told, None)
    if wish is NO_WISH:
        lines = {words: of for words, of in lines.items() if not words.startswith("water")}
    return tuple(lines.items())


def _congeners(log: RunLog, of: RunForecast | None, names: Sequence[str]) -> tuple[tuple[str, str], ...]:
    ran = [ran_into(of, one) for one in log.of_kind("run") if one.name in names]
    liquids = [one.liquid for one in ran if one is not None]
    if not liquids or len(liquids) < len(ran):
        return ()
    whole = mixed(*liquids)
    return congener_lines(Between(band(whole.strength_pct_vol), whole))


def _rows(names: Sequence[str], report: ChoiceReport, system: UnitSystem) -> tuple[str, ...]:
    heart = report.heart
    litres, strength = heart.volume_l.mid, heart.pct_vol.mid
    whole = f"{litres:.2f} L, {strength:.1f} %"
    if system == "us":
        gallons, proof = convert.us_gallons_from_litres(litres), float(alcohol.proof_60f(strength))
        whole = f"{gallons:.2f} gal, {proof:.1f} proof"
    return (f"taken: {', '.join(names)}", f"heart: {whole}")
