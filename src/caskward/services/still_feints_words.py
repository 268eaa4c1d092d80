"""What feints over many batches say in words, the same on screen and on paper."""

from __future__ import annotations

from caskward.planning.plan import Band
from caskward.planning.strengths import said
from caskward.services.still_feints import BatchLine, CapLine, FeintsReport
from caskward.services.still_own_units import (
    NONE,
    digits_for,
    fixed,
    limit_words,
    plain,
    pure_words,
    strength_unit,
    strengths,
    volumes,
)
from caskward.services.still_words import Room, rough
from caskward.services.words import banded, figure
from caskward.units import show
from caskward.units.types import UnitSystem

_SMALLEST_L = 0.005
"""Less than this is nothing."""
_WATER_WORTH_L = 0.05
_BAND_TOP = 0.9


def feints_headline(report: FeintsReport, system: UnitSystem) -> str:
    """Where the feints settle, in one sentence."""
    rest, count = report.steady, report.settled_feints
    each_time = (
        f"With {figure(report.low_wines_l, 'L', system)} of low wines at "
        f"{said(report.low_wines_pct_vol, system)} each time and {case(report)}, "
    )
    heart = f"{banded(rest.heart_l, 'L', system)} at {banded(rest.heart_pct_vol, 'pct_vol', system)}"
    if rest.feints_l.high < _SMALLEST_L:
        return f"{each_time}no feints go back; every heart is {heart}."
    return (
        f"{each_time}feints settle at {banded(rest.feints_l, 'L', system)} of "
        f"{banded(rest.feints_pct_vol, 'pct_vol', system)} after about {count} "
        f"{'batch' if count == 1 else 'batches'}; the heart is then {heart}."
    )


def case(report: FeintsReport) -> str:
    """Which case every figure below is for: `nothing thrown away`, `20 % of the heads thrown away`."""
    parts = ((report.heads_thrown, "heads"), (report.tails_thrown, "tails"))
    thrown = [f"{show.share(share)} of the {name}" for share, name in parts if share > 0.0]
    return f"{' and '.join(thrown)} thrown away" if thrown else "nothing thrown away"


def water_sentences(report: FeintsReport, system: UnitSystem) -> tuple[str, ...]:
    """What water goes into the charges, rounded up, and why."""
    lines = (*report.batches, report.steady)
    limit = limit_words(report.strongest_pct_vol, system)
    let_down = f"to let a batch down to {limit}, the strongest that its charges may be"
    fill_up = "to fill the charges of a batch up to the least that the still takes"
    both = (
        (let_down, [line.for_strength_l for line in lines]),
        (fill_up, [line.to_cover_l for line in lines]),
    )
    names = [line.words for line in lines]
    return tuple(
        f"Add water {why}: {_waters(names, waters, system)}."
        for why, waters in both
        if max(b.high for b in waters) >= _WATER_WORTH_L
    )


def _waters(names: list[str], waters: list[Band], system: UnitSystem) -> str:
    """The first batch that needs any, and what it comes to."""
    first = next(k for k, b in enumerate(waters) if b.high >= _WATER_WORTH_L)
    said = [] if first == len(names) - 1 else [f"{_up(waters[first], system)} in {names[first]}"]
    return ", ".join([*said, f"{_up(waters[-1], system)} each time once it has settled"])


def _up(water: Band, system: UnitSystem) -> str:
    if water.high < _WATER_WORTH_L:
        return "none"
    low, mid, high = (show.measure_out(max(v, 0.0), system) for v in (water.low, water.mid, water.high))
    if water.mid < _WATER_WORTH_L:
        return f"up to {high}"
    return mid if low == high else f"{mid} ({low} to {high})"


def throw_sentences(report: FeintsReport) -> tuple[str, ...]:
    """For each cap, how surely it is kept, what share to throw away each time, and what that costs."""
    return tuple(_throw(line) for line in report.throw)


def _throw(line: CapLine) -> str:
    throw = line.throw
    under = f"{line.words} at most {line.most_g_hl:.4g} g/hL of pure alcohol"
    none, kept_none = rough(throw.level_none_g_hl), _often(throw.kept_none)
    sure = show.in_ten(throw.confidence)
    if throw.share <= 0.0:
        return (
            f"No {throw.part} need be thrown away to keep {under} with {sure} "
            f"confidence: the heart holds {none} g/hL, and keeps it {kept_none}."
        )
    lost = fixed(max(100.0 * (throw.recovery_none.mid - throw.recovery.mid), 0.0), 1)
    return (
        f"To keep {under} with {sure} confidence, throw away "
        f"{show.share(throw.share)} of the {throw.part} each time: the heart then holds "
        f"{rough(throw.level_g_hl)} g/hL and keeps it {_often(throw.kept)}, instead of {none} and "
        f"{kept_none} with none of the {throw.part} thrown away; {lost} % of the low wines' alcohol is lost "
        "with them."
    )


