"""What a spirit run says in words, the same on screen and on paper."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, floor

from caskward.planning.plan import Band
from caskward.planning.strengths import said
from caskward.services.still_course import Moment
from caskward.services.still_lab import said_of
from caskward.services.still_own_units import (
    limit_words,
    plain,
    pure,
    pure_unit,
    pure_words,
    rate_words,
    strength_unit,
    strengths,
)
from caskward.services.still_receivers import CutMark, ReceiverLine
from caskward.services.still_run import RunReport
from caskward.services.still_words import (
    CONGENERS_ARE_PRIORS,
    Room,
    degree,
    litre_band,
    litre_unit,
    litres,
    rough,
    stop_words,
    warmth,
)
from caskward.services.words import banded, figure
from caskward.units.types import UnitSystem

GROUP_WORDS = {
    "early": "   early: heads, solvent and green apple",
    "with the heart": "   with the heart: fusel alcohols",
    "late": "   late: rose, almond, the dull end",
}
LIKE_WATER = (
    "Cooling water is reckoned to leave at {leaves}: cooler, it takes more; warmer, the condenser may let "
    "vapour through."
)


def run_headline(report: RunReport, system: UnitSystem) -> str:
    """A run in one sentence: what is charged, what comes over, how long it takes."""
    charge = f"{figure(report.charge.volume_l, 'L', system)} of {report.made_from} at "
    charge += said(report.charge.pct_vol, system)
    until = stop_words(report, system) if report.reached > 0.0 else "the charge is spent, short of your stop"
    return (
        f"{charge} give {volume_words(report.collected_l, system)} at "
        f"{banded(report.collected_pct_vol, 'pct_vol', system)} until {until}, "
        f"in {banded(report.hours, 'h', system)} from cold."
    )


def run_lines(report: RunReport, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The figures of a run, in the order of the work."""
    charge, cooling = report.charge, report.cooling
    water = f"from {figure(cooling.water_c, 'C', system)} to {figure(cooling.leaves_c, 'C', system)}"
    lpa = Band(charge.lpa, charge.lpa, charge.lpa)
    most = rate_words(cooling.water_l_h, system)
    return (
        ("pure alcohol in the charge", pure_words(lpa, system).partition(" (")[0]),
        ("charge's strength", _rule(report, system)),
        ("still", report.still),
        ("heating up takes", banded(report.heat_up_h, "h", system)),
        ("first drops at", banded(report.first_pct_vol, "pct_vol", system)),
        ("pure alcohol collected", pure_words(report.collected_lpa, system)),
        ("left in the pot at the stop", banded(report.pot_left_l, "L", system)),
        ("energy, from cold", banded(report.energy_kwh, "kWh", system)),
        ("condenser, at most", banded(cooling.duty_kw, "kW", system)),
        ("heat to the cooling water", banded(cooling.heat_kwh, "kWh", system)),
        ("cooling water", f"{banded(cooling.water_l, 'L', system)}, {water}"),
        ("   at most", most),
        (_heart_words(report), _heart(report, system)),
        *(("your laboratory's figure", f"{said_of(one)}, of pure alcohol") for one in report.laboratory),
    )


def _rule(report: RunReport, system: UnitSystem) -> str:
    limit = f"at most {limit_words(report.charge.strongest_pct_vol, system)}"
    rule = report.charge.site_rule
    return f"your site's rule: {rule} ({limit})" if rule else f"{limit}, the usual limit"


def _heart_words(report: RunReport) -> str:
    return "heart of this one run" if report.made_from == "wash" else "heart, by the trade's habit"


def _heart(report: RunReport, system: UnitSystem) -> str:
    heart = next(line for line in report.trade if line.name == "heart")
    if heart.filled < 0.1:
        return "none: it would begin after your stop"
    return f"{banded(heart.volume_l, 'L', system)} at {banded(heart.pct_vol, 'pct_vol', system)}"


def volume_words(b: Band, system: UnitSystem) -> str:
    """A volume with its band in one unit: `28.8 L (27.6–29.5)`, `108 mL (65–214)`, `3.7 fl oz (2.2–7.3)`."""
    own = litre_band(b, system)
    if own.high < 1.0:
        small, digits, unit = (1000.0, 0, "mL") if system == "metric" else (128.0, 1, "fl oz")
        own = Band(*(v * small for v in (own.low, own.mid, own.high)))
    else:
        digits, unit = 1 if own.mid >= 10.0 else 2, litre_unit(system)
    mid, _, rest = plain(own, digits).partition(" ")
    return f"{mid} {unit} {rest}".strip()


def cut_words(mark: CutMark, system: UnitSystem) -> tuple[str, str, str]:
    """One mark of the trade: its name, its own range, and the litres collected by then."""
    if mark.by == "alcohol_share":
        trade = f"{_percent(mark.low)}–{_percent(mark.high)} % of the alcohol"
    else:
        high, low = (said(v, system) for v in (mark.high, mark.low))
        unit = high.partition(" ")[2]
        trade = f"spout at {high.removesuffix(f' {unit}') if low.endswith(unit) else high}–{low}"
    there = volume_words(mark.volume_l, system)
    if mark.chance < 0.1:
        there = "after your stop"
    elif mark.chance < 0.9:
        there += f" in {round(mark.chance * 10)} of 10"
    return mark.key, trade, there


def _percent(share: float) -> str:
    return f"{100 * share:.2g}"


