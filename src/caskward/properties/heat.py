"""Warming, mixing, boiling and cooling: heat capacities, latent heats and what follows from them.

Pressure and dissolved gas are left out; heat of mixing of alcohol and water (at most a few kJ/kg) too.
Masses in kg, heat in kJ unless a name says kWh, temperatures in °C.
"""

from __future__ import annotations

from typing import Final

import numpy as np

from caskward.properties import vle
from caskward.properties._arrays import Result, Values, all_scalars, as_arrays, check_range, polynomial

CP_WATER_KJ_KG_K: Final = 4.18
CP_GRAIN_DRY_KJ_KG_K: Final = 1.59
CP_SOLUBLES_KJ_KG_K: Final = 1.8
"""What a kilogram of dissolved sugar adds to a solution's heat capacity, 20 °C; 2.1 at 60 °C [kJ/kg/K]."""
SLAKING_HEAT_KJ_KG: Final = 19.3
"""Heat that malt of 4 % moisture gives off when wetted [kJ/kg as weighed]: 1.5 K at the table's 2.68 L/kg."""
GELATINISATION_KJ_KG: Final = 12.0
"""Heat that starch takes up when it gelatinises [kJ/kg of starch], 10 to 15."""
LATENT_ETHANOL_KJ_MOL: Final = 39.1
LATENT_WATER_KJ_MOL: Final = 40.65
LATENT_WATER_KJ_KG: Final = 2256.5
MELTING_ICE_KJ_KG: Final = 334.0
"""Heat that ice takes up as it melts [kJ/kg]; from memory, every physics text."""
CP_ICE_KJ_KG_K: Final = 2.1
_CARRIER_STILL, _CARRIER_PER_M_S = 0.089, 0.0782
# Specific heat of ethanol-water in powers of the mass fraction [kJ/kg/K] at 20 °C.
_CP_MIX: Final = (4.18, 1.7813, -6.4302, 2.9089)
_PARTS: Final = ("water", "ethanol", "solubles", "insolubles")
_MALT_MOISTURE_FRAC: Final = (0.0, 0.01, 0.02, 0.03, 0.04, 0.06, 0.08, 0.12, 0.16)
_MALT_RISE_K: Final = (3.0, 2.8, 2.3, 1.9, 1.5, 1.3, 1.0, 0.4, 0.0)


def cp_ethanol_water(mass_fraction: Values) -> Result:
    """Specific heat of ethanol-water at 20 °C [kJ/kg/K].

    A cubic in the mass fraction, 4.18 for water and 2.44 for ethanol; it peaks near 15 % by mass.

    mass_fraction: [-], 0 to 1. Outside: raises `OutOfRange`. Within 0.03 of its rows; hotter, 2-4 % more.
    Source: melinder-ethanol (seven rows, fitted, and pure ethanol 2.44 from memory).
    """
    check_range("mass fraction of ethanol", mass_fraction, "", 0.0, 1.0)
    return polynomial(_CP_MIX, mass_fraction if all_scalars(mass_fraction) else as_arrays(mass_fraction)[0])


def cp_grain(moisture_frac: Values) -> Result:
    """Specific heat of grain or malt as weighed [kJ/kg/K]: 1.59 (1 - M) + 4.18 M.

    moisture_frac: kg of water per kg of grain [-], 0 to 1. Outside: raises `OutOfRange`.
    Source: pauls-whites-1984, table of malt specific heat (dry malt 0.38 cal/g/K).
    """
    check_range("moisture", moisture_frac, "", 0.0, 1.0, "Give it as a fraction: 12 % is 0.12.")
    return CP_GRAIN_DRY_KJ_KG_K + (CP_WATER_KJ_KG_K - CP_GRAIN_DRY_KJ_KG_K) * moisture_frac


