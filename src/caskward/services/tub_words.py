"""What a tub's report says in words: the sentence first, then each part's figures, in the maker's units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskward.planning.plan import Band
from caskward.services.still_words import plain
from caskward.services.tub_report import (
    AddedPart,
    CookPart,
    Dosed,
    LandingPart,
    MashPart,
    OpenBand,
    PitchPart,
    SeparatePart,
    TubReport,
    Ways,
)
from caskward.services.words import banded, figure
from caskward.units import show
from caskward.units.types import UnitSystem

Lines = list[tuple[str, str]]
_NEARLY, _HARDLY = 0.9, 0.05
_FAR_WATER = 0.5
"""Cold water over so much of the tub's volume is not worth naming as a way."""
_PG_PER_L = 2.0 / 3.785411784
"""Proof gallons in a litre of pure alcohol: a gallon of it is two."""
EIGHT_IN_TEN = "In brackets: the truth lies inside 8 times in 10."


def headline(of: TubReport) -> str:
    """Yeast, warmth, the dry date and strength, in one sentence."""
    system, pitch, brew = of.show, of.pitch, of.ferment
    which = "The tub" if of.ferments == 1 else f"Each of {of.ferments} tubs"
    warm = "keeps" if brew.set_point_c is not None else "pitched"
    strong = banded(brew.strength_pct_vol, "pct_vol", system)
    return (
        f"{which}, {warm} at {figure(pitch.temp_c, 'C', system)} with "
        f"{figure(pitch.yeast_g, 'g', system)} of "
        f"{_low(pitch.yeast)}, is {dry_words(brew.dry_d, brew.followed_d)}, at {strong}."
    )


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
    return f"dry after {show.band(b.low, b.mid, b.high, lambda v: f'{v:.1f} d')}"


def _low(name: str) -> str:
    return name[:1].lower() + name[1:]


def _grains(items: Sequence[tuple[str, float]], system: UnitSystem) -> str:
    return ", ".join(f"{show.weigh_out(kg, system)} {_low(name)}" for name, kg in items)


def cook_lines(part: CookPart, system: UnitSystem) -> Lines:
    """What goes into each pot and what the pots do."""
    count = len(part.pots)
    lines = [
        ("pots, one after the other", str(count)),
        ("into each", _grains(part.grains_kg, system)),
        ("water in each", f"{figure(part.water_l, 'L', system)} at {figure(part.water_c, 'C', system)}"),
    ]
    lines += [(f"{d.name}, in each at the start", amount(d, system)) for d in part.thinning]
    lines += [
        ("heat to, and hold", f"{figure(part.cook_c, 'C', system)}, {show.duration(part.hold_h)}"),
        ("heating takes, each", banded(part.pots[0].heat_up_h, "h", system)),
        (
            "fills the pot to, hot",
            f"{banded(part.pots[0].hot_l, 'L', system)} of {figure(part.working_l, 'L', system)}",
        ),
        ("boils off, each", f"{banded(part.pots[0].boil_off_l, 'L', system)}; not topped up"),
        ("starch swollen", banded(part.gelatinised, "share", system)),
        ("heat paid for, all pots", banded(part.energy_kwh, "kWh", system)),
    ]
    return lines


def amount(d: Dosed, system: UnitSystem) -> str:
    """A dose as a person measures it."""
    litres_or_kg = d.amount / 1000.0
    if system == "metric":
        return f"{d.amount:.3g} {d.unit}"
    return show.measure_out(litres_or_kg, system) if d.unit == "mL" else show.weigh_out(litres_or_kg, system)


def landing_lines(part: LandingPart, system: UnitSystem) -> Lines:
    """What is stirred in, where all lands, and against which window."""
    lines: Lines = []
    for name, kg, water_l in part.stirred_in:
        water = (
            f", with {figure(water_l, 'L', system)} at {figure(part.water_c, 'C', system)}" if water_l else ""
        )
        lines.append((f"{name}, stirred in", show.weigh_out(kg, system) + water))
    low, high = (figure(v, "C", system) for v in part.window_c)
    lines += [
        (
            "all together it comes to",
            f"{banded(part.together_c, 'C', system)}, {banded(part.together_l, 'L', system)}",
        ),
        (f"window of {_low(part.whose)}", f"{low} to {high}"),
        ("lands in it", f"{show.in_ten(part.in_window)}"),
    ]
    return lines


def landing_sentence(part: LandingPart, system: UnitSystem) -> str:
    """Whether to wait, cool or warm before what comes next."""
    low_c, high_c = part.window_c
    if part.in_window >= _NEARLY:
        return "It lands where it should: go on."
    if part.together_c.mid > high_c:
        return f"Too warm. To come {ways_words(part.ways, part.together_l.mid, system)}"
    if part.together_c.mid < low_c:
        hot = part.hot_water_l.mid
        more = "" if hot is None else f" by {figure(hot, 'L', system)} of water near the boil, or in the pot"
        return f"Too cool: warm it to {figure(low_c, 'C', system)}{more}."
    return "It lies near an edge: measure before you dose."


