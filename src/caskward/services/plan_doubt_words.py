"""Whose the doubt of a batch is, and what to read next, in a maker's words and units."""

from __future__ import annotations

from typing import Final

from caskward.planning.plan import Unit
from caskward.services.plan_doubt import Next, Possible, Why
from caskward.services.plan_update_words import reach, width
from caskward.services.words import banded, figure
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
    """What to read, and what it is worth; where that comes later, the best that can be read now too."""
    wide = width(of.now)
    first = next((p for p in of.readings if _gain(p, wide) >= _WORTH), None)
    if first is None:
        return f"Nothing that can be read now takes much off the doubt of the {outcome_words(of)}."
    said = (
        f"Read next: {place(first, system)}. About {first.minutes:.0f} minutes, and the "
        f"{outcome_words(of)}'s band is expected to narrow from {_wide(wide, of.unit, system)} to "
        f"{_wide(first.width_after, of.unit, system)}."
    )
    at_hand = next((p for p in of.readings if p.now and _gain(p, wide) >= _WORTH), None)
    if first.now or at_hand is None:
        return said
    return f"{said} Before that, now: {place(at_hand, system)}."


def next_rows(of: Next, system: UnitSystem) -> list[list[str]]:
    """Readings by what they narrow per minute: where, work, what they would show, and the band then."""
    wide = width(of.now)
    told = [p for p in of.readings if _gain(p, wide) >= _WORTH][:_ROWS]
    head = ["reading", "would show", "minutes", "narrows by", "a minute"]
    return [head, *(_row(p, of, wide, system) for p in told)] if told else []


def _row(one: Possible, of: Next, wide: float, system: UnitSystem) -> list[str]:
    by = wide - one.width_after
    return [
        _capital(place(one, system)),
        reach(one.expects, one.unit, system),
        f"{one.minutes:.0f}",
        _wide(by, of.unit, system),
        _wide(one.narrower_per_minute, of.unit, system),
    ]


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
        f"Litres at the spout are of one run; this plan has {' and '.join(several)}."
        if several and read
        else ""
    )


def _gain(one: Possible, wide: float) -> float:
    return (wide - one.width_after) / wide if wide > 0.0 else 0.0


def _wide(of: float, unit: Unit, system: UnitSystem) -> str:
    """A width in the maker's units; of a strength, in points."""
    if unit == "pct_vol":
        return f"{of:.1f} points"
    return f"{of:.4f}" if unit == "sg" else figure(of, unit, system)


def _share(of: float) -> str:
    return "under 1 %" if 0.0 < of < 0.01 else f"{100.0 * of:.0f} %"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
