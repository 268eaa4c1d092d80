"""What a still's runs taught, kept in a small file: written by `still learn`, read by a plan and by runs."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from typing import Any

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import StillKind
from caskward.errors import (
    InputError,
    MissingValue,
    NotALearnedStill,
    NotToml,
    OtherStillLearned,
    OutOfRange,
    WrongShape,
)
from caskward.planning.still_learning import LearnedStill
from caskward.planning.toml_section import Section, text, whole
from caskward.units.convert import us_gallons_from_litres

FORMAT = 1
MARK = "learned_still"
"""The key that tells such a file from any other."""
MOST_REFLUX = 0.4
"""Most that a plan believes of a pot's head; beyond it the still is a column."""
_HABITS = {
    "reflux_strip": ("strip.reflux", 0.9),
    "reflux_spirit": ("spirit.reflux", 0.9),
    "heat_lost": ("spirit.heat_lost", 0.9),
    "hold_up_l": ("still.hold_up_l", 1000.0),
}
"""Tables of the file: the learned unknown, and the most that a still can have of it (shares, litres)."""
_HEAD = """\
# What its own runs taught of a still, written by: caskward still learn runs.toml --save this-file.toml
# A plan takes it in [strip_still] or [spirit_still] as learned = "this-file.toml";
# still run, still strip and still feints take it with --learned this-file.toml.
# low and high: 8 times in 10 the truth lies between them. Shares are parts of 1, hold_up_l is in litres.
"""


@dataclass(frozen=True)
class LearnedHabits:
    """Habits of one still as its runs taught them; None where no run taught that habit.

    kind: its key in the catalogue. reflux_*: share of the boiled moles that the head sends back [0..0.9].
    heat_lost: share of the heat [0..0.9]. hold_up_l: dead volume before the spout [L]. saved: ISO date.
    """

    kind: str
    runs: int
    readings: int
    saved: str
    reflux_strip: Fact | None = None
    reflux_spirit: Fact | None = None
    heat_lost: Fact | None = None
    hold_up_l: Fact | None = None

    def like(self, kind: StillKind) -> StillKind:
        """The catalogue's still with what was learned in place of what it says.

        Raises:
            OtherStillLearned: the file is of a still of another kind. OutOfRange: over `MOST_REFLUX`.
        """
        if kind.key != self.kind:
            raise OtherStillLearned(self.kind, kind.key)
        for fact in (self.reflux_strip, self.reflux_spirit):
            if fact is not None and fact.likely > MOST_REFLUX:
                hint = "No pot's head sends back so much: look at the log again."
                reflux = 100.0 * fact.likely
                raise OutOfRange(
                    "What the head sends back, as learned,", reflux, "%", 0.0, 100 * MOST_REFLUX, hint
                )
        return replace(
            kind,
            reflux_strip=self.reflux_strip or kind.reflux_strip,
            reflux_spirit=self.reflux_spirit or kind.reflux_spirit,
            heat_loss_share=self.heat_lost or kind.heat_loss_share,
        )

    def sentence(self, default: StillKind) -> str:
        """Learned against the catalogue's, and how many runs stand behind it."""
        pairs = (
            ("the head sends back ", " in a spirit run", self.reflux_spirit, default.reflux_spirit),
            ("", " in a strip", self.reflux_strip, default.reflux_strip),
            ("the still loses ", " of its heat", self.heat_lost, default.heat_loss_share),
        )
        said = [
            f"{lead}{_spread(own)}{where}, catalogue {_spread(usual)}"
            for lead, where, own, usual in pairs
            if own is not None
        ]
        if self.hold_up_l is not None:
            dead_l = self.hold_up_l.likely
            said.append(f"{dead_l:.2g} L ({us_gallons_from_litres(dead_l):.2g} gal) before the spout")
        runs = f"{self.runs} run" if self.runs == 1 else f"{self.runs} runs"
        return f"Learned from {runs} of this still, saved {self.saved}: {'; '.join(said)}."


def _spread(fact: Fact) -> str:
    return f"{100 * fact.likely:.2g} % ({100 * fact.low:.2g}–{100 * fact.high:.2g})"


def learned_text(found: LearnedStill, kind: StillKind, readings: int, saved: str) -> str:
    """The file's text; habits that no run taught are left out, so the catalogue goes on standing for them."""
    by_name = {habit.name: habit for habit in found.habits if habit.runs}
    lines = [
        _HEAD,
        f"{MARK} = {FORMAT}",
        f'kind = "{kind.key}"',
        f'saved = "{saved}"',
        f"runs = {found.runs}",
        f"readings = {readings}",
    ]
    for table, (name, _) in _HABITS.items():
        if name in by_name:
            own = by_name[name].learned
            lines += ["", f"[{table}]"]
            lines += [f"{key} = {getattr(own, end):.6g}" for key, end in _ENDS.items()]
    return "\n".join(lines) + "\n"


_ENDS = {"low": "low", "likely": "mid", "high": "high"}


def read_learned(content: str, called: str) -> LearnedHabits:
    """A still's habits from its file's text.

    Raises:
        NotALearnedStill: one sentence that names the file (`called`) and says what is wrong with it.
    """
    try:
        table = tomllib.loads(content)
    except tomllib.TOMLDecodeError as error:
        raise NotALearnedStill(called, str(NotToml(str(error)))) from None
    if MARK not in table:
        log, other = "it is a log of runs, not what was learned from them.", "it says nothing of one."
        raise NotALearnedStill(called, log if "run" in table else other)
    if table[MARK] != FORMAT:
        raise NotALearnedStill(called, f"{MARK} is {table[MARK]!r}, and only {FORMAT} is understood.")
    try:
        return _read(table)
    except InputError as error:
        raise NotALearnedStill(called, str(error)) from None


def _read(table: dict[str, Any]) -> LearnedHabits:
    top = Section("", table)
    top.take(MARK, whole(1, FORMAT), str(FORMAT))
    found = LearnedHabits(
        kind=top.take("kind", text, '"pot-bare"'),
        runs=top.take("runs", whole(1, 100_000), "3"),
        readings=top.take("readings", whole(1, 1_000_000), "24"),
        saved=top.take("saved", text, '"2026-03-12"'),
        **{table: _fact(top.section(table), most) for table, (_, most) in _HABITS.items()},
    )
    top.done()
    if not any((found.reflux_strip, found.reflux_spirit, found.heat_lost, found.hold_up_l)):
        raise MissingValue("The file", "a habit", "[reflux_spirit] with low, likely and high")
    return found


def _fact(part: Section | None, most: float) -> Fact | None:
    if part is None:
        return None
    low, likely, high = (part.take(key, _figure(most), "0.12") for key in _ENDS)
    part.done()
    if not low <= likely <= high:
        raise WrongShape(
            part.place("low"), low, f"at most likely ({likely:g}), and that at most high ({high:g})"
        )
    return Fact(low, likely, high, "maker", "maker", "learned")


def _figure(most: float) -> Any:
    def read(given: object, *, what: str) -> float:
        if not isinstance(given, int | float) or isinstance(given, bool):
            raise WrongShape(what, given, "a plain number, without quotes")
        if not 0.0 <= given <= most:
            raise OutOfRange(what, float(given), "", 0.0, most)
        return float(given)

    return read
