"""The first part of a forecast: from sacks through pot and rest to the tub before yeast."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.planning.intent import BillItem, Intent
from caskward.planning.method import Method, water_ratio
from caskward.planning.unknowns import Draw
from caskward.properties import alcohol, heat
from caskward.stages.balance import Loss
from caskward.stages.convert import ConvertRecord, ConvertUnknowns, convert
from caskward.stages.cook import CookRecord, CookSettings, CookUnknowns, cook, gelatinised_share
from caskward.stages.grist import Analysis, weighed
from caskward.stages.stream import Stream, Worlds, mixed


@dataclass(frozen=True)
class Mash:
    """The batch as far as the tub, before yeast: what was cooked, converted and added."""

    materials: dict[str, Stream]
    cook: CookRecord | None
    convert: ConvertRecord
    stirred_c: Worlds
    warmed_water_kwh: float
    tub: Stream
    losses: tuple[Loss, ...]

    @property
    def potential_ethanol_kg(self) -> Worlds:
        """Ethanol that the materials could give by full use [kg]."""
        return np.asarray(sum(s.potential_ethanol_kg for s in self.materials.values()))


def forecast_mash(intent: Intent, method: Method, worlds: Draw) -> Mash:
    """The first part of the forecast, from sacks to the tub before yeast."""
    streams = {i.material.key: _weighed(i, method, worlds, intent.site.room_c) for i in intent.bill}
    groups: dict[str, list[Stream]] = {"cook": [], "mash": [], "dissolve": [], "crush": []}
    for item in intent.bill:
        groups[item.material.prepare].append(streams[item.material.key])
        groups[item.material.prepare].append(_water(item, intent, method, worlds))
    losses: list[Loss] = []
    cook_record = None
    grain = groups["mash"]
    if groups["cook"]:
        cooked, cook_record = _cook(intent, method, worlds, mixed(*groups["cook"]))
        losses.extend(cook_record.losses)
        grain = [cooked, *grain]
    mash = mixed(*grain) if grain else _nothing(worlds)
    converted, convert_record = convert(
        mash, _gelatinised(intent, method, streams), _convert_unknowns(worlds)
    )
    losses.extend(convert_record.losses)
    additions = [*groups["dissolve"], *groups["crush"]]
    tub = mixed(converted, *additions) if additions else converted
    return Mash(
        materials=streams,
        cook=cook_record,
        convert=convert_record,
        stirred_c=mash.temp_c,
        warmed_water_kwh=_warmed_water_kwh(intent, method),
        tub=tub,
        losses=tuple(losses),
    )


def _warmed_water_kwh(intent: Intent, method: Method) -> float:
    """Heat in water that is warmed before it goes to malt or sugar [kWh], before the burner's losses."""
    rises_k = {
        "mash": method.mash_water_c - intent.site.water_c,
        "dissolve": method.addition_water_c - intent.site.water_c,
        "crush": method.addition_water_c - intent.site.water_c,
    }
    litres = ((i, method.bill_kg[i.material.key] * water_ratio(intent, i.material)) for i in intent.bill)
    return sum(
        float(
            heat.heating_kwh(heat.CP_WATER_KJ_KG_K * volume_l * 0.9982, rises_k.get(i.material.prepare, 0.0))
        )
        for i, volume_l in litres
    )


def _nothing(worlds: Draw) -> Stream:
    return Stream.of(water_kg=np.zeros(worlds.count))


def _weighed(item: BillItem, method: Method, worlds: Draw, room_c: float) -> Stream:
    key = item.material.key
    analysis = Analysis(
        moisture=worlds[f"{key}.moisture"],
        starch_dry=worlds[f"{key}.starch_dry"],
        sugars_dry=worlds[f"{key}.sugars_dry"],
        sucrose_share=np.full(worlds.count, item.material.sucrose_share.likely),
        dextrin_dry=worlds[f"{key}.dextrin_dry"],
        unfermentable_dry=worlds[f"{key}.unfermentable_dry"],
    )
    whole = weighed(method.bill_kg[key], analysis, room_c)
    if item.material.prepare != "dissolve":
        return whole
    # What a sugar or syrup holds beside sugar is dissolved or floats as haze: no solids to strain.
    return whole.with_masses(
        solubles_kg=whole.solubles_kg + whole.insolubles_kg, insolubles_kg=np.zeros(worlds.count)
    )


def _water(item: BillItem, intent: Intent, method: Method, worlds: Draw) -> Stream:
    litres = method.bill_kg[item.material.key] * water_ratio(intent, item.material)
    kg = litres * float(alcohol.density(0.0, 20.0)) / 1000.0
    temp_c = {
        "mash": method.mash_water_c,
        "dissolve": method.addition_water_c,
        "crush": method.addition_water_c,
    }
    return Stream.of(
        temp_c=temp_c.get(item.material.prepare, intent.site.water_c), water_kg=np.full(worlds.count, kg)
    )


def _cook(intent: Intent, method: Method, worlds: Draw, mash: Stream) -> tuple[Stream, CookRecord]:
    pot = intent.gear.cook_pot
    assert pot is not None, "checked when the intent was read"
    settings = CookSettings(method.cooks, pot.power_kw, method.cook_c, method.cook_hold_h)
    unknowns = CookUnknowns(worlds["cook.efficiency"], worlds["cook.evaporated_share_per_h"])
    return cook(mash, settings, unknowns)


def _gelatinised(intent: Intent, method: Method, streams: dict[str, Stream]) -> Worlds:
    """Share of all starch that has swollen, cooked or at the rest."""
    swollen_kg = starch_kg = np.asarray(0.0)
    for item in intent.bill:
        material = item.material
        of_item_kg = streams[material.key].starch_kg
        temp_c = method.cook_c if material.prepare == "cook" else method.rest_c
        share = np.asarray(1.0)
        if material.gelatinisation_c is not None:
            share = gelatinised_share(
                temp_c, np.asarray(material.gelatinisation_c.low), np.asarray(material.gelatinisation_c.high)
            )
        swollen_kg = swollen_kg + share * of_item_kg
        starch_kg = starch_kg + of_item_kg
    return np.where(starch_kg > 0, swollen_kg / np.where(starch_kg > 0, starch_kg, 1.0), 1.0)


def _convert_unknowns(worlds: Draw) -> ConvertUnknowns:
    return ConvertUnknowns(worlds["convert.conversion"], worlds["convert.fermentable_share"])
