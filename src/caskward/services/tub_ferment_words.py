"""What a tub's ferment says: tables over hours, what the readings changed, what to mind."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskward.planning.plan import Band
from caskward.services.still_words import degree, litre_band, litre_unit, plain, warmth
from caskward.services.tub_report import (
    CookPart,
    FermentPart,
    FermentRow,
    FitRow,
    MashPart,
    TubReport,
)
from caskward.services.tub_words import dry_words, sugar_per
from caskward.services.words import banded, figure
from caskward.units import show
from caskward.units.types import UnitSystem

Rows = list[tuple[str, ...]]
_SHORT, _SHORTEST = 26, 14
_FEW_WORLDS = 40.0
_LATE_LOG_H = 6.0
_CU_FT_PER_M3 = 35.3147


def pot_rows(part: CookPart, system: UnitSystem, room: int) -> Rows:
    """The tub before and after each pot, hours from the first pot's start."""
    deg, unit = degree(system), litre_unit(system)
    rows: Rows = [("pot", "in after", f"tub before, {deg}", f"tub after, {deg}", f"tub, {unit}")]
    for pot in part.pots:
        before = "" if pot.before_c is None else plain(warmth(pot.before_c, system), 1, banded_too=room > 1)
        rows.append(
            (
                str(pot.number),
                f"{plain(pot.poured_at_h, 1, banded_too=room > 2)} h",
                before,
                plain(warmth(pot.after_c, system), 1, banded_too=room > 0),
                plain(litre_band(pot.after_l, system), 0, banded_too=room > 2),
            )
        )
    return rows


def mash_rows(part: MashPart, system: UnitSystem, room: int) -> Rows:
    """The mash by the hour; shares of all that is or was starch."""
    rows: Rows = [("after", degree(system), "long starch", "dextrin", "sugar", "gravity")]
    for r in part.rows:
        rows.append(
            (
                f"{round(r.at_h * 60) // 60}:{round(r.at_h * 60) % 60:02d} h",
                plain(warmth(r.temp_c, system), 1, banded_too=room > 2),
                _percent(r.long_starch, room > 0),
                _percent(r.dextrin, room > 2),
                _percent(r.sugar, room > 0),
                plain(r.gravity, 3, banded_too=room > 1),
            )
        )
    return rows


def alive_rows(part: MashPart, room: int) -> Rows:
    """What is alive of each dose, by the hour."""
    rows: Rows = [("alive after", *(_named(name, room) for name in part.enzymes))]
    for r in part.rows:
        at = f"{round(r.at_h * 60) // 60}:{round(r.at_h * 60) % 60:02d} h"
        rows.append((at, *(_percent(b, room > 0) if b.high > 0.0 else "not in" for b in r.alive)))
    return rows


def _named(name: str, room: int) -> str:
    most = _SHORT if room > 0 else _SHORTEST
    return name if len(name) <= most else f"{name[: most - 1].rstrip()}…"


def _percent(b: Band, banded_too: bool) -> str:
    return plain(Band(100.0 * b.low, 100.0 * b.mid, 100.0 * b.high), 0, banded_too=banded_too) + " %"


def ferment_rows(rows: Sequence[FermentRow], system: UnitSystem, room: int) -> Rows:
    """The ferment by the hour since pitching."""
    per = sugar_per(system)
    sugar = "sugar, g/L" if system == "metric" else "sugar, oz/gal"
    gas = "CO2, m³" if system == "metric" else "CO2, cu ft"
    out: Rows = [("after", degree(system), "gravity", "%vol", sugar, gas)]
    for r in rows:
        by = 1.0 if system == "metric" else _CU_FT_PER_M3
        out.append(
            (
                at_words(r.at_h),
                plain(warmth(r.temp_c, system), 1, banded_too=room > 1),
                plain(r.gravity, 3, banded_too=room > 0),
                plain(r.strength_pct_vol, 1, banded_too=room > 2),
                plain(scaled(r.sugar_g_l, per), 0 if system == "metric" else 1, banded_too=room > 2),
                plain(scaled(r.co2_m3, by), 1 if system == "metric" else 0, banded_too=False),
            )
        )
    return out


def at_words(hours: float) -> str:
    """Hours in the first days, `36 h`; days from the third on, `4 d`."""
    if hours >= 72.0 and abs(hours / 24.0 - round(hours / 24.0)) < 1e-6:
        return f"{hours / 24.0:.0f} d"
    return f"{hours:g} h"


def scaled(b: Band, by: float) -> Band:
    """A band in another unit."""
    return Band(b.low * by, b.mid * by, b.high * by)


