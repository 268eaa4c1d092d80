"""What the first half of a tub's report says: cook, landing, mash, in the maker's units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from caskward.services.tub_report import CookPart, Dosed, FadingPart, LandingPart, MashPart, Ways
from caskward.services.words import banded, figure
from caskward.units import show
from caskward.units.types import UnitSystem

Lines = list[tuple[str, str]]
_NEARLY, _COOLED_K, _RAW = 0.9, 0.5, 0.05
SOURS_H = 24.0
"""Hours that a mash may stand on its way down before it sours; *common practice, no source*."""


def lowered(name: str) -> str:
    """A name inside a sentence."""
    return name[:1].lower() + name[1:]


def _grains(items: Sequence[tuple[str, float]], system: UnitSystem) -> str:
    return ", ".join(f"{show.weigh_out(kg, system)} {lowered(name)}" for name, kg in items)


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
            f"{banded(part.pots[0].hot_l, 'L', system)} of the {figure(part.working_l, 'L', system)} "
            "it may hold",
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
            f"{banded(part.together_c, 'C', system)}, {banded(part.together_l, 'L', system)} hot",
        ),
    ]
    if part.logged_at_h is not None:
        lines.append((f"by your log, at {_clock(part.logged_at_h)}", banded(part.lies_c, "C", system)))
    lines += [
        (f"window of {lowered(part.whose)}", f"{low} to {high}"),
        ("lands in it", f"{show.in_ten(part.in_window)}"),
    ]
    return lines


def landing_sentence(part: LandingPart, system: UnitSystem) -> str:
    """Whether to wait, cool or warm before what comes next."""
    (low_c, high_c), lies_c = part.window_c, part.lies_c.mid
    if lies_c > part.ways.to_c + _COOLED_K:
        first = "Too warm" if lies_c > high_c else "It lands in the window, warmer than its rest"
        return f"{first}. To come {ways_words(part.ways, part.together_l.mid, system)}"
    if lies_c < low_c:
        return f"Too cool: warm it to {figure(part.ways.to_c, 'C', system)} {_warmed(part, system)}."
    if part.in_window >= _NEARLY:
        return "It lands where it should: go on."
    return "It lies near an edge: measure before you dose."


def _warmed(part: LandingPart, system: UnitSystem) -> str:
    """What warms a mash: water near the boil where there is room for it, or the pot."""
    hot_l = part.hot_water_l.mid
    if hot_l is None or hot_l > part.ways.spare_l:
        return "in the pot, some of it at a time: the tub has no room for as much hot water as it would take"
    return f"by {figure(hot_l, 'L', system)} of water near the boil, or some of it in the pot"


def ways_words(ways: Ways, tub_l: float, system: UnitSystem) -> str:
    """Each way to cool that the tub has room and time for, taken alone, and what it does besides."""
    said, full = [], []
    alone_h = ways.lid_on_h.mid
    if alone_h is not None and alone_h <= SOURS_H:
        said.append(f"lid on it stands {show.duration(alone_h)}")
    for litres, amount_words, what in (
        (ways.cold_water_l.mid, figure(ways.cold_water_l.mid or 0.0, "L", system), "cold water"),
        (ways.ice_kg.mid, figure(ways.ice_kg.mid, "kg", system), "ice"),
    ):
        words = f"{amount_words} of {what}"
        if what == "cold water" and litres is not None and litres <= ways.later_l:
            said.append(
                f"{words}, of the {figure(ways.later_l, 'L', system)} that go in later anyhow, which thins "
                "nothing more"
            )
        elif litres is None or litres > ways.spare_l:
            full.append(what)
        else:
            said.append(f"{words} (thins it by {show.share(round(litres / (tub_l + litres), 2))})")
    said.append(f"{figure(ways.coil_water_l.mid, 'L', system)} of water through a coil, which thins nothing")
    told = f"to {figure(ways.to_c, 'C', system)}: {'; or '.join(said)}."
    if full:
        told += f" The tub has no room for as much {' or '.join(full)} as it would take."
    if alone_h is not None and alone_h > SOURS_H:
        told += f" By itself, lid on, it takes {show.duration(alone_h)}: too long, bacteria sour it."
    return told


def dose_lines(part: MashPart, system: UnitSystem) -> Lines:
    """Rests and doses in the order of time, counted from when all is together."""
    lines: list[tuple[float, int, str, str]] = []
    for r in part.rests:
        name = f"{r.words} rest, {_clock(r.from_h)} to {_clock(r.to_h)}"
        lines.append((r.from_h, 0, name, f"{figure(r.temp_c, 'C', system)}, pH {r.ph:.1f}"))
    lines += [
        (d.at_h, 1, f"{d.name}, at {_clock(d.at_h)}", f"{amount(d, system)} ({label_words(d, system)})")
        for d in part.doses
    ]
    return [(name, said) for _, _, name, said in sorted(lines)]


def label_words(d: Dosed, system: UnitSystem) -> str:
    """A label's windows."""
    low, high = (figure(v, "C", system) for v in d.window_c)
    return f"label {low} to {high}, pH {d.window_ph[0]:.1f} to {d.window_ph[1]:.1f}"


