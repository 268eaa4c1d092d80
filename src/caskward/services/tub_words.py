"""What a tub's report says in words: the sentence first, then each part's figures, in the maker's units."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from caskward.planning.plan import Band
from caskward.services.still_words import plain
from caskward.services.tub_mash_words import Lines, amount, label_words, lowered, ways_words
from caskward.services.tub_report import (
    AddedPart,
    OpenBand,
    PitchPart,
    SeparatePart,
    TubReport,
)
from caskward.services.words import banded, figure
from caskward.units import show
from caskward.units.types import UnitSystem

_HARDLY = 0.05
_PG_PER_L = 2.0 / 3.785411784
"""Proof gallons in a litre of pure alcohol: a gallon of it is two."""
EIGHT_IN_TEN = "In brackets: the truth lies inside 8 times in 10."


def headline(of: TubReport) -> str:
    """Yeast, warmth, the dry date and strength, in one sentence."""
    system, pitch, brew = of.show, of.pitch, of.ferment
    which = "The tub" if of.ferments == 1 else f"Each of {of.ferments} tubs"
    warm = "kept" if brew.set_point_c is not None else "pitched"
    strong = banded(brew.strength_pct_vol, "pct_vol", system)
    return (
        f"{which}, {warm} at {figure(pitch.temp_c, 'C', system)} with "
        f"{figure(pitch.yeast_g, 'g', system)} of "
        f"{lowered(pitch.yeast)}, is {dry_words(brew.dry_d, brew.followed_d)}, at {strong}."
    )


def told(b: Band, one: Callable[[float], str]) -> str:
    """A band by how one figure is said; that figure alone where both ends look the same."""
    if one(b.low) == one(b.high):
        return one(b.mid)
    return show.band(b.low, b.mid, b.high, one)


def drawn(of: TubReport) -> str:
    """How many worlds stand behind the figures, and that they can be had again."""
    return f"{of.worlds} possible tubs drawn, seed {of.seed}: the same words give the same figures."


def dry_words(b: OpenBand, followed_d: float) -> str:
    """When it is dry: `dry after 2.9 d (1.9–4.9)`; ends that never come are said."""
    if b.mid is None or b.low is None:
        some = "" if b.low is None else f", though the quickest are after {b.low:.1f} d"
        return f"most likely not dry within {followed_d:.0f} d{some}"
    if b.high is None:
        return f"dry after {b.mid:.1f} d or so (from {b.low:.1f} d; some not within {followed_d:.0f} d)"
    return f"dry after {told(Band(b.low, b.mid, b.high), lambda v: f'{v:.1f} d')}"


def added_lines(part: AddedPart, system: UnitSystem) -> Lines:
    """One addition and what it does."""
    lines = [("goes in", show.weigh_out(part.kg, system))]
    if part.water_l > 0.0:
        needs = part.dissolves_in_l
        just = "" if needs is None else f"; {figure(needs.mid, 'L', system)} of it would just dissolve it"
        lines.append(
            (
                "with water",
                f"{figure(part.water_l, 'L', system)} at {figure(part.water_c, 'C', system)}{just}",
            )
        )
    before = "" if part.gravity_before is None else f"{part.gravity_before.mid:.3f} to "
    lines += [
        ("gravity", f"{before}{banded(part.gravity, 'sg', system)}"),
        ("the tub is then", f"{banded(part.volume_l, 'L', system)}, {banded(part.temp_c, 'C', system)}"),
        ("sugar in the tub", sugar_words(part.sugar_g_l, system)),
    ]
    if part.unfermentable_rise is not None and part.unfermentable_rise.high >= 0.0005:
        lines.append(("gravity that will stay", f"{part.unfermentable_rise.mid * 1000.0:.1f} points"))
    need, brought = part.nitrogen_needed_g.mid, part.nitrogen_brought_g
    lines.append(
        ("nitrogen it asks for, brings", f"{figure(need, 'g', system)}, {figure(brought, 'g', system)}")
    )
    return lines


def sugar_words(b: Band, system: UnitSystem) -> str:
    """Sugar in a litre or a gallon."""
    per = sugar_per(system)
    unit = "g/L" if system == "metric" else "oz/gal"
    return told(Band(b.low * per, b.mid * per, b.high * per), lambda v: f"{v:.0f} {unit}")


def sugar_per(system: UnitSystem) -> float:
    """The maker's unit of sugar for each g/L: ounces in a gallon for a US maker."""
    return 1.0 if system == "metric" else 3.785411784 / 28.349523125


def added_sentence(part: AddedPart) -> str:
    """What to mind of one addition; empty where there is nothing."""
    if part.too_sweet > _HARDLY:
        return (
            "So much sugar slows the yeast's start: give half of it now and half when the first half "
            "has gone."
        )
    if part.dissolves_in_l is not None:
        return "Dissolve it in part of its water, hot, and stir that in: crystals on the bottom stay there."
    if part.unfermentable_rise is not None:
        return "Thin it with part of its water, hot, and stir that in: syrup sinks and lies on the bottom."
    return ""


