"""What any choice of receivers does to the cask, at once; `run_best` looks for the best one."""

from __future__ import annotations

import threading
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final
from weakref import WeakKeyDictionary

from caskward.planning.jars import Gauged, Mark
from caskward.planning.plan import Band, band
from caskward.planning.strengths import said
from caskward.planning.wish import Wish
from caskward.properties import alcohol
from caskward.services import still_choice, still_jar_words
from caskward.services.batch_receivers import RunKey
from caskward.services.run_forecast import Between, RunForecast, settled
from caskward.services.run_log import RunLog
from caskward.services.run_shelf import Lines, congener_lines, ran_into
from caskward.services.still_choice import ChoiceReport
from caskward.services.words import banded, figure
from caskward.stages.stream import mixed
from caskward.units import convert, show
from caskward.units.types import UnitSystem

NO_WISH: Final = Wish(0.0, 1.0)
_MOST_KEPT: Final = 64


@dataclass(frozen=True)
class Chosen:
    """What a choice gives. rows: what is entered when it is recorded; empty where it cannot be.

    congeners: group, level in the chosen heart [g/hL of pure alcohol] as text.
    """

    headline: str
    sentences: tuple[str, ...]
    figures: tuple[tuple[str, str], ...]
    warnings: tuple[str, ...]
    congeners: Lines
    rows: tuple[str, ...]


@dataclass(frozen=True)
class Share:
    """A choice of one run alone, while others are to come. runs: of how many; 0 where nobody knows."""

    key: RunKey
    runs: int


_LOCK: Final = threading.Lock()
_CHOSEN: WeakKeyDictionary[RunForecast, dict[object, Chosen]] = WeakKeyDictionary()


def wish_of(of: RunForecast | None, system: UnitSystem) -> Wish:
    """What the batch's cask asks for; nothing without a plan."""
    if of is None:
        return NO_WISH
    method = of.belief.sized.method
    return Wish(method.fill_l, method.entry_pct_vol, show=system)


def share_of(log: RunLog, key: RunKey, runs: int) -> Share | None:
    """The part of the heart that a run's choice is; None where it is the whole heart.

    Args:
        runs: how many spirit runs the plan has; 0 without one.
    """
    if runs == 0:
        return Share(key, 0)
    others = [("run", n + 1) for n in range(runs) if n + 1 != key[1]]
    to_come = [one for one in others if one[1] > key[1] and one not in log.hearts]
    return Share(key, runs) if to_come else None


def gauged(log: RunLog, of: RunForecast | None) -> tuple[Gauged, ...]:
    """Receivers of the spirit runs as a choice takes them; without any strength one cannot be chosen."""
    found = []
    for one in log.of_kind("run"):
        ran = ran_into(of, one)
        pct_vol = one.pct_vol if one.pct_vol is not None else ran.pct_vol.mid if ran else None
        if pct_vol is not None:
            found.append(Gauged(one.name, one.volume_l, pct_vol, one.mark or Mark()))
    return tuple(found)


def chosen(
    log: RunLog,
    of: RunForecast | None,
    names: Collection[str],
    system: UnitSystem,
    share: Share | None = None,
    *,
    planned: bool = True,
) -> Chosen:
    """What a choice of receivers gives, at once.

    Args:
        share: the run that it is of, while others are to come. planned: whether a cask asks for it, once that
            is known.
    """
    jars = gauged(log, of)
    names = [jar.name for jar in jars if jar.name in names]
    unread = [one.name for one in log.of_kind("run") if one.name not in {jar.name for jar in jars}]
    missing = _not_read(unread) if unread and (of is not None or not planned) else ""
    if not names:
        nothing = "Nothing is taken in yet: tap a jar." if jars else "No jar is filled yet."
        return Chosen(nothing, (), (), (missing,) if missing else (), (), ())
    seen = tuple((jar.name, jar.volume_l, jar.pct_vol, jar.mark) for jar in jars)
    key = (seen, *names, missing, system, share)
    with _LOCK:
        known = _CHOSEN.setdefault(of, {}) if of is not None else {}
        found = known.get(key)
    if found is None:
        asked = _Asked(log, of, wish_of(of, system), system, share, planned)
        found = _worked_out(asked, jars, names, missing)
        with _LOCK:
            if len(known) >= _MOST_KEPT:
                known.clear()
            known[key] = found
    return found