def mash_heat_capacity_kj_k(
    water_kg: Values, ethanol_kg: Values, solubles_kg: Values, insolubles_kg: Values
) -> Result:
    """Heat that warms a mash or wash by one kelvin [kJ/K].

    C = (w + e) cp(e/(w+e)) + 1.8 s + 1.59 i; the water is all water, grain moisture included.

    All masses [kg], 0 or more. Outside: raises `OutOfRange`. Within 2 % from 20 to 80 °C.
    Source: melinder-ethanol, bubnik-1995 (dissolved sugar), pauls-whites-1984 (grain).
    """
    for name, mass_kg in zip(_PARTS, (water_kg, ethanol_kg, solubles_kg, insolubles_kg), strict=True):
        check_range(name, mass_kg, "kg", 0.0, np.inf)
    liquid_kg = water_kg + ethanol_kg
    if all_scalars(liquid_kg):
        share: Values = ethanol_kg / liquid_kg if liquid_kg > 0.0 else 0.0
    else:
        share = ethanol_kg / np.where(liquid_kg > 0.0, liquid_kg, 1.0)
    solids = CP_SOLUBLES_KJ_KG_K * solubles_kg + CP_GRAIN_DRY_KJ_KG_K * insolubles_kg
    return liquid_kg * polynomial(_CP_MIX, share) + solids


def slaking_heat_kj(grain_kg: Values, moisture_frac: Values = 0.04) -> Result:
    """Heat that dry grain gives off when it is wetted [kJ].

    19.3 kJ/kg at 4 % moisture, in proportion to the tabled rise of a mash: 3.0 K at 0 % moisture, 2.3 at
    2 %, 1.0 at 8 % and so on; 0.4 K at 12 % and none at 16 % (both extrapolated).

    grain_kg: as weighed [kg], 0 or more. moisture_frac: [-], 0 to 1. Outside: raises `OutOfRange`.
    Source: pauls-whites-1984.
    """
    check_range("grain", grain_kg, "kg", 0.0, np.inf)
    check_range("moisture", moisture_frac, "", 0.0, 1.0, "Give it as a fraction: 12 % is 0.12.")
    per_kg = SLAKING_HEAT_KJ_KG / 1.5 * np.interp(moisture_frac, _MALT_MOISTURE_FRAC, _MALT_RISE_K)
    return float(per_kg) * grain_kg if all_scalars(moisture_frac) else per_kg * grain_kg


def gelatinisation_heat_kj(starch_kg: Values) -> Result:
    """Heat that starch takes up as it gelatinises [kJ]: 12 kJ/kg, between 10 and 15.

    starch_kg: dry starch [kg], 0 or more. Outside: raises `OutOfRange`. Source: rice-starch-dsc.
    """
    check_range("starch", starch_kg, "kg", 0.0, np.inf)
    return GELATINISATION_KJ_KG * starch_kg


def mix_temperature_c(
    first_kj_k: Values, first_c: Values, second_kj_k: Values, second_c: Values, released_kj: Values = 0.0
) -> Result:
    """Temperature of two things mixed [°C]: (C1 T1 + C2 T2 + Q) / (C1 + C2).

    first_kj_k, second_kj_k: heat capacities [kJ/K], 0 or more, not both 0. first_c, second_c: [°C].
    released_kj: heat set free in mixing [kJ]: slaking positive, gelatinisation negative.
    Outside: raises `OutOfRange`. Source: conservation of heat; losses to the tub are not in it.
    """
    check_range("heat capacity", first_kj_k, "kJ/K", 0.0, np.inf)
    check_range("heat capacity", second_kj_k, "kJ/K", 0.0, np.inf)
    total = first_kj_k + second_kj_k
    check_range("heat capacity of both", total, "kJ/K", 1e-9, np.inf, "There is nothing to mix.")
    return (first_kj_k * first_c + second_kj_k * second_c + released_kj) / total


