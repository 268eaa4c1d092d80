"""Whose the doubt of a batch is, and what to read next, in a maker's words and units."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from caskward.planning.plan import Unit
from caskward.services.plan_doubt import Next, Possible, Why
from caskward.services.plan_update_words import reach, width
from caskward.services.words import banded, counted, figure, volumes_alike
from caskward.units import show
from caskward.units.types import UnitSystem

_MOST, _MUCH = 0.5, 0.2
_ROWS: Final = 10
_WORTH: Final = 0.02
"""Share of a band's width that a reading must take off to be worth a word."""
SHARES: Final = (
    "Shares of the variance that go with each unknown alone; readings tie unknowns together, and what only "
    "several explain together is named so."
)
NEXT: Final = (
    "Minutes are those of the work, not of waiting. What a reading takes away is an average over all "
    "possible batches: yours may tell more or less."
)


def outcome_words(of: Why | Next) -> str:
    """The outcome in the middle of a sentence."""
    return "fill of the cask" if of.outcome == "fill" else of.words


def why_headline(of: Why, system: UnitSystem) -> str:
    """Where most of the doubt comes from, in one sentence."""
    stands = f"The {outcome_words(of)} stands at {banded(of.now, of.unit, system)}."
    told = sorted((s for s in of.shares if s.now > 0.0), key=lambda s: -s.now)
    if width(of.now) <= 0.0 or not told:
        return f"{stands} Nothing is left in doubt about it."
    first = told[0]
    if first.now >= _MOST:
        return f"Most of the doubt is {first.words} ({_share(first.now)}). {stands}"
    leading = [s for s in told[:4] if s.now >= _MUCH * first.now]
    parts = [f"{s.words} ({_share(s.now)})" for s in leading]
    joined = parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])}, and {parts[-1]}"
    return f"No one thing rules the doubt; first come {joined}. {stands}"


def share_rows(of: Why) -> list[list[str]]:
    """Every unknown that counts: its share by the plan and now, the largest now first."""
    ranked = sorted(of.shares, key=lambda s: (-s.now, -s.before))
    if of.last is None:
        rows = [["", "share"], *([_capital(s.words), _share(s.now)] for s in ranked)]
        return [*rows, ["Several together", _share(of.together)]]
    rows = [["", "by the plan", "now"]]
    rows += [[_capital(s.words), _share(s.before), _share(s.now)] for s in ranked]
    return [*rows, ["Several together", _share(of.together_before), _share(of.together)]]


def why_width(of: Why, system: UnitSystem) -> str:
    """What the readings have taken off the doubt."""
    if of.last is None:
        return "No reading is in yet: this is the doubt of the plan."
    return f"By the plan it was {banded(of.before, of.unit, system)}; shares are of what is left."


def next_headline(of: Next, system: UnitSystem) -> str:
    """What to read now, and what it is worth; where that is little, the best that comes later."""
    wide = width(of.now)
    worth = [p for p in of.readings if _is_worth_a_word(p, wide)]
    first, later = (next((p for p in worth if p.now is now), None) for now in (True, False))
    if first is None:
        little = f"Nothing that can be read now takes much off the doubt of the {outcome_words(of)}."
        return f"{little} The next that does: {place(later, system)}, {when(later)}." if later else little
    again = f"Read again, for {first.again!r} may be wrong" if first.again else "Read next"
    what = f"{again}: {place(first, system)}. About {counted(first.minutes, 'minute')}"
    if first.telling and not first.again:
        return f"{what}: it shows whether the ferment stands or goes on, before anything is built on it."
    if _gain(first, wide) < _WORTH:
        return f"{what}. It takes little off the doubt, but shows whether that row is right."
    before, after = alike([wide, first.width_after], of.unit, system)
    return f"{what}, and the band of the {outcome_words(of)} is expected to narrow from {before} to {after}."


def next_rows(of: Next, system: UnitSystem) -> list[list[str]]:
    """Readings that can be taken now, by what they narrow per minute: what they show, work, the band then."""
    told = _worth_a_row(of, now=True)
    head = ["can be read now", "would show", "minutes", "narrows by", "a minute"]
    rows = (
        [_capital(place(p, system)), reach(p.expects, p.unit, system), *figures]
        for p, figures in zip(told, _narrowing(told, of, system), strict=True)
    )
    return [head, *rows] if told else []