def pitch_lines(part: PitchPart, system: UnitSystem) -> Lines:
    """Yeast, waking, food."""
    low, high = (figure(v, "C", system) for v in part.window_c)
    lines = [
        ("in the tub", f"{banded(part.volume_l, 'L', system)} of {banded(part.gravity, 'sg', system)}"),
        (_pitched(part), f"{figure(part.temp_c, 'C', system)} (window {low} to {high})"),
        (
            part.yeast,
            f"{figure(part.yeast_g, 'g', system)}, {plain(part.million_cells_ml, 1)} million cells/mL",
        ),
        (
            "wake it in",
            f"{figure(part.rehydrate_l, 'L', system)} of water at {figure(part.rehydrate_c, 'C', system)}, "
            f"{part.rehydrate_min:.0f} min{_steps(part, system)}",
        ),
        ("nitrogen it needs", f"{part.needs_mg_l.mid:.0f} mg/L"),
        (
            "nitrogen the bill gives",
            told(part.given_mg_l, lambda v: f"{v:.0f} mg/L"),
        ),
    ]
    lines += [
        (f"{d.name}, with the fruit", f"{amount(d, system)} ({label_words(d, system)})") for d in part.doses
    ]
    if part.dap_of_plan_g > 0.0:
        lines.append(("diammonium phosphate, by the plan", figure(part.dap_of_plan_g, "g", system)))
    return lines


def _pitched(part: PitchPart) -> str:
    if part.logged:
        return "pitched at, by your log"
    return "pitched at, by the plan" if part.past else "pitch at"


def _steps(part: PitchPart, system: UnitSystem) -> str:
    """How it comes down to the wash: no more than one step at a time."""
    if part.steps == 0:
        return ""
    times = "once" if part.steps == 1 else f"{part.steps} times"
    return f", then some wash stirred in {times}, {figure(part.most_step_k, 'K', system)} cooler at most"


def pitch_sentences(part: PitchPart, system: UnitSystem) -> Iterator[str]:
    """How it cools to the pitch, and food where it is short."""
    if part.past:
        return
    if part.cool_from_c.mid > part.temp_c + 1.0:
        yield (
            f"From {figure(part.cool_from_c.mid, 'C', system)} "
            f"{ways_words(part.ways, part.volume_l.mid, system)}"
        )
    elif part.cool_from_c.mid < part.temp_c - 1.0:
        yield f"It stands at {figure(part.cool_from_c.mid, 'C', system)}: let it warm to the pitch."
    short_g = part.dap_full_g.mid - part.dap_of_plan_g
    if short_g >= 1.0:
        more = " more" if part.dap_of_plan_g else ""
        yield (
            f"The bill may be short of yeast food: {figure(short_g, 'g', system)}{more} of diammonium "
            "phosphate "
            "makes it good, half at the pitch and half a day later."
        )


def separate_lines(part: SeparatePart, system: UnitSystem) -> Lines:
    """What runs off, stays, and what it asks of hands."""
    if not part.strains:
        return [
            (
                "wash for the still, solids and all",
                f"{banded(part.wash_l, 'L', system)} at {banded(part.wash_pct_vol, 'pct_vol', system)}",
            ),
            ("left in hoses and vessels", banded(part.behind_l, "L", system)),
        ]
    lines = [("runs off", banded(part.run_off_l, "L", system))]
    if part.presses:
        lines.append(("from the press", banded(part.pressed_l, "L", system)))
    lines += [
        ("stays in the grain", banded(part.held_l, "L", system)),
        ("alcohol left in the grain", pure(part.held_lpa, system)),
        ("wet grain to carry", banded(part.wet_solids_kg, "kg", system)),
        ("hands", banded(part.hands_h, "h", system)),
        ("left on the lees, in hoses, in vessels", banded(part.behind_l, "L", system)),
        (
            "wash for the still",
            f"{banded(part.wash_l, 'L', system)} at {banded(part.wash_pct_vol, 'pct_vol', system)}",
        ),
    ]
    return lines


def pure(lpa: Band, system: UnitSystem) -> str:
    """Pure alcohol: litres, or proof gallons (a gallon of pure alcohol is two)."""
    if system == "us":
        low, mid, high = (v * _PG_PER_L for v in (lpa.low, lpa.mid, lpa.high))
        return told(Band(low, mid, high), lambda v: f"{v:.2f} PG")
    return told(lpa, lambda v: f"{v:.2f} LPA")


def rinse_sentence(part: SeparatePart, system: UnitSystem) -> str:
    """What one rinse would win, and what it costs."""
    rinse = part.rinse
    if rinse is None:
        return "" if part.note else "Nothing is strained: the still must take solids."
    cost = (
        "" if rinse.kwh_per_lpa is None else f", {rinse.kwh_per_lpa:.1f} kWh for each litre of pure alcohol"
    )
    if system == "us" and rinse.kwh_per_lpa is not None:
        cost = f", {rinse.kwh_per_lpa / _PG_PER_L:.1f} kWh for each proof gallon"
    return (
        f"One rinse with {figure(rinse.water_l, 'L', system)} of water would win at most "
        f"{pure(rinse.gained_lpa, system)}, for {banded(rinse.extra_wash_l, 'L', system)} more to strip and "
        f"{banded(rinse.extra_kwh, 'kWh', system)} of heat{cost}; the wash falls from "
        f"{figure(rinse.strength_before_pct_vol.mid, 'pct_vol', system)} to "
        f"{figure(rinse.strength_pct_vol.mid, 'pct_vol', system)}."
    )
