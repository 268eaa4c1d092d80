"""From an intent to a plan, or to a refusal that says what binds and what would help."""

from __future__ import annotations

import numpy as np

from caskward.catalogue.fact import Fact
from caskward.catalogue.load import Catalogue
from caskward.errors import FillOutOfReach
from caskward.planning.account import account
from caskward.planning.advice import Alternative, alternatives, broken
from caskward.planning.cards import stage_cards
from caskward.planning.doses import dose_amount, nutrient_grams, yeast_grams
from caskward.planning.intent import Intent
from caskward.planning.late import Sugar
from caskward.planning.limits import Limit, limits
from caskward.planning.plan import (
    Band,
    Effort,
    Plan,
    Refusal,
    ShoppingLine,
    SolvedChange,
    band,
)
from caskward.planning.sizing import Sized, size
from caskward.planning.still_cards import spirit_running_h
from caskward.planning.strengths import said
from caskward.planning.tub.timings import dry
from caskward.planning.tub_cards import MALT_REST_H
from caskward.properties import heat
from caskward.stages.stream import Worlds
from caskward.units import show

_KETTLE_EFFICIENCY = 0.9
"""Where no pot is named to warm water in; *common practice, no source*."""
COOLING_WATER_LEAVES_C = 50.0
"""Temperature at which cooling water runs off the condenser; *common practice, no source*."""


def make_plan(intent: Intent, catalogue: Catalogue) -> Plan | Refusal:
    """Size the batch; where it does not fit, look for changes that make it fit."""
    try:
        sized = size(intent)
    except FillOutOfReach as unreachable:
        return _refusal(intent, catalogue, str(unreachable), ())
    stopped_by = broken(sized)
    if stopped_by:
        return _refusal(intent, catalogue, reason_of(sized, stopped_by[0]), stopped_by)
    return plan_of(sized, catalogue)


def plan_of(sized: Sized, catalogue: Catalogue) -> Plan:
    """A sized batch, written down."""
    intent, method, course = sized.intent, sized.method, sized.course
    dries = dry(sized)
    names = {item.material.key: item.material.name for item in intent.bill}
    lines = shopping(sized)
    costs = [line.cost for line in lines if line.cost is not None]
    return Plan(
        name=intent.name,
        place=intent.place,
        invented=intent.invented,
        show=intent.show,
        currency=intent.prices.currency,
        confidence=intent.confidence,
        chance=sized.chance,
        wanted_l=method.fill_l,
        capacity_l=intent.cask.capacity_l,
        fill_l=band(course.available_l),
        entry_pct_vol=method.entry_pct_vol,
        settled_pct_vol=band(course.filled.cask_record.settled_pct_vol),
        total_kg=method.total_kg,
        bill_kg=tuple((names[key], kg) for key, kg in method.bill_kg.items()),
        water_l=method.water_l,
        shopping=lines,
        materials_cost=sum(costs) if costs else None,
        stages=stage_cards(sized, catalogue.cautions, dries),
        account=account(course, names),
        effort=effort(sized, dries.days),
        limits=limits(sized),
        law=tuple(c.text for c in catalogue.cautions.at("law")),
        worlds=intent.worlds,
        seed=intent.seed,
        learned="" if intent.learned is None else intent.learned.sentence,
    )


def shopping(sized: Sized) -> tuple[ShoppingLine, ...]:
    """Materials, enzymes and yeast, rounded to what a person can weigh."""
    intent = sized.intent
    lines = []
    for item in intent.bill:
        key, need_kg = item.material.key, sized.method.bill_kg[item.material.key]
        on_shelf_kg = min(intent.stock.materials_kg.get(key, 0.0), need_kg)
        buy_kg = show.round_to_weigh(max(need_kg - on_shelf_kg, 0.0), intent.show)
        price = intent.prices.per_kg.get(key)
        cost = buy_kg * price if price is not None else None
        lines.append(ShoppingLine(key, item.material.plural, "kg", need_kg, on_shelf_kg, buy_kg, cost))
    if sized.method.late.sugar is not None:
        lines.append(_late_sugar(sized, sized.method.late.sugar))
    for label in intent.enzymes:
        amount, unit = dose_amount(sized, label)
        need = show.nice_volume(amount / 1000.0) * 1000.0
        lines.append(ShoppingLine(f"enzyme/{label.name}", label.name, unit, need, 0.0, need, None))
    nutrient_g = nutrient_grams(sized)
    if nutrient_g > 0:
        need = show.round_to_weigh(nutrient_g / 1000.0) * 1000.0
        lines.append(
            ShoppingLine("nutrient", "diammonium phosphate, to feed the yeast", "g", need, 0.0, need, None)
        )
    grams = show.round_to_weigh(yeast_grams(sized) / 1000.0) * 1000.0
    lines.append(ShoppingLine(f"yeast/{intent.yeast.key}", intent.yeast.name, "g", grams, 0.0, grams, None))
    return tuple(lines)


