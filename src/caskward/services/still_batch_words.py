"""What strips and feints say in words, the same on screen and on paper."""

from __future__ import annotations

from caskward.planning.plan import Band
from caskward.planning.strengths import said
from caskward.services.still_feints import BatchLine, FeintsReport
from caskward.services.still_strip import StripReport
from caskward.services.still_words import Room, litre_band, litre_unit, litres, plain, pure, rough, stop_words
from caskward.services.words import banded, counted, figure
from caskward.units import show
from caskward.units.types import UnitSystem

STOPS_ARE_EQUAL_CHARGES = (
    "The stops are reckoned for equal charges of all the wash, from cold, at the power you gave; extra "
    "figures are for each litre of pure alcohol that a stop wins over the one before."
)


def strip_headline(report: StripReport, system: UnitSystem) -> str:
    """The strips in one sentence."""
    wash = f"{figure(report.wash_l, 'L', system)} at {said(report.wash_pct_vol, system)}"
    return (
        f"{wash}: {counted(len(report.charges), 'strip')} give {banded(report.low_wines_l, 'L', system)} of "
        f"low wines at {banded(report.low_wines_pct_vol, 'pct_vol', system)}, in "
        f"{banded(report.hours, 'h', system)} of heating and running."
    )


def strip_lines(report: StripReport, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The figures of a batch of strips."""
    checked = report.checked
    limit = f"at most {checked.strongest_pct_vol:g} %vol"
    rule = f"{limit}, by your site's rule" if checked.site_rule else f"{limit}, the usual limit"
    carried = figure(report.carried_l, "L", system) if report.carried_l > 0.005 else "nothing"
    low, mid, high = (100.0 * v for v in (report.recovered.low, report.recovered.mid, report.recovered.high))
    return (
        ("charge's strength", rule),
        ("still", report.still),
        ("each strip ends when", stop_words(report, system)),
        ("carried to the next batch", carried),
        ("low wines, pure alcohol", pure(report.low_wines_lpa)),
        ("of the alcohol run", show.band(low, mid, high, lambda v: f"{v:.1f} %")),
        ("energy", banded(report.energy_kwh, "kWh", system)),
        ("heat to the cooling water", banded(report.cooling_kwh, "kWh", system)),
    )


def charge_rows(report: StripReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """A head, then every charge in its turn."""
    unit = litre_unit(system)
    rows: list[tuple[str, ...]] = [
        ("", f"charge {unit}", f"low wines {unit}", "%vol", "heating h", "running h", "kWh")
    ]
    rows.extend(
        (
            f"{line.number}",
            f"{litres(line.volume_l, system):.1f}",
            plain(litre_band(line.low_wines_l, system), 1),
            plain(line.low_wines_pct_vol, 1, banded_too=room > 1),
            plain(line.heat_up_h, 2, banded_too=room > 2),
            plain(line.running_h, 2, banded_too=room > 0),
            plain(line.energy_kwh, 1, banded_too=room > 1),
        )
        for line in report.charges
    )
    return rows


def stop_rows(report: StripReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """A head, then every stop with what it wins and costs."""
    unit = litre_unit(system)
    rows: list[tuple[str, ...]] = [
        ("spout", "pure L", f"low wines {unit}", "%vol", "extra L", "kWh per extra", "h per extra")
    ]
    rows.extend(
        (
            f"{line.stop_pct_vol:g}",
            plain(line.lpa, 2, banded_too=False),
            plain(litre_band(line.low_wines_l, system), 1, banded_too=False),
            plain(line.low_wines_pct_vol, 1, banded_too=False),
            _maybe(line.extra_lpa, 2, room > 2),
            _maybe(line.kwh_per_extra_lpa, 1),
            _maybe(line.hours_per_extra_lpa, 2, room > 0),
        )
        for line in report.stops
    )
    return rows


def _maybe(b: Band | None, digits: int, banded_too: bool = True) -> str:
    return "" if b is None else plain(b, digits, banded_too=banded_too)


def feints_headline(report: FeintsReport, system: UnitSystem) -> str:
    """Where the feints settle, in one sentence."""
    rest = report.steady
    return (
        f"With {figure(report.low_wines_l, 'L', system)} of low wines at "
        f"{said(report.low_wines_pct_vol, system)} each time, feints settle at "
        f"{banded(rest.feints_l, 'L', system)} of {banded(rest.feints_pct_vol, 'pct_vol', system)} after "
        f"about {counted(report.settled_feints, 'batch').replace('batchs', 'batches')}; the heart is then "
        f"{banded(rest.heart_l, 'L', system)} at {banded(rest.heart_pct_vol, 'pct_vol', system)}."
    )


def throw_sentences(report: FeintsReport) -> tuple[str, ...]:
    """For each cap, what share to throw away each time, and what that costs."""
    found = []
    for line in report.throw:
        throw, under = line.throw, f"{line.words} under {line.most_mg_per_l:g} mg/L of pure alcohol"
        level, none = rough(throw.level), rough(throw.level_none)
        if throw.share <= 0.0:
            found.append(f"Nothing need be thrown away to keep {under}: the heart holds {none}.")
            continue
        lost = 100.0 * (throw.recovery_none.mid - throw.recovery.mid)
        found.append(
            f"To keep {under}, throw away {show.share(throw.share)} of the {throw.part} each time: the heart "
            f"then holds {level} instead of {none}, and {lost:.1f} % of the low wines' alcohol is lost with "
            "it."
        )
    return tuple(found)


def feints_lines(report: FeintsReport, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The campaign's rules and its alcohol."""
    cuts = report.cuts
    low, mid, high = (100.0 * v for v in (report.recovery.low, report.recovery.mid, report.recovery.high))
    limit = f"let down to {report.strongest_pct_vol:g} %vol where stronger"
    thrown = f"{show.share(report.heads_thrown)} of the heads, {show.share(report.tails_thrown)} of the tails"
    return (
        (
            "charge's strength",
            f"{limit}, your site's rule: {report.site_rule}" if report.site_rule else limit,
        ),
        ("foreshots, discarded", f"{show.share(cuts.foreshots_share)} of the alcohol"),
        ("heads", f"the next {show.share(cuts.heads_share)} of the alcohol"),
        ("heart ends at the spout", said(cuts.heart_end_pct_vol, system)),
        ("tails end at the spout", said(cuts.tails_stop_pct_vol, system)),
        ("thrown away each time", thrown),
        ("heart, of the low wines' alcohol", show.band(low, mid, high, lambda v: f"{v:.1f} %")),
    )


def batch_rows(report: FeintsReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """A head, the first batches, and the one that repeats itself."""
    unit = litre_unit(system)
    rows: list[tuple[str, ...]] = [
        ("", "runs", f"charge {unit}", "%vol", f"heart {unit}", "%vol", f"feints {unit}", "%vol")
    ]
    return rows + [_batch(line, system, room) for line in (*report.batches, report.steady)]


def _batch(line: BatchLine, system: UnitSystem, room: Room) -> tuple[str, ...]:
    return (
        line.words,
        plain(line.runs, 0, banded_too=room > 1),
        plain(litre_band(line.charge_l, system), 1, banded_too=room > 2),
        plain(line.charge_pct_vol, 1, banded_too=False),
        plain(litre_band(line.heart_l, system), 1),
        plain(line.heart_pct_vol, 1, banded_too=False),
        plain(litre_band(line.feints_l, system), 1, banded_too=room > 0),
        plain(line.feints_pct_vol, 1, banded_too=False),
    )


def build_up_rows(report: FeintsReport) -> list[tuple[str, ...]]:
    """A head, then every congener: times what low wines bring, and in the heart."""
    rows: list[tuple[str, ...]] = [("", "comes", "built up", "heart, g/hL pure", "batches")]
    for one in report.build_up:
        batches = "" if one.batches is None else f"{one.batches}"
        comes = one.comes.removeprefix("with the ")
        rows.append((one.name, comes, plain(one.times, 2), rough(one.heart_g_hl), batches))
    return rows