def ways_words(ways: Ways, tub_l: float, system: UnitSystem) -> str:
    """Each way to cool, taken alone, and what it does besides."""
    said = []
    if ways.lid_on_h.mid is not None:
        said.append(f"lid on it stands {show.duration(ways.lid_on_h.mid)}")
    cold_l = ways.cold_water_l.mid
    if cold_l is not None and cold_l < _FAR_WATER * tub_l:
        thins = f"thins it by {show.share(round(cold_l / (tub_l + cold_l), 2))}"
        said.append(f"{figure(cold_l, 'L', system)} of cold water ({thins})")
    if ways.ice_kg.mid < _FAR_WATER * tub_l:
        thins = f"thins it by {show.share(round(ways.ice_kg.mid / (tub_l + ways.ice_kg.mid), 2))}"
        said.append(f"{figure(ways.ice_kg.mid, 'kg', system)} of ice ({thins})")
    said.append(f"{figure(ways.coil_water_l.mid, 'L', system)} of water through a coil, which thins nothing")
    return f"to {figure(ways.to_c, 'C', system)}: {'; or '.join(said)}."


def dose_lines(part: MashPart, system: UnitSystem) -> Lines:
    """Rests and doses in the order of time, counted from when all is together."""
    lines: list[tuple[float, int, str, str]] = []
    for r in part.rests:
        name = f"{r.words} rest, {_clock(r.from_h)} to {_clock(r.to_h)}"
        lines.append((r.from_h, 0, name, f"{figure(r.temp_c, 'C', system)}, pH {r.ph:.1f}"))
    for d in part.doses:
        low, high = (figure(v, "C", system) for v in d.window_c)
        window = f"label {low} to {high}, pH {d.window_ph[0]:.1f} to {d.window_ph[1]:.1f}"
        lines.append((d.at_h, 1, f"{d.name}, at {_clock(d.at_h)}", f"{amount(d, system)} ({window})"))
    return [(name, said) for _, _, name, said in sorted(lines)]


def _clock(hours: float) -> str:
    minutes = round(hours * 60.0)
    return f"{minutes // 60}:{minutes % 60:02d} h"


def mash_sentences(part: MashPart, system: UnitSystem) -> Iterator[str]:
    """When to test for starch, and acid by the maker's own measuring."""
    if part.test_from_h is None:
        yield (
            "Starch may still show at the end of the rests: test before you go on, and hold longer if "
            "it is blue."
        )
    else:
        first = f"Test for starch from {_clock(max(part.test_from_h, 0.25))}"
        sure = (
            ""
            if part.test_sure_h is None
            else f"; still blue after {_clock(max(part.test_sure_h, 0.5))} means something is wrong"
        )
        yield f"{first}{sure}."
    if part.spent_h is not None:
        yield (
            f"From {_clock(part.spent_h)} on the thinning enzymes are spent: waiting helps no more, a "
            "new dose does."
        )
    yield (
        "Acid: no table knows your mash. Stir, measure the pH, try a little acid in a jar of it, and "
        "dose the tub "
        "by how far that moved it; half first, then measure again."
    )
    salt = figure(part.calcium_chloride_g, "g", system)
    yield (
        f"Enzymes and yeast like 50 mg/L of calcium: in soft water that is {salt} of calcium chloride "
        "dihydrate; "
        "hard water has it already."
    )
    if part.driven:
        yield "This mash follows your logged temperatures and pH."


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
    return show.band(b.low * per, b.mid * per, b.high * per, lambda v: f"{v:.0f} {unit}")


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
    return ""


def pitch_lines(part: PitchPart, system: UnitSystem) -> Lines:
    """Yeast, waking, food."""
    low, high = (figure(v, "C", system) for v in part.window_c)
    lines = [
        ("in the tub", f"{banded(part.volume_l, 'L', system)} of {banded(part.gravity, 'sg', system)}"),
        ("pitch at", f"{figure(part.temp_c, 'C', system)} (window {low} to {high})"),
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
            show.band(
                part.given_mg_l.low, part.given_mg_l.mid, part.given_mg_l.high, lambda v: f"{v:.0f} mg/L"
            ),
        ),
    ]
    if part.dap_of_plan_g > 0.0:
        lines.append(("diammonium phosphate, by the plan", figure(part.dap_of_plan_g, "g", system)))
    return lines


def _steps(part: PitchPart, system: UnitSystem) -> str:
    """How it comes down to the wash: no more than one step at a time."""
    if part.steps == 0:
        return ""
    times = "once" if part.steps == 1 else f"{part.steps} times"
    return f", then some wash stirred in {times}, {figure(part.most_step_k, 'K', system)} cooler at most"


def pitch_sentences(part: PitchPart, system: UnitSystem) -> Iterator[str]:
    """How it cools to the pitch, and food where it is short."""
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
                "wash for the still, on its grain",
                f"{banded(part.wash_l, 'L', system)} at {banded(part.wash_pct_vol, 'pct_vol', system)}",
            )
        ]
    lines = [("runs off", banded(part.run_off_l, "L", system))]
    if part.presses:
        lines.append(("from the press", banded(part.pressed_l, "L", system)))
    lines += [
        ("stays in the grain", banded(part.held_l, "L", system)),
        ("alcohol left in the grain", pure(part.held_lpa, system)),
        ("wet grain to carry", banded(part.wet_solids_kg, "kg", system)),
        ("hands", banded(part.hands_h, "h", system)),
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
        return show.band(low, mid, high, lambda v: f"{v:.2f} PG")
    return show.band(lpa.low, lpa.mid, lpa.high, lambda v: f"{v:.2f} LPA")


def rinse_sentence(part: SeparatePart, system: UnitSystem) -> str:
    """What one rinse would win, and what it costs."""
    rinse = part.rinse
    if rinse is None:
        return "Nothing is strained: the still must take solids."
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