def _late_sugar(sized: Sized, sugar: Sugar) -> ShoppingLine:
    """Sugar beside the bill: from the shelf what the bill leaves there."""
    intent, key = sized.intent, sugar.material.key
    left_kg = intent.stock.materials_kg.get(key, 0.0) - sized.method.bill_kg.get(key, 0.0)
    on_shelf_kg = min(max(left_kg, 0.0), sugar.kg)
    buy_kg = show.round_to_weigh(sugar.kg - on_shelf_kg, intent.show)
    price = intent.prices.per_kg.get(key)
    cost = buy_kg * price if price is not None else None
    name = f"{sugar.material.plural}, beside the bill"
    return ShoppingLine(f"beside/{key}", name, "kg", sugar.kg, on_shelf_kg, buy_kg, cost)


def effort(sized: Sized, dry_days: Band) -> Effort:
    """Energy, cooling water and hours of the whole batch."""
    intent, course = sized.intent, sized.course
    strip, spirit = course.strip.effort, course.spirit.effort
    energy_kwh = band(strip.energy_kwh + spirit.energy_kwh + _mash_kwh(sized))
    rise_k = COOLING_WATER_LEAVES_C - intent.site.water_c
    price = intent.prices.energy_per_kwh
    return Effort(
        energy_kwh=energy_kwh,
        cooling_water_l=band(
            np.asarray(heat.cooling_water_l(strip.cooling_kwh + spirit.cooling_kwh, rise_k))
        ),
        mashing_h=_mashing_h(sized),
        hands_on_h=_hands_on_h(sized),
        watching_h=band(strip.heat_up_h + strip.running_h + spirit.heat_up_h + spirit_running_h(sized)),
        waiting_h=_in_turn(dry_days, 24.0 * sized.method.ferments),
        energy_cost=energy_kwh.mid * price if price is not None else None,
    )


def _mash_kwh(sized: Sized) -> Worlds:
    """Cook, and water warmed for malt or sugar, with the pot's losses."""
    cook, warmed_kwh = sized.course.mash.cook, sized.course.mash.warmed_water_kwh
    pot = sized.intent.gear.cook_pot
    cook_kwh = cook.energy_kwh if cook is not None else np.zeros(1)
    return cook_kwh + warmed_kwh / (pot.kind.efficiency.likely if pot is not None else _KETTLE_EFFICIENCY)


def _hands_on_h(sized: Sized) -> Band:
    """Work of the hands: every step once or as often as it is done, the still's turn-round too."""
    intent, method, course = sized.intent, sized.method, sized.course
    practice, straining = intent.practice, intent.gear.straining
    cooks = method.cooks if course.mash.cook is not None else 0
    solids_100_kg = float(np.median(course.separate.wet_solids_kg)) / 100.0
    return _sum_of_bands(
        _times(practice.cook_setup_hours, method.ferments),
        _times(practice.cook_hours, cooks),
        _times(straining.hours_per_100_kg, solids_100_kg),
        _times(practice.strip_hours, 0.5 * (method.strips + method.spirit_runs)),
        _times(practice.cleaning_hours, 2 * method.ferments + 1),
    )


