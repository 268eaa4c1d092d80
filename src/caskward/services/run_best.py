"""The best choice of a run's receivers under the maker's marks, or the nearest where none fills the cask.

It is of the jars of one run: a cut that goes on from one run's tails into the next one's heads is none. While
runs are to come it is judged by this run's share of the cask; the last one by what the others left open.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from caskward.errors import CaskwardError, NoSuchChoice, NothingToChoose
from caskward.planning.jars import Gauged
from caskward.planning.wish import Wish
from caskward.services import still_choice
from caskward.services.batch_receivers import RunKey
from caskward.services.run_choice import Share, gauged, wish_of
from caskward.services.run_forecast import RunForecast
from caskward.services.run_log import RunLog
from caskward.services.still_choice import ChoiceReport
from caskward.services.words import figure
from caskward.units.types import UnitSystem

Way = Literal["cut", "free"]
BEST_IN_S: Final = 4.0


@dataclass(frozen=True)
class Best:
    """The best choice: names, and how good it is; where none meets every limit, why, and the nearest."""

    names: tuple[str, ...]
    sentence: str


def best(
    log: RunLog,
    of: RunForecast | None,
    key: RunKey,
    way: Way,
    system: UnitSystem,
    held: Collection[str] = (),
    share: Share | None = None,
) -> Best:
    """The best choice of a run's jars.

    Args:
        held: what is taken in of other runs, which stays. share: of the cask, while runs are to come.

    Raises:
        InputError: nothing to choose from.
    """
    every = gauged(log, of)
    own_names = {one.name for one in log.of_run(key) if not log.is_settled(one)}
    own = [jar for jar in every if jar.name in own_names]
    kept = [jar.name for jar in every if jar.name in held and jar.name not in own_names]
    if not own:
        raise NothingToChoose
    wish = _wish_of_run(wish_of(of, system), every, kept, share)
    for_what = _for_what(wish, share, kept, system)
    try:
        report = still_choice.choose(own, wish, way, BEST_IN_S, worths=False)
    except NoSuchChoice as why:
        return _nearest(own, kept, wish, way, f"{why}{for_what}")
    return Best((*kept, *_names(report)), f"Taken in below: {report.how}.{for_what}{_disliked(own, report)}")


def _wish_of_run(wish: Wish, every: Sequence[Gauged], kept: Sequence[str], share: Share | None) -> Wish:
    """What one run is asked for: its share, or what the others left open."""
    if share and share.runs:
        return replace(wish, wanted_l=wish.wanted_l / share.runs)
    if not kept or not wish.wanted_l:
        return wish
    lpa = still_choice.chosen(every, kept, wish, worths=False).heart.lpa.mid
    return replace(wish, wanted_l=max(wish.wanted_l - 100.0 * lpa / wish.entry_pct_vol, 0.0))


def _for_what(wish: Wish, share: Share | None, kept: Sequence[str], system: UnitSystem) -> str:
    if share and share.runs:
        wanted = figure(wish.wanted_l, "L", system)
        return f" Asked is this run's share of the cask, {wanted} of {share.runs} runs alike."
    return " Asked is what the other runs left open." if kept else ""


def _nearest(own: Sequence[Gauged], kept: Sequence[str], wish: Wish, way: Way, why: str) -> Best:
    """The nearest to what is asked among the jars that nobody marked below zero."""
    liked = [jar if jar.mark.score >= 0.0 else _out(jar) for jar in own]
    left_out = [jar.name for jar in own if jar.mark.score < 0.0 and jar.mark.place == "maybe"]
    try:
        report = still_choice.choose(liked, replace(wish, volume="near"), way, BEST_IN_S, worths=False)
    except CaskwardError:
        return Best((), why)
    out = f" {_listed(left_out)} {'is' if len(left_out) == 1 else 'are'} left out: marked below zero."
    return Best(
        (*kept, *_names(report)),
        f"{why} The nearest to it is taken in below.{out if left_out else ''}",
    )


def _out(jar: Gauged) -> Gauged:
    place = jar.mark.place if jar.mark.place != "maybe" else "out"
    return replace(jar, mark=replace(jar.mark, place=place))


def _disliked(own: Sequence[Gauged], report: ChoiceReport) -> str:
    """What is taken in against its mark."""
    names = [jar.name for jar in own if jar.mark.score < 0.0 and jar.name in _names(report)]
    return f" It takes in {_listed(names)}, marked below zero: smell again first." if names else ""


def _names(report: ChoiceReport) -> tuple[str, ...]:
    return tuple(line.name for line in report.jars if line.share >= 0.5)


def _listed(names: Sequence[str]) -> str:
    text = " and ".join(", ".join(names).rsplit(", ", 1))
    return text[:1].upper() + text[1:] if text else ""