def later_rows(of: Next, system: UnitSystem) -> list[list[str]]:
    """The same of those that come later: when, work, the band then."""
    told = _worth_a_row(of, now=False)
    head = ["later", "when", "minutes", "narrows by", "a minute"]
    rows = (
        [_capital(place(p, system)), when(p), *figures]
        for p, figures in zip(told, _narrowing(told, of, system), strict=True)
    )
    return [head, *rows] if told else []


def _worth_a_row(of: Next, *, now: bool) -> list[Possible]:
    return [p for p in of.readings if p.now is now and _is_worth_a_word(p, width(of.now))][:_ROWS]


def _narrowing(told: Sequence[Possible], of: Next, system: UnitSystem) -> list[tuple[str, str, str]]:
    """Minutes, what a reading takes off the band, and that a minute, in the unit of the band."""
    wide = width(of.now)
    by = alike([wide, *(wide - p.width_after for p in told)], of.unit, system)[1:]
    each = alike([wide, *(p.narrower_per_minute for p in told)], of.unit, system)[1:]
    return [(f"{p.minutes:.0f}", whole, minute) for p, whole, minute in zip(told, by, each, strict=True)]


def when(one: Possible) -> str:
    """When a reading that comes later can be taken."""
    if one.at_h > 0.0 or one.at_l > 0.0:
        return _RUNS.get(one.stage, "on its way")
    return _WHOLE[one.stage]


_RUNS: Final = {
    "mash": "while it rests",
    "ferment": "while it ferments",
    "strip": "while it is stripped",
    "run": "while the spirit runs",
}
_WHOLE: Final = {
    "mash": "while it rests",
    "ferment": "while it ferments",
    "wash": "off its grain or fruit",
    "strip": "after the last strip",
    "charge": "when it is made up",
    "run": "after the run",
    "heart": "after the last run",
    "cask": "when it is filled",
}


def place(one: Possible, system: UnitSystem) -> str:
    """A reading with its stage and moment: `gravity of the mash at 3 h`."""
    if one.at_l > 0.0:
        name = "strip" if one.stage == "strip" else "spirit run"
        return f"strength at the spout of the {name} at {show.volume(one.at_l, system)}"
    whole = {"strip": "low wines", "run": "spirit run"}.get(one.stage, one.stage)
    at = f" at {show.duration(one.at_h)}" if one.at_h > 0.0 else ""
    if ", " in one.words:
        name, how = one.words.split(", ", 1)
        return f"{name} of the {whole}{at}, {how}"
    return f"{one.words} of the {whole}{at}"


def each_of(of: Next) -> str:
    """That spout readings are of one run where there are several."""
    several = [
        f"{of.times[s]} {words}" for s, words in (("strip", "strips"), ("run", "runs")) if of.times[s] > 1
    ]
    read = {p.stage for p in of.readings if p.at_l > 0.0}
    return (
        f"What has come over at the spout is counted for each run by itself; this plan has "
        f"{' and '.join(several)}."
        if several and read
        else ""
    )


def _is_worth_a_word(one: Possible, wide: float) -> bool:
    """True for what narrows the band, what may be wrong as it was read, what tells of a standstill."""
    return bool(one.again) or one.telling or _gain(one, wide) >= _WORTH


def _gain(one: Possible, wide: float) -> float:
    return (wide - one.width_after) / wide if wide > 0.0 else 0.0


def alike(widths: Sequence[float], unit: Unit, system: UnitSystem) -> list[str]:
    """Widths in the maker's units, all in one: that of the widest; of a strength, in points."""
    if unit == "pct_vol":
        return [f"{of:.1f} points" if max(widths) >= 0.1 else f"{of:.2f} points" for of in widths]
    if unit == "sg":
        return [f"{of:.4f}" for of in widths]
    if unit == "L":
        return volumes_alike(widths, system)
    return [figure(of, unit, system) for of in widths]


def _share(of: float) -> str:
    return "under 1 %" if 0.0 < of < 0.01 else f"{100.0 * of:.0f} %"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