def _mashing_h(sized: Sized) -> Band:
    """Hours from the first pot on the heat to the end of the last enzyme's hold, all ferments together."""
    method, cook = sized.method, sized.course.mash.cook
    holds_h = (
        sum(label.hold_h for label in sized.intent.enzymes if label.does in ("thin", "sweeten"))
        or MALT_REST_H
    ) + method.late.hold_h
    rests_h = holds_h * method.ferments if np.any(sized.course.mash.convert.starch_in_kg > 0) else 0.0
    pot = sized.intent.gear.cook_pot
    water_h = float(np.median(_mash_kwh(sized)) if cook is None else 0.0) / (pot.power_kw if pot else np.inf)
    if cook is None:
        return Band(water_h + rests_h, water_h + rests_h, water_h + rests_h)
    return band((cook.heat_up_h + method.cook_hold_h) * method.cooks + rests_h)


def _in_turn(b: Band, factor: float) -> Band:
    return Band(b.low * factor, b.mid * factor, b.high * factor)


def _times(fact: Fact, factor: float) -> Band:
    return Band(fact.low * factor, fact.likely * factor, fact.high * factor)


def _sum_of_bands(*bands: Band) -> Band:
    """Sum of figures that vary each on its own: middles add, widths add as squares."""
    mid = sum(b.mid for b in bands)
    below = sum((b.mid - b.low) ** 2 for b in bands) ** 0.5
    above = sum((b.high - b.mid) ** 2 for b in bands) ** 0.5
    return Band(mid - below, mid, mid + above)


def reason_of(sized: Sized, limit: Limit) -> str:
    """What binds, in one sentence."""
    intent, system = sized.intent, sized.intent.show
    if limit.kind == "tub":
        count, needed = intent.most_ferments, sized.method.ferments
        return (
            f"The {intent.gear.tub.name} binds: the batch that fills the cask makes "
            f"{show.volume(limit.used * count, system)} of mash, the {intent.gear.tub.name} works with "
            f"{show.volume(intent.gear.tub.working_l, system)}, and you allow {count} "
            f"ferment{'s' if count > 1 else ''}; it would take {needed}."
        )
    if limit.kind == "yeast":
        return f"The yeast binds: in {limit.used:.0%} of possible batches it stops early, with sugar left."
    if limit.kind == "heart":
        return (
            f"The still binds: a heart of {said(sized.method.entry_pct_vol, system)} or more holds only "
            f"{limit.available:.0%} of a charge's alcohol, and under {limit.used:.0%} a run is not worth it."
        )
    if limit.kind == "still minimum":
        return (
            f"The still binds: {show.volume(limit.available, system)} would be {limit.what}, "
            f"and {show.volume(limit.used, system)} must stay in it to keep it covered."
        )
    if limit.unit == "times":
        return (
            f"{limit.what[:1].upper()}{limit.what[1:]} bind: {limit.used:.0f} in a row, and more than "
            f"{limit.available:.0f} is no longer one batch."
        )
    amount = show.mass if limit.unit == "kg" else show.volume
    return (
        f"{limit.what[:1].upper()}{limit.what[1:]} binds: {amount(limit.used, system)} are needed, "
        f"{amount(limit.available, system)} are there."
    )


def _refusal(intent: Intent, catalogue: Catalogue, reason: str, stopped_by: tuple[Limit, ...]) -> Refusal:
    return Refusal(
        name=intent.name,
        place=intent.place,
        show=intent.show,
        reason=reason,
        broken=stopped_by,
        changes=tuple(solved(found) for found in alternatives(intent, catalogue)),
        worlds=intent.worlds,
        seed=intent.seed,
    )


def solved(found: Alternative) -> SolvedChange:
    """A change with the numbers of the batch that it leads to."""
    sized = found.sized
    names = {item.material.key: item.material.name for item in sized.intent.bill}
    return SolvedChange(
        words=found.words,
        total_kg=sized.method.total_kg,
        bill_kg=tuple((names[key], kg) for key, kg in sized.method.bill_kg.items()),
        ferments=sized.method.ferments,
        cooks=sized.method.cooks if sized.course.mash.cook is not None else 0,
        strips=band(sized.course.strip.effort.runs),
        wanted_l=sized.method.fill_l,
        entry_pct_vol=sized.method.entry_pct_vol,
        fill_l=band(sized.course.available_l),
        chance=sized.chance,
    )