def _fading_words(part: FadingPart, system: UnitSystem) -> str:
    """A rest that grows too cool: when, how far, and what keeps it."""
    low = figure(part.low_c, "C", system)
    hot_l = part.hot_water_l.mid
    back = (
        ""
        if hot_l is None
        else f", or stir in {figure(hot_l, 'L', system)} of water near the boil then, which brings it back "
        f"to {figure(part.rest_c, 'C', system)}"
    )
    return (
        f"Keep it warm: at {_clock(part.at_h)} it falls under {low}, where the label of {lowered(part.name)} "
        f"ends, and its hold ends at {figure(part.end_c, 'C', system)}. Wrap the tub, whose walls lose "
        f"{part.loss_kw.mid:.1f} kW there{back}."
    )


def _raw_words(part: MashPart, system: UnitSystem) -> str:
    """Starch that no wait will turn, for it never swelled."""
    first = (
        f"About {show.share(round(part.raw.mid, 2))} of the starch is raw still and shows blue, however long "
        "you wait"
    )
    if part.swells_c is None:
        return f"{first}: the cook did not swell it."
    low, high = (figure(v, "C", system) for v in part.swells_c)
    return f"{first}. Grain that was not cooked swells from {low} to {high}: warm the mash to there."


def _clock(hours: float) -> str:
    minutes = round(hours * 60.0)
    return f"{minutes // 60}:{minutes % 60:02d} h"


def mash_sentences(part: MashPart, system: UnitSystem) -> Iterator[str]:
    """How it is cooled and kept warm, when to test for starch, and acid by the maker's own measuring."""
    for step in part.cooled:
        yield (
            f"Before the {step.words} rest, at {_clock(step.at_h)}, "
            f"from {figure(step.from_c.mid, 'C', system)} {ways_words(step.ways, step.volume_l.mid, system)}"
        )
    for one in part.fading:
        yield _fading_words(one, system)
    if part.test_from_h is None and part.raw.mid > _RAW:
        yield _raw_words(part, system)
    elif part.test_from_h is None:
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
        "Acid: before each product goes in, bring the mash into its label's pH. No table knows your "
        "mash: stir, "
        "measure, try a little acid in a jar of it, and dose the tub by how far that moved it; half "
        "first, then "
        "measure again."
    )
    salt = figure(part.calcium_chloride_g, "g", system)
    yield (
        f"Enzymes and yeast like 50 mg/L of calcium: in soft water that is {salt} of calcium chloride "
        "dihydrate; "
        "hard water has it already."
    )
    if part.driven:
        yield "This mash follows your logged temperatures and pH."
