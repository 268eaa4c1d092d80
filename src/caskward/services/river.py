"""The way of a batch's alcohol, reach by reach: what was planned, what is expected now, what is recorded.

materials · tub · wash · low wines · charge · heart · cask; beside each what leaves, or comes in, behind it.
All figures are litres of pure alcohol at 20 °C; of materials what their sugar and starch could give.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

import numpy as np

from caskward.planning.forecast import Course
from caskward.planning.plan import Band, band
from caskward.properties import alcohol
from caskward.stages.balance import Loss
from caskward.stages.stream import Worlds

ReachKey = Literal["materials", "tub", "wash", "low wines", "charge", "heart", "cask"]
SideKind = Literal["lost", "feints", "in", "over"]
Matter = Literal["grain", "wash", "spirit", "heart", "oak"]

_WORTH_L: Final = 0.05
"""A stream that is smaller than this all the time is not drawn."""
FEINTS_IN, TOP_UP, FEINTS_OUT, OVER = (
    "feints from store",
    "spirit of another batch",
    "feints kept",
    "spirit left over",
)
LEFT_BY_STRIPS, LEFT_BY_RUNS = "left in the still after stripping", "left in the still after the spirit run"
FORESHOTS, IN_SOLIDS = "foreshots discarded", "held by the spent solids"
_BEHIND: Final[dict[str, ReachKey]] = {
    IN_SOLIDS: "tub",
    "left on the lees": "tub",
    "spent solids": "tub",
    "left in hoses and vessels": "tub",
    LEFT_BY_STRIPS: "wash",
    FORESHOTS: "charge",
    LEFT_BY_RUNS: "charge",
    "spirit left in pipes and funnel": "heart",
}
"""Behind which reach a loss of that name leaves; one of another name leaves where the one before it did."""


@dataclass(frozen=True)
class Side:
    """A stream that leaves behind a reach, or comes in there. recorded_l: what the book has of it.

    so_far: more of it is to come.
    """

    words: str
    kind: SideKind
    planned: Band | None
    now: Band | None
    recorded_l: float | None
    so_far: bool = False

    @property
    def stands_at_l(self) -> float:
        """The best that is known of the whole of it."""
        return _whole_l(self)


@dataclass(frozen=True)
class Reach:
    """One reach. stage: key of the plan's stage that it opens. sides: streams between it and the next.

    so_far: what is recorded of it is a part, since more is to pass.
    """

    key: ReachKey
    title: str
    stage: str
    matter: Matter
    planned: Band | None
    now: Band | None
    recorded_l: float | None
    sides: tuple[Side, ...]
    so_far: bool = False

    @property
    def stands_at_l(self) -> float:
        """The best that is known of the whole of it: recorded, else expected, else planned."""
        return _whole_l(self)


@dataclass(frozen=True)
class River:
    """Every reach that is planned or recorded, from the materials to the cask."""

    reaches: tuple[Reach, ...]

    @property
    def widest_l(self) -> float:
        """The most that any figure of a reach comes to."""
        return max((most for reach in self.reaches for most in _figures(reach)), default=0.0)


@dataclass(frozen=True)
class Recorded:
    """What the book has of a batch: litres by reach, and by reach, words and kind of a stream.

    so_far: reaches of which only a part has passed.
    """

    reaches: Mapping[ReachKey, float] = field(default_factory=dict)
    sides: Mapping[tuple[ReachKey, str, SideKind], float] = field(default_factory=dict)
    so_far: frozenset[ReachKey] = frozenset()


_REACHES: Final[tuple[tuple[ReachKey, str, str, Matter], ...]] = (
    ("materials", "Materials", "cook", "grain"),
    ("tub", "Tub, fermented", "ferment", "wash"),
    ("wash", "Wash", "separate", "wash"),
    ("low wines", "Low wines", "strip", "spirit"),
    ("charge", "Charge", "charge", "spirit"),
    ("heart", "Heart", "spirit", "heart"),
    ("cask", "Cask", "fill", "oak"),
)


def river(planned: Course | None, now: Course | None, recorded: Recorded) -> River:
    """The river of a batch; a reach of which nothing is known is left out.

    Args:
        planned: the plan's forecast. now: the same after its readings, where there are any. recorded: of the
            book.
    """
    by_plan, expected = (_reaches(course) if course else {} for course in (planned, now))
    sides_planned, sides_now = (_sides(course) if course else {} for course in (planned, now))
    found = []
    for key, title, stage, matter in _REACHES:
        figures = by_plan.get(key), expected.get(key), recorded.reaches.get(key)
        if any(figure is not None for figure in figures):
            sides = tuple(_beside(key, sides_planned, sides_now, recorded))
            found.append(Reach(key, title, stage, matter, *figures, sides, key in recorded.so_far))
    return River(tuple(found))


def _whole_l(of: Reach | Side) -> float:
    """The whole as recorded; where that is a part, as it is expected, but no less than what was recorded."""
    known = of.now or of.planned
    mid = known.mid if known else 0.0
    if of.recorded_l is None:
        return mid
    return max(of.recorded_l, mid) if of.so_far else of.recorded_l


def _reaches(course: Course) -> dict[ReachKey, Band]:
    could_kg = [stream.potential_ethanol_kg for stream in course.mash.materials.values()]
    of: dict[ReachKey, Worlds] = {
        "materials": np.asarray(alcohol.litres_pure_alcohol(sum(could_kg[1:], could_kg[0]))),
        "tub": course.fermented.lpa,
        "wash": course.wash.lpa,
        "low wines": course.low_wines.lpa,
        "charge": course.charge.lpa,
        "heart": course.spirit.receivers.heart.lpa,
        "cask": course.cask.lpa,
    }
    return {key: band(lpa) for key, lpa in of.items()}


_SideOf = tuple[ReachKey, str, SideKind]


def _sides(course: Course) -> dict[_SideOf, Band]:
    found: dict[_SideOf, Worlds] = {}
    for place, loss in _placed(course.losses):
        found[place, loss.name, "lost"] = found.get((place, loss.name, "lost"), np.zeros(())) + loss.lpa
    found["low wines", FEINTS_IN, "in"] = course.feints_in.lpa
    found["charge", FEINTS_OUT, "feints"] = course.feints.lpa
    found["heart", TOP_UP, "in"] = course.top_up.lpa
    found["heart", OVER, "over"] = course.surplus.lpa
    return {key: band(lpa) for key, lpa in found.items()}


def _placed(losses: Iterable[Loss]) -> Iterator[tuple[ReachKey, Loss]]:
    place: ReachKey = "materials"
    for loss in losses:
        place = _BEHIND.get(loss.name, place)
        yield place, loss


def _beside(
    reach: ReachKey, planned: Mapping[_SideOf, Band], now: Mapping[_SideOf, Band], recorded: Recorded
) -> Iterator[Side]:
    for key in dict.fromkeys((*planned, *now, *recorded.sides)):
        place, words, kind = key
        side = Side(
            words,
            kind,
            planned.get(key),
            now.get(key),
            recorded.sides.get(key),
            _after(place) in recorded.so_far,
        )
        mids = [one.mid for one in (side.planned, side.now) if one]
        if place == reach and max([*mids, side.recorded_l or 0.0]) >= _WORTH_L:
            yield side


def _after(reach: ReachKey) -> ReachKey | None:
    """The reach that comes next."""
    keys = [key for key, *_ in _REACHES]
    at = keys.index(reach) + 1
    return keys[at] if at < len(keys) else None


def _figures(reach: Reach) -> Iterator[float]:
    yield from (one.high for one in (reach.planned, reach.now) if one)
    yield reach.recorded_l or 0.0
