"""What closed batches taught, in a small file: written by `plan learn`, read by the next plan."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Final, cast, get_args

import numpy as np

from caskward.errors import InputError, NotLearnedBatches, NotToml, OutOfRange, WrongShape
from caskward.planning.learned_gear import Carry, Habit, LearnedGear, as_rows
from caskward.planning.toml_section import Section, one_of, text, whole
from caskward.planning.unknowns import Scale

FORMAT: Final = 1
MARK: Final = "learned_batches"
"""The key that tells such a file from any other."""
_HEAD: Final = """\
# What closed batches taught of your gear, your way of working and your materials, written by:
#   caskward plan learn mine.toml --log batch.txt --save this-file.toml
# A plan begins with it where its file says at the top: learned = "this-file.toml"
# band: low, likely, high without any batch. mean, sd: where your usual place in that band is, and how sure
# that is; 0 and 1 are the band's own. with: how it goes together with each habit above it, from -1 to 1.
"""
_FARTHEST: Final = 10.0
_LITTLE: Final = 0.02
_NARROWED: Final = 0.98
_MOST_HABITS: Final = 400
_NONE: tuple[str, ...] = ()


def learned_text(learned: LearnedGear) -> str:
    """The file's text; habits of which no batch told anything are left out."""
    covariance = np.array(learned.covariance).reshape(len(learned.mean), len(learned.mean))
    kept = [k for k in range(len(learned.mean)) if _worth(learned, k)]
    sd = np.sqrt(np.diag(covariance))
    lines = [
        _HEAD,
        f"{MARK} = {FORMAT}",
        f'saved = "{learned.saved}"',
        f"batches = {learned.batches}",
        f"readings = {learned.readings}",
        f"closed = [{', '.join(map(_quoted, learned.closed))}]",
    ]
    for row, k in enumerate(kept):
        habit = learned.habits[k]
        along = ", ".join(f"{covariance[k, j] / (sd[k] * sd[j]):.5f}" for j in kept[:row])
        lines += [
            "",
            "[[habit]]",
            f"name = {_quoted(habit.name)}",
            f"words = {_quoted(habit.words)}",
            *([f"of = {_quoted(habit.of)}"] if habit.of else []),
            f'scale = "{habit.scale}"',
            f"band = [{habit.low!r}, {habit.likely!r}, {habit.high!r}]",
            f"strays = {habit.carry.strays!r}",
            f"keeps = {habit.carry.keeps!r}",
            f"batches = {habit.batches}",
            f"mean = {learned.mean[k]:.5f}",
            f"sd = {sd[k]:.5f}",
            f"with = [{along}]",
        ]
    return "\n".join(lines) + "\n"


def _worth(learned: LearnedGear, k: int) -> bool:
    habit = learned.habits[k]
    narrowed = learned.covariance[k][k] < _NARROWED * (1.0 - habit.carry.strays)
    return habit.batches > 0 or abs(learned.mean[k]) > _LITTLE or narrowed


def _quoted(words: str) -> str:
    return '"' + words.replace("\\", "\\\\").replace('"', '\\"') + '"'


def read_learned(content: str, called: str) -> LearnedGear:
    """What was learned, from its file's text.

    Raises:
        NotLearnedBatches: one sentence that names the file (`called`) and says what is wrong with it.
    """
    try:
        table = tomllib.loads(content)
    except tomllib.TOMLDecodeError as error:
        raise NotLearnedBatches(called, str(NotToml(str(error)))) from None
    if MARK not in table:
        still = "it is of a still's runs; that goes into [strip_still] or [spirit_still]."
        other = "it says nothing of a batch."
        raise NotLearnedBatches(called, still if "learned_still" in table else other)
    if table[MARK] != FORMAT:
        raise NotLearnedBatches(called, f"{MARK} is {table[MARK]!r}, and only {FORMAT} is understood.")
    try:
        return _read(Section("", table))
    except InputError as error:
        raise NotLearnedBatches(called, str(error)) from None


def _read(top: Section) -> LearnedGear:
    top.take(MARK, whole(1, FORMAT), str(FORMAT))
    saved = top.take("saved", _any_text, '"2026-03-12"')
    batches, readings = (top.take(key, whole(1, 1_000_000), "3") for key in ("batches", "readings"))
    closed = top.take("closed", _texts, '["6d1a3c57"]', _NONE)
    parts = top.sections("habit")
    if len(parts) > _MOST_HABITS:
        raise OutOfRange("The number of habits", len(parts), "", 0, _MOST_HABITS)
    rows = [_habit(part, place) for place, part in enumerate(parts)]
    top.done()
    habits, means, sds, along = zip(*rows, strict=True) if rows else ((), (), (), ())
    correlation = np.eye(len(rows))
    for k, row in enumerate(along):
        correlation[k, :k] = correlation[:k, k] = row
    if rows and np.linalg.eigvalsh(correlation)[0] <= 0.0:
        raise WrongShape(
            "with", "the figures", "figures that can be true together: they were changed by hand"
        )
    covariance = np.outer(sds, sds) * correlation
    return LearnedGear(habits, tuple(means), as_rows(covariance), batches, readings, saved, closed)


def _habit(part: Section, above: int) -> tuple[Habit, float, float, list[float]]:
    low, likely, high = part.take("band", _figures(3, -1e15, 1e15), "[0.7, 0.8, 0.9]")
    if not low <= likely <= high or low == high:
        raise WrongShape(part.place("band"), [low, likely, high], "low, likely and high, in that order")
    habit = Habit(
        name=part.take("name", text, '"transfer.litres"'),
        words=part.take("words", text, '"wash left in hoses"'),
        of=part.take("of", _any_text, '"distillers"', ""),
        scale=cast(Scale, part.take("scale", one_of(*get_args(Scale)), '"share"')),
        low=low,
        likely=likely,
        high=high,
        carry=Carry(
            part.take("strays", _figure(0.01, 0.99), "0.2"), part.take("keeps", _figure(0.0, 1.0), "0.98")
        ),
        batches=part.take("batches", whole(0, 1_000_000), "3"),
    )
    mean = part.take("mean", _figure(-_FARTHEST, _FARTHEST), "0.4")
    sd = part.take("sd", _figure(1e-3, 1.0), "0.7")
    along = part.take("with", _figures(above, -1.0, 1.0), "[]") if above or part.has("with") else []
    part.done()
    return habit, mean, sd, along


def _any_text(given: object, *, what: str) -> str:
    if not isinstance(given, str):
        raise WrongShape(what, given, "words in quotes")
    return given


def _texts(given: object, *, what: str) -> tuple[str, ...]:
    if not isinstance(given, list):
        raise WrongShape(what, given, "a list of words in quotes")
    return tuple(text(one, what=what) for one in given)


def _figure(least: float, most: float) -> Callable[..., float]:
    def read(given: object, *, what: str) -> float:
        if not isinstance(given, int | float) or isinstance(given, bool):
            raise WrongShape(what, given, "a plain number, without quotes")
        if not least <= given <= most:
            raise OutOfRange(what, float(given), "", least, most)
        return float(given)

    return read


def _figures(count: int, least: float, most: float) -> Callable[..., list[float]]:
    def read(given: object, *, what: str) -> list[float]:
        if not isinstance(given, list) or len(given) != count:
            raise WrongShape(what, given, f"a list of {count} numbers")
        return [_figure(least, most)(one, what=what) for one in given]

    return read
