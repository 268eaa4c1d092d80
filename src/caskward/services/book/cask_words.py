"""A cask's story in words and figures in the maker's own units, and what its picture is drawn from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from caskward.book.accounts import BULK
from caskward.book.amounts import Liquid
from caskward.book.words import said
from caskward.properties import alcohol
from caskward.services.book import words
from caskward.services.book.cask_story import CaskStory, Level, Outlook, Pace, Rate
from caskward.services.book.moments import shown
from caskward.units import convert, show
from caskward.units.types import UnitSystem

_MONTH_DAYS: Final = 30.44
_UL_IN_L: Final = 1e6
_KINDS: Final[Mapping[str, str]] = {
    "filled": "filled",
    "topped": "topped",
    "gauged": "gauged",
    "sampled": "sampled",
    "moved": "moved",
}


@dataclass(frozen=True, slots=True)
class LevelShown:
    """What was there after something was done."""

    number: int
    when: str
    what: str
    liquid: str
    strength: str


@dataclass(frozen=True, slots=True)
class Point:
    """A place of the picture: days since the fill, volume and strength as shown."""

    day: float
    volume: float
    strength: float


@dataclass(frozen=True, slots=True)
class AheadPoint:
    """A moment ahead: low, middle, high of volume and of strength, as shown."""

    day: float
    volume: tuple[float, float, float]
    strength: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class CaskShown:
    """A cask's story. paces: of which span, pure alcohol lost a year, liquid lost a year."""

    age: str
    filled: str
    batches: tuple[str, ...]
    levels: tuple[LevelShown, ...]
    paces: tuple[tuple[str, str, str], ...]
    lost: str
    ahead: tuple[str, ...]
    points: tuple[Point, ...]
    ahead_points: tuple[AheadPoint, ...]
    unit: str
    strength_unit: str


def told(of: CaskStory, now: datetime, system: UnitSystem) -> CaskShown:
    """The story as a page shows it. now: to say how old it is."""
    return CaskShown(
        age=age(of.filled_at, now) if of.filled_at else "",
        filled=shown(of.filled_at)[:10] if of.filled_at else "",
        batches=of.batches,
        levels=tuple(_level(one, system) for one in reversed(of.levels)),
        paces=tuple(_pace(one) for one in of.paces),
        lost=_lost(of),
        ahead=_ahead(of, now, system),
        points=tuple(_point(one, of.levels[0].at, system) for one in of.levels),
        ahead_points=tuple(_ahead_point(one, of.levels[0].at, system) for one in of.ahead),
        unit="gal" if system == "us" else "L",
        strength_unit="proof" if system == "us" else "%vol",
    )


def age(filled_at: datetime, now: datetime) -> str:
    """How long spirit has been in a cask: `12 days`, `10 months`, `3 years 2 months`."""
    days = max((now - filled_at) / timedelta(days=1), 0.0)
    if days < 2 * _MONTH_DAYS:
        return _counted(int(days), "day")
    months = int(days / _MONTH_DAYS)
    if months < 24:
        return _counted(months, "month")
    years, left = divmod(months, 12)
    return f"{_counted(years, 'year')} {_counted(left, 'month')}" if left else _counted(years, "year")


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"


def _level(of: Level, system: UnitSystem) -> LevelShown:
    return LevelShown(
        number=of.number,
        when=shown(of.at)[:10],
        what=_KINDS.get(of.kind, of.kind),
        liquid=said(of.liquid.bulk_ul, BULK, system),
        strength=words.strength(of.liquid, system),
    )


def _pace(of: Pace) -> tuple[str, str, str]:
    span = f"{shown(of.start)[:10]} to {shown(of.end)[:10]}{', from the fill' if of.first else ''}"
    return span, _rate(of.alcohol), _rate(of.liquid)


def _rate(of: Rate) -> str:
    return f"{of.mid:.1f} % a year ({of.low:.1f} to {of.high:.1f})"


def _lost(of: CaskStory) -> str:
    if of.lost_pct is None:
        return "No gauge has found a loss yet: gauge it a month after the fill, then twice a year."
    until = shown(of.paces[-1].end)[:10]
    return (
        f"From its fill to the gauge of {until} it lost {of.lost_pct:.1f} % of its pure alcohol a year, "
        "wood and air together."
    )


def _ahead(of: CaskStory, now: datetime, system: UnitSystem) -> tuple[str, ...]:
    if not of.ahead:
        return (
            "How it goes on cannot be said yet: that takes two gauges at least a month apart, for the first "
            "one counts what the wood took.",
        )
    return tuple(_moment(one, now, system) for one in of.ahead)


def _moment(of: Outlook, now: datetime, system: UnitSystem) -> str:
    ends = [of.fast, of.as_last, of.slow]
    held = _banded([one.bulk_ul for one in ends], system)
    pure = _banded([one.alcohol_ul for one in ends], system)
    low, mid, high = _strengths(of)
    strong = show.band(low, mid, high, lambda pct: _strength(pct, system))
    if of.at <= now:
        return f"Nobody has looked into it of late. By its own pace it holds about {held} today, at {strong}."
    return (
        f"If it goes on at its own pace, in a year, on {shown(of.at)[:10]}, it holds {held} at {strong}: "
        f"{pure} of pure alcohol."
    )


def _strength(pct_vol: float, system: UnitSystem) -> str:
    return words.strength(Liquid(round(pct_vol * 1e4), 1_000_000), system)


def _banded(values_ul: Sequence[int], system: UnitSystem) -> str:
    low, mid, high = (value / _UL_IN_L for value in values_ul)
    return show.band(low, mid, high, lambda value: show.volume(value, system))


def _strengths(of: Outlook) -> tuple[float, float, float]:
    """Weakest, middle, strongest: alcohol by the fastest pace in liquid by the slowest, and the other way."""
    fast, mid, slow = of.fast, of.as_last, of.slow
    weak = Liquid(fast.alcohol_ul, max(slow.bulk_ul, 1))
    strong = Liquid(min(slow.alcohol_ul, fast.bulk_ul), max(fast.bulk_ul, 1))
    return weak.pct_vol, mid.pct_vol, strong.pct_vol


def _volume(volume_ul: int, system: UnitSystem) -> float:
    volume_l = volume_ul / _UL_IN_L
    return convert.us_gallons_from_litres(volume_l) if system == "us" else volume_l


def _point(of: Level, begun: datetime, system: UnitSystem) -> Point:
    strong = _as_shown(of.liquid.pct_vol if of.liquid.bulk_ul else 0.0, system)
    return Point((of.at - begun) / timedelta(days=1), _volume(of.liquid.bulk_ul, system), strong)


def _as_shown(pct_vol: float, system: UnitSystem) -> float:
    return float(alcohol.proof_60f(pct_vol)) if system == "us" else pct_vol


def _ahead_point(of: Outlook, begun: datetime, system: UnitSystem) -> AheadPoint:
    low, mid, high = (_volume(one.bulk_ul, system) for one in (of.fast, of.as_last, of.slow))
    weak, middle, strong = (_as_shown(one, system) for one in _strengths(of))
    return AheadPoint((of.at - begun) / timedelta(days=1), (low, mid, high), (weak, middle, strong))