def needed_temperature_c(
    target_c: Values, first_kj_k: Values, second_kj_k: Values, second_c: Values, released_kj: Values = 0.0
) -> Result:
    """Temperature the first must have so that the mixture meets the target [°C]: strike water.

    T1 = (T (C1 + C2) - Q - C2 T2) / C1. Arguments as `mix_temperature_c`; first_kj_k above 0.
    The answer may be over the boiling point: then the mixture cannot be met in one step.
    """
    check_range("heat capacity", first_kj_k, "kJ/K", 1e-9, np.inf)
    check_range("heat capacity", second_kj_k, "kJ/K", 0.0, np.inf)
    return (target_c * (first_kj_k + second_kj_k) - released_kj - second_kj_k * second_c) / first_kj_k


def tub_temperature_c(
    start_c: Values, ambient_c: Values, ua_w_k: Values, capacity_kj_k: Values, hours: Values
) -> Result:
    """Temperature of a standing tub after some hours [°C]: Ta + (T0 - Ta) exp(-UA t / C).

    start_c, ambient_c: [°C]. ua_w_k: heat lost per kelvin [W/K], 0 or more (insulated 100-200 L tub with
    its lid 1.5-2.2, bare steel about 20). capacity_kj_k: [kJ/K], above 0. hours: [h], 0 or more.
    Outside: raises `OutOfRange`. With the lid off evaporation adds about 2 kW/m² at 65 °C.
    Source: Newton's law of cooling; UA common-practice, better learned with `tub_ua_w_k`.
    """
    check_range("heat loss", ua_w_k, "W/K", 0.0, np.inf)
    check_range("heat capacity", capacity_kj_k, "kJ/K", 1e-9, np.inf)
    check_range("time", hours, "h", 0.0, np.inf)
    kept = np.exp(-3.6 * ua_w_k * hours / capacity_kj_k)
    result = ambient_c + (start_c - ambient_c) * kept
    return float(result) if all_scalars(result) else result


def tub_ua_w_k(
    start_c: Values, end_c: Values, ambient_c: Values, capacity_kj_k: Values, hours: Values
) -> Result:
    """Heat a tub loses per kelvin [W/K], from two of its temperatures: the inverse of `tub_temperature_c`.

    UA = C ln((T0 - Ta)/(T1 - Ta)) / t. Both temperatures above (or both below) ambient, hours above 0.
    Outside: raises `OutOfRange`.
    """
    check_range("time", hours, "h", 1e-6, np.inf)
    ratio = (np.asarray(start_c) - ambient_c) / (np.asarray(end_c) - ambient_c)
    check_range(
        "fall of temperature, start to end", ratio, "", 1e-9, np.inf, "Both must be warmer than the room."
    )
    result = np.log(ratio) * capacity_kj_k / (3.6 * hours)
    return float(result) if all_scalars(start_c, end_c, ambient_c, capacity_kj_k, hours) else result


def open_surface_kw_m2(
    temp_c: Values, room_c: Values, humidity_frac: Values = 0.6, air_m_s: Values = 0.0
) -> Result:
    """Heat that leaves an open surface of water as steam [kW/m²]: (pw - pa)(0.089 + 0.0782 v).

    pw: vapour pressure at the water's temperature, pa: humidity times that at the room's [kPa].

    temp_c, room_c: [°C], 0 to 105. humidity_frac: [-], 0 to 1. air_m_s: speed of the air [m/s], 0 to 5.
    Outside: raises `OutOfRange`; air moister than the surface gives none. Alcohol, foam and husks are left
    out; 1.5-2.6 kW/m² at 65 °C. Source: carrier-1918, antoine-dechema.
    """
    check_range("temperature", temp_c, "°C", 0.0, 105.0)
    check_range("temperature of the room", room_c, "°C", 0.0, 105.0)
    check_range("humidity", humidity_frac, "", 0.0, 1.0, "Give it as a fraction: 60 % is 0.6.")
    check_range("speed of the air", air_m_s, "m/s", 0.0, 5.0)
    excess_kpa = vle._water_kpa(temp_c) - humidity_frac * vle._water_kpa(room_c)
    result = np.maximum(excess_kpa, 0.0) * (_CARRIER_STILL + _CARRIER_PER_M_S * air_m_s)
    return float(result) if all_scalars(temp_c, room_c, humidity_frac, air_m_s) else result


