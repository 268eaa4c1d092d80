"""Where each step of a lineage stands in its picture: a band for each batch, in it from left to right.

A step without a batch that only feeds others (a sack, spirit from before) stands with the batch it goes to
first; all others without one stand in the last band. Within a band a step stands right of all that it came
from there, and just left of what it went into first.
"""

from __future__ import annotations

from dataclasses import dataclass

from caskward.services.book.lineage import Condensed, Step
from caskward.services.book.trace_words import label
from caskward.services.book.words import place

BOX_WIDTH, GAP, LINE, PAD = 104.0, 30.0, 13.0, 7.0
BETWEEN, BAND_HEAD, MARGIN = 9.0, 36.0, 14.0
LEFT = MARGIN + 14.0
"""Where the first column begins: what leads to it from elsewhere comes down left of it."""
TOP = 62.0
_LETTERS = 17


@dataclass(frozen=True, slots=True)
class Box:
    """A step as it is drawn: its left upper corner, its height, its lines of text, the top of its band."""

    step: Step
    x: float
    y: float
    height: float
    lines: tuple[str, ...]
    band_top: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + BOX_WIDTH

    @property
    def middle(self) -> float:
        """The height of its middle."""
        return self.y + self.height / 2.0

    @property
    def centre(self) -> float:
        """The place of its middle along the picture."""
        return self.x + BOX_WIDTH / 2.0


@dataclass(frozen=True, slots=True)
class Band:
    """A batch's part of the picture."""

    name: str
    top: float
    bottom: float


@dataclass(frozen=True)
class Plan:
    """The whole picture: its size, its bands, a box for each step by its number."""

    width: float
    height: float
    bands: tuple[Band, ...]
    boxes: dict[int, Box]


def plan_of(steps: Condensed) -> Plan:
    """Every step at its place."""
    bands = _bands(steps)
    columns = _columns(steps, bands)
    names = list(dict.fromkeys(bands[step.key] for step in steps.steps if step.batch and bands[step.key]))
    names += [""] if "" in bands.values() else []
    boxes: dict[int, Box] = {}
    drawn, top = [], TOP
    for name in names:
        members = [step for step in steps.steps if bands[step.key] == name]
        bottom = _stack(members, columns, top + BAND_HEAD, boxes)
        drawn.append(Band(name, top, bottom))
        top = bottom + BETWEEN
    width = LEFT + MARGIN + GAP + max(columns.values(), default=0) * (BOX_WIDTH + GAP) + BOX_WIDTH
    return Plan(max(width, 6 * BOX_WIDTH), top + 18.0, tuple(drawn), boxes)


def _stack(members: list[Step], columns: dict[int, int], top: float, boxes: dict[int, Box]) -> float:
    """Boxes of one band, those of one column below each other; returns the lower edge of all."""
    below: dict[int, float] = {}
    for step in members:
        column = columns[step.key]
        lines = _lines(step)
        y, height = below.get(column, top), len(lines) * LINE + 2 * PAD
        boxes[step.key] = Box(step, LEFT + column * (BOX_WIDTH + GAP), y, height, lines, top - BAND_HEAD)
        below[column] = y + height + BETWEEN
    return max(below.values(), default=top)


def _lines(step: Step) -> tuple[str, ...]:
    if step.root in ("lot", "goods"):
        return tuple(line for account in step.accounts for line in _wrapped(place(account)))
    return tuple(_wrapped(label(step)))


def _wrapped(words: str) -> list[str]:
    import textwrap

    return textwrap.wrap(words, _LETTERS) or [""]


def _bands(steps: Condensed) -> dict[int, str]:
    """The band of each step, by its number; steps are numbered in the order of time."""
    floating: dict[int, bool] = {}
    for step in steps.steps:
        before = steps.sources.get(step.key, ())
        floating[step.key] = not step.batch and all(floating[key] for key in before)
    bands: dict[int, str] = {}
    for step in reversed(steps.steps):
        after = [key for key in steps.targets.get(step.key, ()) if key in bands]
        bands[step.key] = bands[min(after)] if floating[step.key] and after else step.batch
    return bands


def _columns(steps: Condensed, bands: dict[int, str]) -> dict[int, int]:
    columns: dict[int, int] = {}
    for step in steps.steps:
        before = [key for key in steps.sources.get(step.key, ()) if bands[key] == bands[step.key]]
        columns[step.key] = max((columns[key] + 1 for key in before), default=0 if not step.batch else 1)
    for step in reversed(steps.steps):
        after = [key for key in steps.targets.get(step.key, ()) if bands[key] == bands[step.key]]
        columns[step.key] = max(min((columns[key] - 1 for key in after), default=columns[step.key]), 0)
    _to_the_right(columns, [key for key, name in bands.items() if not name])
    return columns


def _to_the_right(columns: dict[int, int], loose: list[int]) -> None:
    """The last band ends where the widest one does: what it is made of mostly stands there."""
    if loose:
        by = max(columns.values()) - max(columns[key] for key in loose)
        columns.update({key: columns[key] + by for key in loose})
