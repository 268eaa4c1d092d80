"""What strips say in words, the same on screen and on paper."""

from __future__ import annotations

from itertools import groupby

from caskward.planning.plan import Band
from caskward.planning.strengths import said
from caskward.services.still_own_units import (
    digits_for,
    fixed,
    limit_words,
    per_pure,
    plain,
    pure,
    pure_unit,
    pure_words,
    rate_words,
    strength_unit,
    strengths,
    volumes,
)
from caskward.services.still_strip import ChargeLine, StripReport
from caskward.services.still_words import Room, litre_unit, litres, stop_words
from caskward.services.words import banded, counted, figure
from caskward.units import show
from caskward.units.types import UnitSystem

_SMALLEST_L = 0.005
"""Less than this is nothing."""
_SOON_PCT_VOL, _LATE_PCT_VOL = 10.0, 1.0
BARES = "!  A charge bares the element before this stop: do not run it down so far."


def strip_headline(report: StripReport, system: UnitSystem) -> str:
    """The strips in one sentence."""
    wash = f"{figure(report.wash_l, 'L', system)} at {said(report.wash_pct_vol, system)}"
    count = len(report.charges)
    return (
        f"{wash}: {counted(count, 'strip')} {'gives' if count == 1 else 'give'} "
        f"{banded(report.low_wines_l, 'L', system)} of low wines at "
        f"{banded(report.low_wines_pct_vol, 'pct_vol', system)}, in {banded(report.hours, 'h', system)} of "
        "heating and running."
    )


def strip_lines(report: StripReport, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The figures of a batch of strips."""
    checked, first = report.checked, report.charges[0]
    limit = f"at most {limit_words(checked.strongest_pct_vol, system)}"
    rule = f"{limit}, by your site's rule: {checked.site_rule}" if checked.site_rule else f"{limit}, as usual"
    carried = figure(report.carried_l, "L", system) if report.carried_l > _SMALLEST_L else "nothing"
    rate = f"{rate_words(first.rate_l_h, system)}, {_middle_rate(first.first_rate_l_h, system)} at first"
    low, mid, high = (100.0 * v for v in (report.recovered.low, report.recovered.mid, report.recovered.high))
    return (
        ("charge's strength", rule),
        ("still", report.still),
        ("at most in one charge", figure(report.most_l, "L", system)),
        ("each strip ends when", stop_words(report, system)),
        ("carried to the next batch", carried),
        ("low wines, pure alcohol", pure_words(report.low_wines_lpa, system)),
        ("of the alcohol run", show.band(low, mid, high, lambda v: f"{v:.1f} %")),
        ("a strip runs at", f"{rate}, {_middle_rate(first.last_rate_l_h, system)} at the stop"),
        ("energy", banded(report.energy_kwh, "kWh", system)),
        ("heat to the cooling water", banded(report.cooling_kwh, "kWh", system)),
    )


def _middle_rate(b: Band, system: UnitSystem) -> str:
    return rate_words(Band(b.mid, b.mid, b.mid), system)


def charge_rows(report: StripReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """A head, then every charge in its turn; charges that are alike share a row."""
    unit = litre_unit(system)
    rows: list[tuple[str, ...]] = [
        ("", unit, f"low wines {unit}", strength_unit(system), "heating h", "running h", f"{unit}/h", "kWh")
    ]
    for _, alike in groupby(report.charges, key=lambda line: fixed(line.volume_l, 6)):
        few = list(alike)
        number = f"{few[0].number}" if len(few) == 1 else f"{few[0].number}–{few[-1].number}"
        rows.append((number, *_charge(few[0], system, room)))
    return rows


def _charge(line: ChargeLine, system: UnitSystem, room: Room) -> tuple[str, ...]:
    rate, litre, low_wines = (
        volumes(line.rate_l_h, system),
        litres(line.volume_l, system),
        volumes(line.low_wines_l, system),
    )
    return (
        fixed(litre, digits_for(litre, 1)),
        plain(low_wines, digits_for(low_wines.mid, 1), banded_too=room > 0),
        plain(strengths(line.low_wines_pct_vol, system), 1, banded_too=room > 2),
        plain(line.heat_up_h, 2, banded_too=room > 2),
        plain(line.running_h, 2, banded_too=room > 0),
        plain(rate, 1 if rate.mid >= 10.0 else 2, banded_too=room > 1),
        plain(line.energy_kwh, 1, banded_too=room > 1),
    )


def stop_rows(report: StripReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """A head, then every stop with what it wins and costs."""
    unit, own = litre_unit(system), pure_unit(system)
    last = report.stops[-1]
    fine = digits_for(pure(last.lpa, system).mid)
    coarse = digits_for(volumes(last.low_wines_l, system).mid, 1)
    rows: list[tuple[str, ...]] = [
        (
            "spout",
            own,
            f"low wines {unit}",
            strength_unit(system),
            "extra",
            "kWh per extra",
            "h per extra",
        )
    ]
    rows.extend(
        (
            f"{line.stop_pct_vol:g}{' !' if line.bares else ''}",
            plain(pure(line.lpa, system), fine, banded_too=False),
            plain(volumes(line.low_wines_l, system), coarse, banded_too=False),
            plain(strengths(line.low_wines_pct_vol, system), 1, banded_too=False),
            "" if line.extra_lpa is None else plain(pure(line.extra_lpa, system), fine, banded_too=room > 2),
            _cost(line.kwh_per_extra_lpa, system, 1, banded_too=room > 0),
            _cost(line.hours_per_extra_lpa, system, 2, banded_too=room > 1),
        )
        for line in report.stops
    )
    return rows


def _cost(cost: Band | None, system: UnitSystem, digits: int, *, banded_too: bool) -> str:
    return "" if cost is None else plain(per_pure(cost, system), digits, banded_too=banded_too)


def going_on(report: StripReport, system: UnitSystem) -> tuple[str, ...]:
    """What it wins and costs to go on from 10 to 1 %vol at the spout, in one sentence."""
    lines = {line.stop_pct_vol: line for line in report.stops}
    if not {_SOON_PCT_VOL, _LATE_PCT_VOL} <= lines.keys():
        return ()
    soon, late = lines[_SOON_PCT_VOL], lines[_LATE_PCT_VOL]
    won_l, hours = late.lpa.mid - soon.lpa.mid, late.hours.mid - soon.hours.mid
    costs_kwh = late.energy_kwh.mid - soon.energy_kwh.mid
    of_all = fixed(100.0 * won_l / late.lpa.mid, 1)
    return (
        f"To go on from {_SOON_PCT_VOL:g} to {_LATE_PCT_VOL:g} %vol at the spout wins about "
        f"{pure_words(Band(won_l, won_l, won_l), system)} of pure alcohol, {of_all} % of all that comes "
        f"over, for {show.energy_kwh(costs_kwh)} and {show.duration(hours)} more.",
    )


def stops_are_equal_charges(system: UnitSystem) -> str:
    """What the table of stops counts, and from where."""
    pure_one = "litre of pure alcohol" if system == "metric" else "proof gallon (PG)"
    return (
        "The stops are reckoned for equal charges of the wash that is run, from cold, at the power you gave; "
        f"extra figures are for each {pure_one} that a stop wins over the one before."
    )
