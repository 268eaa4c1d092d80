"""What the answer about a pot says in words, in the maker's own units."""

from __future__ import annotations

from typing import Final

from caskward.services.tub_pot import PotAnswer, PotHeat
from caskward.services.words import banded, figure
from caskward.units import convert, show
from caskward.units.types import UnitSystem

BAND: Final = "In brackets: the truth lies inside 8 times in 10."
_SURE, _HARDLY = 0.9, 0.1
"""Chance from which it fits, or does not."""


def headline(found: PotAnswer, system: UnitSystem) -> str:
    """How much grain, how much water, and whether it fits."""
    kg, name = banded(found.grain_kg, "kg", system), found.material
    pot, water = show.volume(found.pot_l, system), show.measure_out(found.water_l, system)
    if found.by_weight:
        what = f"{kg} of {name} fills {banded(found.share, 'share', system)} of {pot}"
    else:
        what = f"{figure(found.share.mid, 'share', system)} of {pot} is {kg} of {name}"
    hot, room = banded(found.hot_l, "L", system), show.volume(found.working_l, system)
    return f"{what}; with {water} of water it comes to {hot} hot. {_fits(found, room, system)}"


def _fits(found: PotAnswer, room: str, system: UnitSystem) -> str:
    leaves = f"the {room} that leave room for foam"
    if found.fits >= _SURE:
        return f"It fits {leaves}."
    says = "It does not fit" if found.fits <= _HARDLY else f"It fits in {show.in_ten(found.fits)} only"
    percent = int(100.0 * found.most_share)
    if percent < 1:
        return f"{says} {leaves}: the water alone is too much."
    return f"{says} {leaves}: fill at most {percent} %, {figure(found.most_kg, 'kg', system)}."


def lines(found: PotAnswer, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """Names and their figures, in the order of the work."""
    strike = "" if found.strike_c is None else f", for a mash of {figure(found.strike_c, 'C', system)}"
    water = show.measure_out(found.water_l, system)
    rows = [
        ("grain", banded(found.grain_kg, "kg", system)),
        ("fills, dry", f"{banded(found.share, 'share', system)} of {show.volume(found.pot_l, system)}"),
        ("water", f"{water} at {figure(found.water_c, 'C', system)}{strike}"),
        ("for each weight of grain", _ratio(found, system)),
        ("stirred in it comes to", banded(found.stirred_c, "C", system)),
        ("hot, at the cook", f"{banded(found.hot_l, 'L', system)} of {show.volume(found.working_l, system)}"),
        ("fits", show.in_ten(found.fits)),
    ]
    return (*rows, *(_heat(found, found.heat, system) if found.heat else ()))


def _ratio(found: PotAnswer, system: UnitSystem) -> str:
    if system == "us":
        quarts = 4.0 * convert.us_gallons_from_litres(found.water_l_per_kg)
        return f"{quarts / convert.pounds_from_kg(1.0):.2f} qt/lb"
    return f"{found.water_l_per_kg:.1f} L/kg"


def _heat(found: PotAnswer, heat: PotHeat, system: UnitSystem) -> list[tuple[str, str]]:
    warming: tuple[tuple[str, str], ...] = ()
    if heat.warming_h.high > 0.0:
        warming = (("warming the water takes", banded(heat.warming_h, "h", system)),)
    cook = f"{figure(found.cook_c, 'C', system)}, {show.duration(heat.hold_h)}"
    return [
        ("heat", f"{figure(heat.power_kw, 'kW', system)}, {heat.kind[:1].lower()}{heat.kind[1:]}"),
        *warming,
        ("heat to, and hold", cook),
        ("heating takes", banded(heat.heat_up_h, "h", system)),
        ("boils off in the hold", banded(heat.boil_off_l, "L", system)),
        ("starch swollen", banded(heat.swollen_share, "share", system)),
        ("heat paid for", banded(heat.energy_kwh, "kWh", system)),
    ]


def cautions(found: PotAnswer, system: UnitSystem) -> list[str]:
    """What to mind, in the maker's own degrees."""
    return [show.temperatures_in(one, system) for one in found.cautions]


def taken(found: PotAnswer, system: UnitSystem) -> tuple[str, ...]:
    """What was taken for granted, with the option that says otherwise."""
    said = {
        "--water-c": f"water at {figure(found.water_c, 'C', system)}",
        "--room": f"grain and room at {figure(found.room_c, 'C', system)}",
        "--cook": f"heated to {figure(found.cook_c, 'C', system)}",
        "--kind": "a gas ring",
    }
    named = [f"{words} ({option})" for option, words in said.items() if option in found.taken]
    sentences = [f"Taken for granted: {', '.join(named)}."] if named else []
    if found.usual_water:
        sentences.append(f"The water is what the catalogue gives {found.material} (--water).")
    if found.heat is None:
        sentences.append("How long it heats, what boils off and what swells: say --power.")
    return (*sentences, BAND)
