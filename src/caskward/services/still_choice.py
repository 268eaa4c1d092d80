"""Choosing jars for the cask: the best cut, the best free choice, or what a maker's own choice gives."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.errors import MissingValue, UnknownName
from caskward.planning.choice import Choice, JarWorth, Outcome, best_cut, jar_worths, outcome
from caskward.planning.free_choice import TIME_LIMIT_S, best_choice
from caskward.planning.jars import Gauged, GaugeDoubt, Mark, gauged_jars, read_mark
from caskward.planning.plan import Band, band
from caskward.planning.wish import GROUPS, Cap, Wish, cap
from caskward.services import still_run
from caskward.stages.stream import Stream, Worlds

__all__ = [
    "GROUPS",
    "TIME_LIMIT_S",
    "Band",
    "Cap",
    "ChoiceReport",
    "GaugeDoubt",
    "Gauged",
    "JarLine",
    "Level",
    "Mark",
    "Portion",
    "Way",
    "Wish",
    "as_json",
    "cap",
    "choose",
    "chosen",
    "read_mark",
]

WORLDS = 256
OWN = "as you chose"
Way = Literal["cut", "free"]


@dataclass(frozen=True)
class JarLine:
    """One jar: how much of it is taken (0..1), and the choice if it alone changed sides, if asked."""

    name: str
    volume_l: float
    pct_vol: float
    mark: float
    place: str
    share: float
    worth: JarWorth | None


@dataclass(frozen=True)
class Portion:
    """A liquid as bands over the instruments' doubt, at 20 °C."""

    volume_l: Band
    pct_vol: Band
    lpa: Band


@dataclass(frozen=True)
class Level:
    """A capped congener in the choice and its limit [mg per litre of pure alcohol]; None where not known.

    unit: in which the limit was given.
    """

    words: str
    mg_per_l: Band | None
    most_mg_per_l: float
    unit: str


@dataclass(frozen=True)
class ChoiceReport:
    """A choice and all it gives. `how` says how good it is; `gap` as `Choice.gap`, None where nobody knows.

    water_l: litres of water at 20 °C to entry strength. chance: share of worlds with the cask filled as
    wished. judged: the jars were looked for, not named by the maker.
    """

    jars: tuple[JarLine, ...]
    how: str
    gap: float | None
    heart: Portion
    reduced: Portion
    water_l: Band
    in_cask_l: Band
    surplus_l: Band
    feints: Portion
    discarded: Portion
    mean_mark: float
    levels: tuple[Level, ...]
    chance: float
    judged: bool


def choose(
    gauged: Sequence[Gauged],
    wish: Wish,
    way: Way = "free",
    time_limit_s: float = TIME_LIMIT_S,
    sure: bool = False,
    doubt: GaugeDoubt | None = None,
    *,
    worths: bool = True,
) -> ChoiceReport:
    """The best unbroken cut ("cut") or the best choice of any jars ("free").

    sure: every limit must hold in the wish's confidence of worlds, with the instruments' doubt; otherwise the
    jars are taken as they were read, and the chance of a full cask comes out as it does. worths: what each
    jar alone is worth, too, which takes longest.

    Raises:
        InputError: one sentence about what cannot be used. NoSuchChoice: which limit cannot be met.
    """
    jars = gauged_jars(gauged, WORLDS if sure else 0, doubt=doubt)
    found = best_cut(jars, wish) if way == "cut" else best_choice(jars, wish, time_limit_s)
    return _report(gauged, found.shares, wish, _how(found, way, wish), found.gap, doubt, worths)


def chosen(
    gauged: Sequence[Gauged],
    names: Collection[str],
    wish: Wish,
    doubt: GaugeDoubt | None = None,
    *,
    worths: bool = True,
) -> ChoiceReport:
    """What a maker's own choice gives; limits are not enforced, the report shows where they break.

    worths: as of `choose`.

    Raises:
        UnknownName: a jar that is not there. MissingValue: none named. InputError: one sentence about what
        cannot be used.
    """
    known = tuple(jar.name for jar in gauged)
    names = {_jar_called(name, known) for name in names}
    if not names:
        raise MissingValue("Your own choice", "the names of jars", '--take "3, 4, 5"')
    shares = np.array([float(name in names) for name in known])
    return _report(gauged, shares, wish, OWN, None, doubt, worths)


def _jar_called(name: str, known: tuple[str, ...]) -> str:
    """A jar's name as the file writes it; a number alone stands for `jar 3`, as receivers are called.

    Raises:
        UnknownName: no jar of that name.
    """
    found = next((one for one in (name, f"jar {name}") if one in known), None)
    if found is None:
        raise UnknownName("jar", name, None, known)
    return found


def as_json(report: ChoiceReport) -> str:
    """A report as JSON: SI and trade units as in the names, bands as low, mid, high."""
    return still_run.as_json(report)


def _how(found: Choice, way: Way, wish: Wish) -> str:
    if way == "cut":
        return "the best of all unbroken cuts"
    if found.gap is None:
        return "a good choice that is sure enough; a better one may exist"
    if found.proven:
        return "proven best of all choices"
    unit = "marks" if wish.aim == "mark" else "L of pure alcohol"
    return f"best found in the time given; another may be up to {found.gap:.2g} {unit} better"


def _report(
    gauged: Sequence[Gauged],
    shares: Worlds,
    wish: Wish,
    how: str,
    gap: float | None,
    doubt: GaugeDoubt | None,
    weigh: bool,
) -> ChoiceReport:
    jars = gauged_jars(gauged, WORLDS, doubt=doubt)
    got = outcome(jars, shares, wish)
    worths = jar_worths(jars, shares, wish) if weigh else (None,) * len(gauged)
    rows = zip(gauged, shares.tolist(), worths, strict=True)
    return ChoiceReport(
        jars=tuple(
            JarLine(jar.name, jar.volume_l, jar.pct_vol, jar.mark.score, jar.mark.place, share, worth)
            for jar, share, worth in rows
        ),
        how=how,
        gap=gap,
        heart=_portion(got.heart),
        reduced=_portion(got.reduced),
        water_l=band(got.water_kg / 0.99820),
        in_cask_l=band(got.in_cask_l),
        surplus_l=band(got.surplus_l),
        feints=_portion(got.feints),
        discarded=_portion(got.discarded),
        mean_mark=got.mean_mark,
        levels=_levels(got, wish),
        chance=got.chance_of_fill,
        judged=how != OWN,
    )


def _levels(got: Outcome, wish: Wish) -> tuple[Level, ...]:
    found = []
    for limit in wish.caps:
        mg_per_l = got.level_mg_per_l(limit)
        known = band(mg_per_l) if np.all(np.isfinite(mg_per_l)) else None
        found.append(Level(limit.words, known, limit.most_mg_per_l, limit.unit))
    return tuple(found)


def _portion(stream: Stream) -> Portion:
    return Portion(band(stream.volume_l), band(stream.strength_pct_vol), band(stream.lpa))
