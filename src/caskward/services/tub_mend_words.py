"""What to do about a cause of a tub, in a maker's words and units."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from caskward.planning.tub.ask import Told
from caskward.planning.tub.mend import PART_C, Mend
from caskward.services.tub_ask import TubAnswer
from caskward.units import convert, show
from caskward.units.types import UnitSystem


def mends(report: TubAnswer, told: Told, system: UnitSystem) -> list[str]:
    """What to do for one cause, each way in a sentence."""
    useful = [m for m in told.mends if m.way != "hold" or m.hold_h is not None] or list(told.mends[:1])
    return [mend(report, one, system) for one in useful]


def mend(report: TubAnswer, one: Mend, system: UnitSystem) -> str:
    """One way to mend, with its amounts."""
    return _WAYS[one.way](report, one, system)


def _held(one: Mend, test: bool = True) -> str:
    if one.hold_h is None:
        return " Even so the starch test may not come clear within 10 hours."
    if one.hold_h < 1.0 / 12.0:
        return " Then test for starch again at once." if test else ""
    return f" Hold {show.duration(one.hold_h)}, then test for starch again."


def _doses(one: Mend, words: str, system: UnitSystem) -> str:
    if not one.doses:
        return ""
    return f" {words} {_listed(f'{_amount(a, unit, system)} of {name}' for name, a, unit in one.doses)}."


def _hold(_: TubAnswer, one: Mend, __: UnitSystem) -> str:
    if one.hold_h is None:
        return "Waiting alone won't clear it within 10 hours."
    if one.hold_h < 1.0 / 12.0:
        return "Nothing to do: test again now."
    return f"Hold it as it is for {show.duration(one.hold_h)}, then test for starch again."


def _warm(report: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.to_c is not None
    assert one.hot_water_l is not None
    to, water = show.temperature(one.to_c, system), show.volume(one.hot_water_l, system)
    if one.fits:
        said = f"Warm it to {to}: stir in {water} of boiling water, which thins it."
    elif one.part_l is not None:
        pots = math.ceil(one.part_l / report.pot_l) if report.pot_l else 0
        said = (
            f"Warm it to {to}: boiling water would take {water}, more than the tub has room for; heat "
            f"{show.volume(one.part_l, system)} of it to {show.temperature(PART_C, system)} in the pot "
            f"({pots} {'pot' if pots == 1 else 'pots'}) and stir it back."
        )
    else:
        said = f"Warm it to {to}: boiling water would take {water}, more than the tub has room for."
    return said + _doses(one, "Dose again:", system) + _held(one)


def _cool(report: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.to_c is not None
    assert one.ice_kg is not None
    assert one.cold_water_l is not None
    water = show.volume(one.cold_water_l, system)
    too_much = ", more than the tub has room for"
    ice = show.mass(one.ice_kg, system) + " of ice" + ("" if one.ice_kg <= report.tub_spare_l else too_much)
    said = (
        f"Cool it to {show.temperature(one.to_c, system)} with a coil, with "
        f"{ice}, or with {water} of cold water{'' if one.fits else too_much}."
    )
    return said + _doses(one, "What heat has killed must go in again:", system) + _held(one)


def _dose(report: TubAnswer, one: Mend, system: UnitSystem) -> str:
    if report.stage == "mash":
        return _doses(one, "Dose again from a fresh bottle:", system).strip() + _held(one)
    frees = f" It would bring about {_pure(one.lpa, system)} more, over days." if one.lpa else ""
    return _doses(one, "Into the wash, as warm as its label allows the yeast:", system).strip() + frees


def _sour(report: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.ph is not None
    stuff, each = ("chalk (it foams)", "gram") if one.too_sour else ("food-grade acid", "millilitre")
    jar = "quart" if system == "us" else "litre"
    said = (
        f"Bring it {'up' if one.too_sour else 'down'} between pH {one.ph[0]:.1f} and {one.ph[1]:.1f}: try "
        f"{stuff} on one measured {jar}, note how far each {each} moves it, and scale that up, half of it "
        "first: tub acid works it out."
    )
    end = _held(one) if report.stage == "mash" else f" Then {_dry(one)}."
    return said + _doses(one, "Dose again:", system) + end


def _boil_again(_: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.to_c is not None
    lost = f" As it is, about {_pure(one.lpa, system)} stay in the grain." if one.lpa else ""
    hot = show.temperature(one.to_c, system)
    said = f"Cook it through: pot by pot to {hot} once more, then cool and dose again."
    return said + _doses(one, "Doses:", system) + lost


def _add_sugar(_: TubAnswer, one: Mend, system: UnitSystem) -> str:
    if not one.sugar_kg or one.lpa is None or one.sugar_kg < 0.5:
        return "Little is missing: the batch can go on as it is."
    return (
        f"About {_pure(one.lpa, system)} are missing; {show.mass(one.sugar_kg, system)} of cane "
        "sugar, dissolved before pitching, would make them good where the law and the label allow it."
    )


def _read_again(_: TubAnswer, __: Mend, ___: UnitSystem) -> str:
    return "Nothing to mend in the tub: cool a strained sample, read it again, and trust that."


def _wait(_: TubAnswer, one: Mend, __: UnitSystem) -> str:
    if one.dry_h is None:
        return (
            "Left alone it may not be dry within three weeks: go by its gravity, and distil it once that "
            "stands still."
        )
    return f"Leave it: {_dry(one)}."


def _warm_wash(_: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.to_c is not None
    kwh = f" ({show.energy_kwh(one.heat_kwh)} to put in)" if one.heat_kwh and one.heat_kwh > 0.05 else ""
    return f"Warm it to {show.temperature(one.to_c, system)}{kwh} and keep it there; {_dry(one)}."


def _pitch(_: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.to_c is not None
    assert one.yeast_g is not None
    return (
        f"Bring it to {show.temperature(one.to_c, system)} and pitch again: "
        f"{show.mass(one.yeast_g / 1000.0, system)} of fresh dry yeast, woken in ten times its weight of "
        f"water at {show.temperature(37.0, system)} for 20 minutes; {_dry(one)}."
    )


def _feed(_: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.food_g is not None
    food = show.mass(one.food_g / 1000.0, system)
    return f"Feed it: {food} of diammonium phosphate, in two halves some hours apart; {_dry(one)}."


def _thin(report: TubAnswer, one: Mend, system: UnitSystem) -> str:
    assert one.water_l is not None
    room = "" if one.water_l <= report.tub_spare_l else ", more than the tub has room for: into a second one"
    water = show.volume(one.water_l, system)
    return f"Stir in {water} of water{room}, so that the yeast can stand it; {_dry(one)}."


def _strip_now(_: TubAnswer, one: Mend, system: UnitSystem) -> str:
    kept = f": {_pure(one.lpa, system)} are in it" if one.lpa else ""
    return f"Take it to the still as soon as you can{kept}, and waiting alone adds hardly any."


def _close(_: TubAnswer, one: Mend, __: UnitSystem) -> str:
    return f"Seat lid and airlock anew; the gravity tells, not the bubbles. Otherwise {_dry(one)}."


def _dry(one: Mend) -> str:
    if one.dry_h is None:
        return "even so it may not be dry within three weeks"
    if one.dry_h < 1.0:
        return "it is about dry"
    return f"it should be dry in about {show.duration(round(one.dry_h / 6.0) * 6.0 or 6.0)}"


def _other_thermometer(_: TubAnswer, __: Mend, ___: UnitSystem) -> str:
    return "Nothing to mend in the tub: go by the second thermometer, and set this one right in melting ice."


def _other_meter(_: TubAnswer, __: Mend, ___: UnitSystem) -> str:
    return "Nothing to mend in the tub: set the meter anew in its buffers, or go by the strip."


_WAYS: dict[str, Callable[[TubAnswer, Mend, UnitSystem], str]] = {
    "hold": _hold,
    "warm": _warm,
    "cool": _cool,
    "dose": _dose,
    "sour": _sour,
    "boil again": _boil_again,
    "add sugar": _add_sugar,
    "read again": _read_again,
    "wait": _wait,
    "warm wash": _warm_wash,
    "pitch": _pitch,
    "feed": _feed,
    "thin": _thin,
    "strip now": _strip_now,
    "close": _close,
    "other thermometer": _other_thermometer,
    "other meter": _other_meter,
}


def _amount(value: float, unit: str, system: UnitSystem) -> str:
    """A dose as a person measures it; it is kept in mL or g."""
    if system == "us":
        return (show.measure_out if unit == "mL" else show.weigh_out)(value / 1000.0, system)
    return f"{value:.0f} {unit}" if value >= 10.0 else f"{value:.2g} {unit}"


def _pure(lpa: float, system: UnitSystem) -> str:
    """Pure alcohol in litres, or in proof gallons, which a US maker counts it by."""
    if system == "us":
        return f"{2.0 * convert.us_gallons_from_litres(lpa):.1f} proof gallons"
    return f"{lpa:.1f} L of pure alcohol"


def _listed(parts: Iterable[str]) -> str:
    every = list(parts)
    return every[0] if len(every) == 1 else f"{', '.join(every[:-1])} and {every[-1]}"