def _often(share: float) -> str:
    return f"in {show.in_ten(share).replace(' in ', ' of ')} possible runs"


def cap_notes(report: FeintsReport) -> tuple[str, ...]:
    """How a limit and a band go together, and what the tables do not show."""
    if not report.throw:
        return ()
    sure = min(line.throw.confidence for line in report.throw)
    inside = (
        f"A limit kept with {show.in_ten(sure)} confidence may lie inside a band: the band's upper end is "
        "passed 1 time in 10. "
    )
    return (
        f"{inside if sure < _BAND_TOP else ''}The tables do not throw away what a limit asks for; to see "
        "them so, give --heads-thrown or --tails-thrown.",
    )


def feints_lines(report: FeintsReport, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The campaign's rules and its alcohol."""
    cuts = report.cuts
    low, mid, high = (100.0 * v for v in (report.recovery.low, report.recovery.mid, report.recovery.high))
    limit = f"let down to {limit_words(report.strongest_pct_vol, system)} where stronger"
    thrown = f"{show.share(report.heads_thrown)} of the heads, {show.share(report.tails_thrown)} of the tails"
    return (
        (
            "charge's strength",
            f"{limit}, your site's rule: {report.site_rule}" if report.site_rule else limit,
        ),
        ("at most in one charge", figure(report.most_l, "L", system)),
        ("foreshots, discarded", f"{show.share(cuts.foreshots_share)} of the alcohol"),
        ("heads", f"the next {show.share(cuts.heads_share)} of the alcohol"),
        ("heart ends at the spout", said(cuts.heart_end_pct_vol, system)),
        ("tails end at the spout", said(cuts.tails_stop_pct_vol, system)),
        ("thrown away each time", thrown),
        ("heart, pure alcohol", pure_words(report.steady.heart_lpa, system)),
        ("of the low wines' alcohol", show.band(low, mid, high, lambda v: f"{v:.1f} %")),
    )


def batch_rows(report: FeintsReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """A head, the first batches, and the one that repeats itself; a column of water where any is added."""
    strength = strength_unit(system)
    lines = (*report.batches, report.steady)
    digits = digits_for(volumes(report.batches[0].charge_l, system).high, 1)
    watered = any(_water(line).high >= _WATER_WORTH_L for line in lines)
    water = ("water",) if watered else ()
    return [
        ("", "charges", "each", strength, *water, "heart", strength, "feints", strength),
        *(_batch(line, system, room, digits, watered=watered) for line in lines),
    ]


def _batch(line: BatchLine, system: UnitSystem, room: Room, digits: int, *, watered: bool) -> tuple[str, ...]:
    heart, feints = line.heart_l.high >= _SMALLEST_L, line.feints_l.high >= _SMALLEST_L
    water = (plain(volumes(_water(line), system), digits, banded_too=room > 2),) if watered else ()
    return (
        line.words,
        plain(line.runs, 0, banded_too=room > 1),
        plain(volumes(line.each_l, system), digits, banded_too=room > 2),
        plain(strengths(line.charge_pct_vol, system), 1, banded_too=False),
        *water,
        plain(volumes(line.heart_l, system), digits, banded_too=room > 0) if heart else NONE,
        plain(strengths(line.heart_pct_vol, system), 1, banded_too=False) if heart else NONE,
        plain(volumes(line.feints_l, system), digits, banded_too=room > 1) if feints else NONE,
        plain(strengths(line.feints_pct_vol, system), 1, banded_too=False) if feints else NONE,
    )


def _water(line: BatchLine) -> Band:
    """All water of a batch; the two kinds seldom come together, so their bands are added."""
    return Band(
        line.for_strength_l.low + line.to_cover_l.low,
        line.for_strength_l.mid + line.to_cover_l.mid,
        line.for_strength_l.high + line.to_cover_l.high,
    )


def build_up_rows(report: FeintsReport, room: Room) -> list[tuple[str, ...]]:
    """A head, then every congener: times what low wines bring, and in the heart."""
    rows: list[tuple[str, ...]] = [("", "comes", "built up", "heart, g/hL pure", "batches")]
    for one in report.build_up:
        batches = "" if one.batches is None else f"{one.batches}"
        comes = one.comes.removeprefix("with the ")
        times = plain(one.times, 2, banded_too=room > 0)
        rows.append((one.name, comes, times, rough(one.heart_g_hl), batches))
    return rows
