"""What a batch says of its ferment: when it is dry, that it stands, and what comes before all else then."""

from __future__ import annotations

from typing import Final

from caskward.planning.plan import Band
from caskward.services.plan_ferment import FermentOutlook, StandsStill
from caskward.units import show

MINE: Final = "mine.toml"
"""What a plan's file is called where its own name is not known."""
_MOSTLY, _SOME = 0.5, 0.05
"""Share of batches not dry from which that is the answer, and from which it is said beside it."""
_SURELY: Final = 0.9
"""Chance from which it is said that a ferment stands, without an if."""


def outlook_rows(of: FermentOutlook) -> list[list[str]]:
    """When it is dry, or in how many batches it is not; and the gravity that a dry one ends at."""
    before, now = (
        _dry(days, missed)
        for days, missed in ((of.dry_before_d, of.not_dry_before), (of.dry_now_d, of.not_dry_now))
    )
    rows = [[f"Dry after (followed to day {of.followed_d:.0f})", before, now]]
    if of.not_dry_now <= _MOSTLY and of.ends_now_sg is not None and of.ends_before_sg is not None:
        rows.append(["Gravity of a dry one", _gravity(of.ends_before_sg), _gravity(of.ends_now_sg)])
    return rows


def _gravity(of: Band) -> str:
    return show.band(of.low, of.mid, of.high, lambda sg: f"{sg:.3f}")


def _dry(days: Band | None, missed: float) -> str:
    if days is None or missed > _MOSTLY:
        return f"not dry: {show.in_ten(missed)}"
    band = f"{days.mid:.1f} d ({days.low:.1f}–{days.high:.1f})"
    return band if missed < _SOME else f"{band}; not dry: {show.in_ten(missed)}"


def standing_sentences(stands: StandsStill | None, file: str = MINE) -> list[str]:
    """That a ferment stands still, where and since when, and what to do. file: the plan's own name."""
    if stands is None:
        return []
    if not stands.likely:
        return [_may_stand(stands, "Every figure below", file)]
    return [
        f"{_stands_at(stands)}. {_held_in(stands, 'Every figure below')} Find out why before you still it: "
        f"{_CHECK}, and ask {tub_ask(stands, file)}"
    ]


def first_put_right(stands: StandsStill | None, file: str = MINE) -> list[str]:
    """Where a ferment stands, that it comes before every other move and reading; else nothing."""
    if stands is None:
        return []
    if not stands.likely:
        return [_may_stand(stands, "What follows", file)]
    return [
        f"{_stands_at(stands)}. {_CAPITAL_CHECK}: they tell its causes apart. "
        f"Put that right first: {tub_ask(stands, file)} says how. {_held_in(stands, 'What follows')}"
    ]


def last_row_doubted(row: str) -> list[str]:
    """That a ferment's last row may be wrong, before anything is built on it; row: "" where it is not."""
    return [f"The last row of the ferment, {row!r}, may be wrong: read it again first."] if row else []


_CHECK: Final = "smell it, and read its temperature and its pH, with a strip"
_CAPITAL_CHECK: Final = _CHECK[:1].upper() + _CHECK[1:]


def _may_stand(of: StandsStill, what: str, file: str) -> str:
    """One that rather goes on: what tells, before its figures are relied on."""
    return (
        f"{_stands_at(of)}. {what} weighs both. Read its gravity once more, a day on, before you count on "
        f"it; if it has not fallen, {_CHECK}, and ask {tub_ask(of, file)}"
    )


def _held_in(of: StandsStill, what: str) -> str:
    """How far figures hold it to stand: as often as it is believed to."""
    if of.chance >= _SURELY:
        return f"{what} takes it as it stands."
    return (
        f"{what} weighs both: {show.in_ten(of.chance)} that it stands, else that it goes on and a reading is "
        "wrong. One more reading, a day on, tells which."
    )


def _stands_at(of: StandsStill) -> str:
    since, last = (show.duration(h) for h in (of.since_h, of.last_h))
    when = f"read so at {since} and still at {last}" if of.seen_still else f"read at {last}"
    verb = "stands" if of.chance >= _SURELY else "seems to stand" if of.likely else "may stand"
    # Each reading may be wrong by itself; one instrument that is wrong every time is not seen by it.
    chance = f"{show.in_ten(of.chance)}, if the hydrometer reads right"
    return f"The ferment {verb} still at {of.gravity:.3f} with sugar left ({when}; {chance})"


def tub_ask(of: StandsStill, file: str = MINE) -> str:
    """The question to ask about it, with every row of the ferment: the causes hang on all of its course."""
    named = f'"{file}"' if " " in file else MINE if file == "-" else file
    rows = of.all_rows or dict.fromkeys((*of.rows, of.said))
    return " ".join((f"caskward tub ask {named}", *(f'--reading "{row}"' for row in rows)))