@dataclass(frozen=True)
class _Asked:
    """What a choice is judged by."""

    log: RunLog
    of: RunForecast | None
    wish: Wish
    system: UnitSystem
    share: Share | None
    planned: bool


def _worked_out(asked: _Asked, jars: Sequence[Gauged], names: Sequence[str], missing: str) -> Chosen:
    wish, system = asked.wish, asked.system
    report = still_choice.chosen(jars, names, wish, worths=False)
    partial = asked.share is not None and asked.share.runs > 0
    # That a part of the heart does not fill the cask is no slip.
    judged = replace(report, in_cask_l=Band(*(wish.wanted_l,) * 3)) if partial else report
    warnings = still_jar_words.choice_warnings(judged, wish, system)
    return Chosen(
        headline=_headline(report, system),
        sentences=_sentences(report, asked),
        figures=_figures(report, wish, system),
        warnings=(*warnings, missing) if missing else warnings,
        congeners=_congeners(asked.log, asked.of, names),
        rows=_rows(asked, jars, names, report),
    )


def _headline(report: ChoiceReport, system: UnitSystem) -> str:
    volume = banded(report.heart.volume_l, "L", system)
    return f"What is in makes {volume} at {banded(report.heart.pct_vol, 'pct_vol', system)}."


def _not_read(names: Sequence[str]) -> str:
    are = "it is" if len(names) == 1 else "they are"
    return f"No strength of {' and '.join(names)} is read yet, so {are} left out."


def _sentences(report: ChoiceReport, asked: _Asked) -> tuple[str, ...]:
    of, wish, system = asked.of, asked.wish, asked.system
    if of is None:
        return () if asked.planned else ("No plan is kept with this batch, so no cask asks for it.",)
    wanted, entry = figure(wish.wanted_l, "L", system), said(wish.entry_pct_vol, system)
    if report.heart.pct_vol.mid < wish.entry_pct_vol - 0.05:
        return (f"It is weaker than {entry}, so no water brings it to the cask's entry strength.",)
    if asked.share and asked.share.runs:
        return (_so_far(report, asked.share, wish, system),)
    _, settles = settled(of, report.in_cask_l.mid, report.reduced.pct_vol.mid)
    fills = (
        f"Let down to {entry} it fills the cask to {banded(report.in_cask_l, 'L', system)} of {wanted}, full "
        f"with {show.in_ten(report.chance)} confidence. It settles at {banded(settles, 'pct_vol', system)} "
        "once the wood has given its water."
    )
    over_l = report.surplus_l.mid
    over = f"{figure(over_l, 'L', system)} would be left over." if over_l > 0.05 else ""
    return (fills, over) if over else (fills,)


def _so_far(report: ChoiceReport, share: Share, wish: Wish, system: UnitSystem) -> str:
    """Of a choice that other runs add to: how full the cask gets is not known by it."""
    wanted, entry = figure(wish.wanted_l, "L", system), said(wish.entry_pct_vol, system)
    due_l = wish.wanted_l * share.key[1] / share.runs
    return (
        f"Let down to {entry} it is {banded(report.reduced.volume_l, 'L', system)} for the cask, which takes "
        f"{wanted} from {share.runs} runs: about {figure(due_l, 'L', system)} of that by the end of run "
        f"{share.key[1]}. How sure the cask fills stands with the batch."
    )


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


def _rows(
    asked: _Asked, jars: Sequence[Gauged], names: Sequence[str], report: ChoiceReport
) -> tuple[str, ...]:
    """The whole heart, or that of one run; without a plan nobody knows which run is the last."""
    share, system = asked.share, asked.system
    if share is None:
        return (f"taken: {', '.join(names)}", f"heart: {_measures(report, system)}")
    own = [one.name for one in asked.log.of_run(share.key) if one.name in names]
    if not own:
        return ()
    run = f"run {share.key[1]}"
    heart = f"{run} heart" if share.runs else "heart"
    part = still_choice.chosen(jars, own, asked.wish, worths=False) if share.runs else report
    return (f"{run} taken: {', '.join(own)}", f"{heart}: {_measures(part, system)}")


def _measures(report: ChoiceReport, system: UnitSystem) -> str:
    litres, strength = report.heart.volume_l.mid, report.heart.pct_vol.mid
    if system == "us":
        gallons, proof = convert.us_gallons_from_litres(litres), float(alcohol.proof_60f(strength))
        return f"{gallons:.2f} gal, {proof:.1f} proof"
    return f"{litres:.2f} L, {strength:.1f} %"