def ferment_lines(of: TubReport) -> list[tuple[str, str]]:
    """Dry date, end, gas."""
    part, system = of.ferment, of.show
    kept = f"a room at {figure(part.room_c, 'C', system)}, lid on"
    if part.set_point_c is not None:
        kept = f"held at {figure(part.set_point_c, 'C', system)}"
    if part.driven:
        kept = f"your logged temperatures, then {kept}"
    lines = [
        ("stands in", kept) if part.set_point_c is None and not part.driven else ("warmth", kept),
        ("ferments", _with_solids(part)),
        ("dry", dry_words(part.dry_d, part.followed_d).removeprefix("dry ")),
    ]
    if part.rows_before:
        lines.append(
            ("before your readings", dry_words(part.dry_before_d, part.followed_d).removeprefix("dry "))
        )
    lines += [
        ("final gravity", banded(part.final_gravity, "sg", system)),
        ("strength", banded(part.strength_pct_vol, "pct_vol", system)),
        ("warmest", banded(part.peak_c, "C", system)),
        ("carbon dioxide", f"{banded(part.co2_kg, 'kg', system)}, {banded(part.co2_m3, 'm3', system)}"),
        ("stuck with sugar left", "under 1 in 100" if part.stuck < 0.01 else show.in_ten(part.stuck)),
    ]
    return lines


def _with_solids(part: FermentPart) -> str:
    """What the yeast works among, and where that goes."""
    among = "on its grain" if part.of_grain else "with all its solids"
    return f"{among}, into the still" if part.on_grain else f"{among}, strained when dry"


def ferment_sentences(of: TubReport) -> Iterator[str]:
    """What to do about warmth, air, and a ferment that may not end."""
    part, system = of.ferment, of.show
    top = figure(of.pitch.window_c[1], "C", system)
    if part.over_window > 0.1:
        yield (
            f"Chances are {show.in_ten(part.over_window)} that it gets warmer than {top}, the top of the "
            "yeast's "
            f"window: cool it by a coil or a wet cloth{_else_cooler(of)}."
        )
    if part.dry_share < 0.9:
        yield (
            f"Chances are {show.in_ten(1.0 - part.dry_share)} that it is not dry after "
            f"{part.followed_d:.0f} days; too "
            "little "
            "food, too few cells or a chill are the usual reasons."
        )
    if part.set_point_c is not None and not of.pitch.window_c[0] <= part.set_point_c <= of.pitch.window_c[1]:
        low = figure(of.pitch.window_c[0], "C", system)
        yield f"That set-point lies outside the yeast's window, {low} to {top}: expect it slow or rough."
    if part.logged_from_h is not None and part.logged_from_h > _LATE_LOG_H:
        yield (
            f"Before {at_words(part.logged_from_h)}, where your log begins, the tub is taken to be pitched "
            f"at {figure(of.pitch.temp_c, 'C', system)}, as planned, and to warm by itself up to what you "
            "read: "
            "log the pitch, too, with the hour 0."
        )
    air = part.fresh_air_m3_h
    per_hour = f"{air:.0f} m³" if system == "metric" else f"{air * _CU_FT_PER_M3:.0f} cu ft"
    yield (
        f"At its busiest, {per_hour} of fresh air an hour keep the room under 0.5 % carbon dioxide; it "
        "gathers "
        "at the floor. Local rules decide."
    )


def _else_cooler(of: TubReport) -> str:
    """What is to be done before the yeast goes in, while there is time for it."""
    if of.pitch.past:
        return ""
    cooler = ", pitch cooler" if of.pitch.temp_c > of.pitch.window_c[0] else ""
    return f"{cooler}, or ferment in smaller tubs"


def fit_rows(rows: Sequence[FitRow], system: UnitSystem) -> Rows:
    """Readings beside what was expected before and after them."""
    out: Rows = [("reading", "read", "expected before", "after all readings", "")]
    for r in rows:
        before, after = (_of_unit(b, r.unit, system) for b in (r.before, r.after))
        value = _of_unit(Band(r.value, r.value, r.value), r.unit, system)
        if r.unit == "yes":
            value = "blue" if r.value > 0.5 else "clear"
        out.append(
            (
                f"{r.stage} {r.words}, {at_words(r.at_h)}",
                value,
                before,
                after,
                "fits badly" if r.badly else "",
            )
        )
    return out


def _of_unit(b: Band, unit: str, system: UnitSystem) -> str:
    if unit == "yes":
        return f"blue in {100.0 * b.mid:.0f} of 100"
    if unit == "sg":
        return plain(b, 3)
    if unit == "L":
        return f"{plain(litre_band(b, system), 0)} {litre_unit(system)}"
    return f"{plain(b, 1)} %vol"


def fit_sentences(part: FermentPart) -> Iterator[str]:
    """When readings and model do not agree, and when few worlds are left."""
    bad = [r for r in part.fits if r.badly]
    for r in bad:
        yield (
            f"The {r.stage}'s {r.words} after {at_words(r.at_h)} ({r.said!r}) fits badly with all else: "
            "take it again, cooled and strained, before you act on it; or ask what is wrong: caskward tub ask"
        )
    if part.rows_before and part.worlds_fit < _FEW_WORLDS and not bad:
        yield "Few of the possible ferments fit these readings: take the bands as rough."