def latent_water_kj_kg(temp_c: Values) -> Result:
    """Heat that a kilogram of water takes away as steam [kJ/kg]: 2501 - 2.38 t - 0.0007 t².

    temp_c: [°C], 0 to 105. Within 0.2 % of the steam tables. Outside: raises `OutOfRange`.
    Source: iapws-95 (a parabola through 0, 50 and 100 °C, from memory).
    """
    check_range("temperature", temp_c, "°C", 0.0, 105.0)
    return 2501.0 - 2.38 * temp_c - 0.0007 * temp_c * temp_c


def heating_kwh(capacity_kj_k: Values, rise_k: Values) -> Result:
    """Heat to warm something [kWh]: C rise / 3600, before losses."""
    return capacity_kj_k * rise_k / 3600.0


def boiling_kwh(ethanol_kg: Values, water_kg: Values, reflux_frac: Values = 0.0) -> Result:
    """Heat to boil over this much ethanol and water [kWh].

    (39.1 n_ethanol + 40.65 n_water) kJ / (1 - f) / 3600.

    ethanol_kg, water_kg: in the distillate [kg], 0 or more.
    reflux_frac: share of what boils that runs back into the pot [-], 0 to 0.95. Outside: raises `OutOfRange`.
    Source: vap-heats (latent heats at the boiling points; 4 % apart, so nearly equimolar).
    """
    check_range("ethanol", ethanol_kg, "kg", 0.0, np.inf)
    check_range("water", water_kg, "kg", 0.0, np.inf)
    check_range("reflux", reflux_frac, "", 0.0, 0.95)
    ethanol_kj = 1000.0 * LATENT_ETHANOL_KJ_MOL / vle.ETHANOL_KG_KMOL * ethanol_kg
    water_kj = 1000.0 * LATENT_WATER_KJ_MOL / vle.WATER_KG_KMOL * water_kg
    return (ethanol_kj + water_kj) / ((1.0 - reflux_frac) * 3600.0)


def evaporation_kg_h(kw: Values) -> Result:
    """Water that a net power boils away [kg/h]: 1.6 kg/h per kW.

    m = 3600 P / 2256.5. kw: into the liquid, after losses [kW], 0 or more. Source: iapws-95.
    """
    check_range("power", kw, "kW", 0.0, np.inf)
    return kw * (3600.0 / LATENT_WATER_KJ_KG)


def cooling_water_l(kwh: Values, rise_k: Values) -> Result:
    """Cooling water that carries off this heat [L]: about 860 kWh / rise.

    V = 3600 Q / (4.18 rise), 1 L taken as 1 kg.

    kwh: heat to carry off [kWh], 0 or more. rise_k: warming of the water [K], above 0.
    Outside: raises `OutOfRange`.
    """
    check_range("heat", kwh, "kWh", 0.0, np.inf)
    check_range("warming of the cooling water", rise_k, "K", 1e-3, 100.0)
    return 3600.0 * kwh / (CP_WATER_KJ_KG_K * rise_k)


def boiling_point_water_c(kpa: Values) -> Result:
    """Boiling point of water [°C] at a pressure.

    t = 1730.63 / (8.07131 - log10 p[mmHg]) - 233.426.

    kpa: [kPa], 30 to 110. Outside: raises `OutOfRange`. Within 0.05 K above 80 kPa, 0.1 K below.
    Source: antoine-dechema.
    """
    return vle.bubble_point(0.0 if all_scalars(kpa) else np.zeros_like(as_arrays(kpa)[0]), kpa).celsius
