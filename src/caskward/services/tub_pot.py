"""One pot: how much grain fills a part of it, the water that asks for, whether it fits hot, its heat."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import Material, PotKind
from caskward.catalogue.load import load
from caskward.errors import MissingValue, MoreThanThePot, OutOfRange
from caskward.planning.doubts import PRACTICE
from caskward.planning.plan import Band, band
from caskward.planning.unknowns import Draw, Scale, Unknown, draw
from caskward.properties import water
from caskward.services.gauging_systems import system_for
from caskward.services.tub_pot_typed import (
    EXAMPLE,
    ROOM_C,
    Filled,
    PotAsk,
    cook_temperature_c,
    filled_of,
    hold_h,
    kind_of,
    per_kg,
    temperature_c,
    water_litres,
    water_temperature_c,
)
from caskward.stages.grist import Analysis, weighed
from caskward.stages.pots import Cook, Portion, Pot, PotRecord, cook_pot
from caskward.stages.stirring import grain_that_fills, stirred_in
from caskward.stages.stream import Stream, Worlds
from caskward.units import parse, show

WORLDS: Final = 1024
_STEAM_PER_H: Final = (0.005, 0.012, 0.03)
"""Share of the water that leaves an open pot as steam each hour; *common practice, no source*."""
_FITS_IN: Final = 0.9


@dataclass(frozen=True)
class PotHeat:
    """What the heat does to it: hours, what boils off [L], heat paid for, the share of the starch swollen."""

    kind: str
    power_kw: float
    warming_h: Band
    heat_up_h: Band
    hold_h: float
    boil_off_l: Band
    energy_kwh: Band
    swollen_share: Band


@dataclass(frozen=True)
class PotAnswer:
    """One pot filled: grain, water, room and heat.

    working_l: what it may hold hot, foam and paddle allowed for. fits: chance that it stays within that.
    most_share: the largest part of the pot, filled with dry grain, that fits 9 times in 10; 0 where the
    water alone is too much. strike_c: what the stirred mash was asked to come to.
    """

    material: str
    pot_l: float
    by_weight: bool
    share: Band
    grain_kg: Band
    water_l: float
    water_l_per_kg: float
    usual_water: bool
    water_c: float
    strike_c: float | None
    comes_at_c: float | None
    stirred_c: Band
    room_c: float
    cook_c: float
    hot_l: Band
    working_l: float
    fits: float
    most_share: float
    most_kg: float
    heat: PotHeat | None
    taken: tuple[str, ...]
    cautions: tuple[str, ...]


def fill(ask: PotAsk) -> PotAnswer:
    """Fill a pot as asked.

    Raises:
        InputError: words that are not understood, a material that is not cooked, figures no pot has, a pot
            whose heat does not reach the cook.
    """
    if not ask.words.strip():
        raise MissingValue("tub pot", "how full the pot is and with what", EXAMPLE)
    filled = filled_of(ask.words)
    material, kind = filled.material, kind_of(ask)
    room_c = temperature_c(ask.room, "the room", ROOM_C, -20.0)
    worlds = draw(_doubts(material, kind, filled.pot_l), WORLDS, 1)
    kg, share = _grain(filled, worlds, ask.words)
    grain = weighed(1.0, _analysis(worlds, material), room_c).scaled(kg)
    likely_kg = float(np.median(kg))
    water_l, usual = water_litres(ask.water, material, likely_kg)
    water_c, strike_c = water_temperature_c(ask, water_l, grain)
    mash = stirred_in(_water(water_l, water_c), (grain,))
    cook_c = cook_temperature_c(ask.cook, material, float(np.median(mash.temp_c)))
    working_l = filled.pot_l * kind.fill_share.likely
    hot_l = mash.volume_at(cook_c)
    water_hot_l = float(_water(water_l, water_c).volume_at(cook_c))
    most = _most(working_l, hot_l, 0.0 if usual or per_kg(ask.water) else water_hot_l)
    record = _cooked(ask, material, (grain, water_l, water_c), (working_l, cook_c, room_c), worlds)
    return PotAnswer(
        material=material.plural,
        pot_l=filled.pot_l,
        by_weight=filled.kg is not None,
        share=band(share),
        grain_kg=band(kg),
        water_l=water_l,
        water_l_per_kg=water_l / likely_kg,
        usual_water=usual,
        water_c=water_c,
        strike_c=strike_c,
        comes_at_c=parse.temperature_c(ask.comes_at) if ask.comes_at else None,
        stirred_c=band(mash.temp_c),
        room_c=room_c,
        cook_c=cook_c,
        hot_l=band(hot_l),
        working_l=working_l,
        fits=float(np.mean(hot_l <= working_l)),
        most_share=float(np.median(share)) * most,
        most_kg=likely_kg * most,
        heat=None if record is None else _heat(record, ask, kind),
        taken=_taken(ask),
        cautions=_cautions(ask, material, kind),
    )


def _doubts(material: Material, kind: PotKind, pot_l: float) -> tuple[Unknown, ...]:
    """What is not known of a grain and a pot; the same names as in a plan, so the same draws."""
    parts = ("moisture", "starch_dry", "sugars_dry", "dextrin_dry", "unfermentable_dry")
    low, likely, high = _STEAM_PER_H
    return (
        *(_of(f"{material.key}.{part}", "share", getattr(material, part)) for part in parts),
        _of(f"{material.key}.bulk", "positive", material.bulk_density_kg_l),
        _of("cook.efficiency", "share", kind.efficiency),
        _of("your.pot_w_k", "positive", kind.heat_loss_w_k(pot_l * kind.fill_share.likely)),
        Unknown("cook.evaporated_share_per_h", "steam", "method", "share", low, likely, high, PRACTICE),
    )


def _of(name: str, scale: Scale, fact: Fact) -> Unknown:
    return Unknown(name, name, "material", scale, fact.low, fact.likely, fact.high, fact.source)


def _analysis(worlds: Draw, material: Material) -> Analysis:
    key, sucrose = material.key, np.full(worlds.count, material.sucrose_share.likely)
    return Analysis(
        worlds[f"{key}.moisture"],
        worlds[f"{key}.starch_dry"],
        worlds[f"{key}.sugars_dry"],
        sucrose,
        worlds[f"{key}.dextrin_dry"],
        worlds[f"{key}.unfermentable_dry"],
    )


def _grain(filled: Filled, worlds: Draw, typed: str) -> tuple[Worlds, Worlds]:
    """Kilograms, and the part of the pot they fill dry; one is given, the other follows."""
    per_pot_kg = grain_that_fills(1.0, filled.pot_l, worlds[f"{filled.material.key}.bulk"])
    if filled.kg is not None:
        most_kg = float(np.quantile(per_pot_kg, 1.0 - _FITS_IN))
        if filled.kg > most_kg:
            system = system_for("", (typed,))
            kg, most = (show.mass(value, system) for value in (filled.kg, most_kg))
            raise MoreThanThePot(filled.material.plural, kg, show.volume(filled.pot_l, system), most)
        return np.full(worlds.count, filled.kg), filled.kg / per_pot_kg
    share = filled.share or 0.0
    return share * per_pot_kg, np.full(worlds.count, share)


def _water(litres: float, temp_c: float) -> Stream:
    return Stream.of(temp_c=temp_c, water_kg=litres * water.density(20.0) / 1000.0)


def _most(working_l: float, hot_l: Worlds, water_hot_l: float) -> float:
    """How many times this grain fits 9 times in 10; its water with it, or with litres of water that stay."""
    times = (working_l - water_hot_l) / np.maximum(hot_l - water_hot_l, 1e-9)
    return max(float(np.quantile(times, 1.0 - _FITS_IN)), 0.0)


def _cooked(
    ask: PotAsk,
    material: Material,
    portion: tuple[Stream, float, float],
    settings: tuple[float, float, float],
    worlds: Draw,
) -> PotRecord | None:
    """The pot on its heat; None where no power was said."""
    if not ask.power:
        return None
    power_kw = parse.power_kw(ask.power, what="the pot's power")
    if not 0.3 <= power_kw <= 2000.0:
        raise OutOfRange("The pot's power", power_kw, "kW", 0.3, 2000.0)
    grain, water_l, water_c = portion
    working_l, cook_c, room_c = settings
    fact = material.gelatinisation_c
    low, high = (-1.0, 0.0) if fact is None else (fact.low, fact.high)
    from_c = temperature_c(ask.comes_at, "the water that is warmed", 0.0) if ask.comes_at else None
    _, record = cook_pot(
        Portion((grain,), water_l, water_c, from_c),
        Pot(working_l, power_kw, worlds["cook.efficiency"], worlds["your.pot_w_k"]),
        Cook(
            cook_c,
            hold_h(ask.hold, material),
            room_c,
            np.array([low]),
            np.array([high]),
            worlds["cook.evaporated_share_per_h"],
        ),
    )
    return record


def _heat(record: PotRecord, ask: PotAsk, kind: PotKind) -> PotHeat:
    return PotHeat(
        kind=kind.name,
        power_kw=parse.power_kw(ask.power),
        warming_h=band(record.warming_h),
        heat_up_h=band(record.heat_up_h),
        hold_h=record.hold_h,
        boil_off_l=band(record.boil_off_kg * 1000.0 / water.density(20.0)),
        energy_kwh=band(record.energy_kwh),
        swollen_share=band(record.swollen_share),
    )


def _taken(ask: PotAsk) -> tuple[str, ...]:
    """Options that were not typed, for which something was taken."""
    missing = (
        ("--water-c", ask.water_c or ask.strike or ask.comes_at),
        ("--room", ask.room),
        ("--cook", ask.cook),
        ("--power", ask.power),
        ("--kind", ask.kind or not ask.power),
    )
    return tuple(name for name, given in missing if not given)


def _cautions(ask: PotAsk, material: Material, kind: PotKind) -> tuple[str, ...]:
    heated = kind.key if ask.power else ""
    own = (material.caution, kind.caution if ask.power else "")
    general = (c.text for c in load().cautions.at("cook", material.usual_style, heated))
    return tuple(dict.fromkeys(text for text in (*own, *general) if text))
