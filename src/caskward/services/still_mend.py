"""What is wrong with a charge and what mends it, in the maker's units.

Water is rounded up and what may be charged is rounded down, so that a charge mended by the sentence is inside
its limits.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from caskward.planning.strengths import said
from caskward.services.still_gear import Gear
from caskward.services.still_own_units import limit_words
from caskward.stages.blend import blend
from caskward.stages.charges import ChargeFlags
from caskward.stages.stream import Stream
from caskward.units import convert, show
from caskward.units.types import UnitSystem

BOILING_C = 95.0
"""Temperature for the room that a boiling charge takes."""
_WATER_KG_L = 0.99820
_JUST = 1e-9


def reasons_of(
    charge: Stream, flags: ChargeFlags, gear: Gear, strongest: float, system: UnitSystem
) -> tuple[str, ...]:
    """Why a charge must not be lit as it stands, each with what mends it; empty for one in order."""
    dilute = bool(flags.too_strong or flags.under_minimum)
    reasons = _too_much(charge, gear, system, alone=not dilute)
    return (*reasons, *(_water(charge, flags, gear, strongest, system) if dilute else ()))


def rounded(volume_l: float, system: UnitSystem, way: Literal["up", "down"], digits: int = 3) -> float:
    """Litres [L] whose number in the maker's unit has so many digits, rounded one way."""
    per_unit_l = _unit_l(volume_l, system)
    value = volume_l / per_unit_l
    if value <= 0.0:
        return 0.0
    step = 10.0 ** (np.floor(np.log10(value)) - digits + 1)
    steps = np.ceil(value / step - 1e-6) if way == "up" else np.floor(value / step + 1e-6)
    return float(steps * step * per_unit_l)


def amount(volume_l: float, system: UnitSystem) -> str:
    """A volume with up to four digits and no more than it needs: `36.67 L`, `9.686 gal`, `12 fl oz`."""
    unit = show.volume(volume_l, system).partition(" ")[2]
    value = volume_l / _unit_l(volume_l, system)
    return f"{value:.4g} {unit}" if value < 999.95 else f"{value:.0f} {unit}"


def most_at_once_l(charge: Stream, gear: Gear) -> float:
    """Most of a liquid that the still takes at once [L at 20 °C], by its limit and by its swelling."""
    swells = float(charge.volume_at(BOILING_C) / charge.volume_l)
    rooms = (gear.limit_l, *(None if v is None else v / swells for v in (gear.working_l, gear.brimful_l)))
    return min((room for room in rooms if room is not None), default=np.inf)


def _unit_l(volume_l: float, system: UnitSystem) -> float:
    unit = show.volume(volume_l, system).partition(" ")[2]
    us_gallon_l = 1.0 / convert.us_gallons_from_litres(1.0)
    return {"L": 1.0, "mL": 0.001, "gal": us_gallon_l, "fl oz": us_gallon_l / 128.0}[unit]


def _too_much(charge: Stream, gear: Gear, system: UnitSystem, *, alone: bool) -> list[str]:
    volume_l, boiling_l = float(charge.volume_l), float(charge.volume_at(BOILING_C))
    found = []
    if gear.limit_l is not None and volume_l > gear.limit_l * (1.0 + _JUST):
        over = f"{amount(volume_l - gear.limit_l, system)} more than the charge limit of "
        found.append(f"it is {over}{amount(gear.limit_l, system)}")
    rooms = ((gear.working_l, "the working volume is"), (gear.brimful_l, "the pot is brimful at"))
    for room_l, words in rooms:
        if room_l is not None and boiling_l > room_l * (1.0 + _JUST):
            swells = f"it swells to {amount(boiling_l, system)} at the boil, and {words}"
            found.append(f"{swells} {amount(room_l, system)}")
    if found and alone:
        found[-1] += f": {_in_charges(volume_l, most_at_once_l(charge, gear), gear, system)}"
    return found


def _in_charges(volume_l: float, most_l: float, gear: Gear, system: UnitSystem) -> str:
    runs = int(np.ceil(volume_l / most_l - 1e-9))
    each_l = rounded(min(volume_l / runs, most_l), system, "down", 4)
    most = amount(rounded(most_l, system, "down", 4), system)
    if each_l < gear.least_l:
        return f"charge at most {most}, and keep the rest for the next"
    return f"charge at most {most}, as {runs} charges of {amount(each_l, system)}"


def _water(charge: Stream, flags: ChargeFlags, gear: Gear, strongest: float, system: UnitSystem) -> list[str]:
    """What water would mend: too strong, or too little over the element."""
    _, record = blend((charge,), strongest, gear.least_l)
    water_l = rounded(float(record.water_kg) / _WATER_KG_L, system, "up")
    out = charge.with_masses(water_kg=charge.water_kg + water_l * _WATER_KG_L)
    found = []
    if flags.too_strong:
        limit = limit_words(strongest, system)
        limit = f"the {limit} of your site's rule" if gear.site_rule else limit
        found.append(f"it is stronger than {limit}, and strong charges burn far worse")
    if flags.under_minimum:
        over = "element" if gear.element else "least that the pot takes"
        found.append(f"it does not reach the {amount(gear.least_l, system)} that cover the {over}")
    makes_l, most_l = float(out.volume_l), most_at_once_l(out, gear)
    if gear.least_l > most_l:
        most = amount(rounded(most_l, system, "down", 4), system)
        found[-1] += f", and this still takes {most} at the most: look at --least and --limit again"
        return found
    strength = said(float(out.strength_pct_vol), system)
    mend = f"add {amount(water_l, system)} of water, which makes {amount(makes_l, system)} at {strength}"
    if makes_l > most_l * (1.0 + _JUST):
        mend += f", more than the still takes at once: {_in_charges(makes_l, most_l, gear, system)}"
    found[-1] += f": {mend}"
    return found