def congener_note(report: RunReport) -> str:
    """Where the congeners start from: usual washes, and the maker's laboratory where it was asked."""
    if not report.laboratory:
        return CONGENERS_ARE_PRIORS
    known = ", ".join(one.name[:1].lower() + one.name[1:] for one in report.laboratory)
    whose = "is your laboratory's figure" if len(report.laboratory) == 1 else "are your laboratory's figures"
    stated = any(one.doubt_g_hl is not None for one in report.laboratory)
    doubt = " Its doubt (±) is read as 95 in 100." if stated else ""
    exact = any(one.doubt_g_hl is None for one in report.laboratory)
    doubt += " Where it states no doubt, the figure is taken as exact." if exact else ""
    return (
        f"What the charge holds of {known} {whose}.{doubt} Other congeners start from what washes of this "
        "style usually hold; what heat and copper make or take in the pot is not in any of them."
    )


def strength_span(moments: Sequence[Moment], system: UnitSystem) -> tuple[float, float, float]:
    """Ends and step of the scale on which strength is drawn, in the maker's unit."""
    step = 10.0 if system == "metric" else 20.0
    most = max(strengths(m.spout_pct_vol, system).high for m in moments)
    return 0.0, step * max(9.0, float(ceil(most / step))), step


def warmth_span(moments: Sequence[Moment], system: UnitSystem) -> tuple[float, float, float]:
    """Ends and step of the scale on which vapour and pot are drawn, in the maker's own degrees."""
    step = 5.0 if system == "metric" else 10.0
    warm = [warmth(b, system) for m in moments for b in (m.vapour_c, m.pot_c)]
    return step * floor(min(b.low for b in warm) / step), step * ceil(max(b.high for b in warm) / step), step


def moment_rows(report: RunReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """The table of a run: a head, then a row for every moment."""
    unit, strength = litre_unit(system), strength_unit(system)
    rows: list[tuple[str, ...]] = [
        (unit, f"spout {strength}", f"pot {strength}", f"pot {degree(system)}", f"{unit}/h", "hours", "kWh")
    ]
    few = 2 if litres(report.moments[-1].volume_l, system) < 10.0 else 1
    rows.extend(
        (
            f"{litres(m.volume_l, system):.{few}f}",
            plain(strengths(m.spout_pct_vol, system), 1),
            plain(strengths(m.pot_pct_vol, system), 1, banded_too=room > 2),
            plain(warmth(m.pot_c, system), 1, banded_too=room > 2),
            plain(litre_band(m.rate_l_h, system), few, banded_too=room > 0),
            plain(m.hours, 2, banded_too=room > 1),
            plain(m.energy_kwh, 1, banded_too=room > 2),
        )
        for m in report.moments
    )
    return rows


def receiver_rows(
    report: RunReport, system: UnitSystem, room: Room, *, groups: bool = True
) -> list[tuple[str, ...]]:
    """Receivers: a head, then each with volume, strength, pure alcohol and the groups of congeners."""
    heads = _group_heads(report) if groups else ()
    rows: list[tuple[str, ...]] = [
        ("", litre_unit(system), strength_unit(system), pure_unit(system), "till h", *heads)
    ]
    for line in report.receivers:
        if line.filled < 0.1:
            rows.append((line.name, "empty", *("" for _ in rows[0][2:])))
            continue
        rows.append(
            (
                line.name,
                plain(litre_band(line.volume_l, system), 2, banded_too=room > 0),
                plain(strengths(line.pct_vol, system), 1),
                plain(pure(line.lpa, system), 2, banded_too=room > 2),
                plain(line.to_h, 2, banded_too=room > 2),
                *((rough(b, banded_too=room > 1) for b in _group_bands(report, line)) if groups else ()),
            )
        )
    return rows


def group_rows(report: RunReport) -> list[tuple[str, ...]]:
    """Congeners of every receiver that anything runs into, added up by when they come, with their bands."""
    rows: list[tuple[str, ...]] = [("", *_group_heads(report))]
    rows.extend(
        (line.name, *(rough(b) for b in _group_bands(report, line)))
        for line in report.receivers
        if line.filled >= 0.1
    )
    return rows


def _with_methanol(report: RunReport) -> bool:
    return report.methanol is not None or any(one.congener == "methanol" for one in report.laboratory)


def _group_heads(report: RunReport) -> tuple[str, ...]:
    return ("early", "heart", "late", *(("methanol",) if _with_methanol(report) else ()))


def _group_bands(report: RunReport, line: ReceiverLine) -> Sequence[Band]:
    if not _with_methanol(report):
        return line.groups
    return (*line.groups, next(one.g_hl for one in line.congeners if one.name == "Methanol"))


def level_rows(line: ReceiverLine) -> list[tuple[str, ...]]:
    """Congeners of one receiver: level, and how many times a published threshold that is."""
    rows: list[tuple[str, ...]] = [("", "g/hL pure", "times a threshold", "threshold in")]
    for one in line.congeners:
        times = "" if one.times_threshold is None else rough(one.times_threshold)
        rows.append((one.name, rough(one.g_hl), times, one.matrix.removeprefix("alcohol and water, ")))
    return rows


def looked_into_words(report: RunReport) -> str:
    """Whose congeners are told one by one."""
    line = report.looked_into
    own = any(line is one for one in report.receivers) and line not in report.trade
    if own:
        return f"Congeners in {line.name}"
    return f"Congeners in the {line.name}, if cut by the trade's habit"
