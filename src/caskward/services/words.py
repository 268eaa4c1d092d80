"""Figures and sentences in the maker's own units; every face says the same."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

from caskward.planning.limits import Limit
from caskward.planning.plan import Band, Plan, Refusal, ShoppingLine, SolvedChange, Target, Unit
from caskward.planning.strengths import said
from caskward.units import convert, show
from caskward.units.types import UnitSystem


def figure(value: float, unit: Unit, system: UnitSystem) -> str:
    """One figure with its unit."""
    return _FIGURES[unit](value, system)


def _gas(cubic_metres: float, system: UnitSystem) -> str:
    return f"{cubic_metres:.1f} m³" if system == "metric" else f"{cubic_metres * 35.3147:.0f} cu ft"


_FIGURES: dict[Unit, Callable[[float, UnitSystem], str]] = {
    "L": show.volume,
    "mL": lambda value, system: show.volume(value / 1000.0, system),
    "kg": show.mass,
    "g": lambda value, system: show.mass(value / 1000.0, system),
    "C": show.temperature,
    "K": show.temperature_difference,
    "h": lambda value, _: show.duration(value),
    "d": lambda value, _: show.duration(value * 24.0),
    "pct_vol": said,
    "sg": lambda value, _: f"{value:.3f}",
    "share": lambda value, _: show.share(value),
    "kWh": lambda value, _: show.energy_kwh(value),
    "kW": show.power,
    "m3": _gas,
    "ph": lambda value, _: f"pH {value:.1f}",
    "count": lambda value, _: f"{value:.0f}",
}


def target(of: Target, system: UnitSystem) -> str:
    """A stage's figure: a forecast with its band, a window from low to high, or what is set."""
    b = of.band
    if of.kind == "window":
        return f"{figure(b.low, of.unit, system)} to {figure(b.high, of.unit, system)}"
    if of.kind == "set" and of.unit in ("kg", "L") and system == "metric" and b.mid >= 1.0:
        return f"{b.mid:.4g} {of.unit}" if b.mid >= 100.0 else f"{b.mid:.3g} {of.unit}"
    return banded(b, of.unit, system)


def banded(b: Band, unit: Unit, system: UnitSystem) -> str:
    """Middle and band, or one figure where both ends look the same."""
    if unit == "pct_vol" and said(b.mid, system).endswith("%vol"):
        system = "metric"  # one unit on one line
    low, mid, high = (figure(v, unit, system) for v in (b.low, b.mid, b.high))
    if low == high:
        return mid
    if unit == "count":
        return f"{mid} ({low} to {high})"
    if unit == "L" and len({text.partition(" ")[2] for text in (low, mid, high)}) > 1:
        alike = dict(zip((b.low, b.mid, b.high), volumes_alike((b.low, b.mid, b.high), system), strict=True))
        return show.band(b.low, b.mid, b.high, lambda value: alike[value])
    return show.band(b.low, b.mid, b.high, lambda value: figure(value, unit, system))


def volume_bands_alike(one: Band, other: Band, system: UnitSystem) -> tuple[str, str]:
    """Two bands of one volume beside each other, in one unit: `1.04 gal (0–2.62)` and `0 gal (0–0.38)`."""
    ends = (one.low, one.mid, one.high, other.low, other.mid, other.high)
    if len({show.volume(v, system).partition(" ")[2] for v in ends if v > 0.0}) <= 1:
        return banded(one, "L", system), banded(other, "L", system)
    alike = dict(zip(ends, volumes_alike(ends, system), strict=True))

    def shown_as(b: Band) -> str:
        low, mid, high = (alike[v] for v in (b.low, b.mid, b.high))
        return mid if low == high else show.band(b.low, b.mid, b.high, lambda value: alike[value])

    return shown_as(one), shown_as(other)


def volumes_alike(volumes_l: Sequence[float], system: UnitSystem) -> list[str]:
    """Volumes that stand below each other, all in the unit of the largest: `2.41 L`, `0.36 L`.

    As fine as three digits of the least, down to hundredths, of a gallon to thousandths.
    """
    largest = max(volumes_l, default=0.0)
    unit = show.volume(largest, system).partition(" ")[2]
    of_a_litre = _OF_A_LITRE[unit]
    least = min((v for v in volumes_l if v > 0.0), default=1.0) * of_a_litre
    digits = min(max(0, 2 - math.floor(math.log10(least))), 3 if unit == "gal" else 2)
    return [f"{v * of_a_litre:.{digits if v else 0}f} {unit}" for v in volumes_l]


_GALLON = float(convert.us_gallons_from_litres(1.0))
_OF_A_LITRE = {"L": 1.0, "mL": 1000.0, "gal": _GALLON, "fl oz": 128.0 * _GALLON}


def bill(items: tuple[tuple[str, float], ...], system: UnitSystem) -> str:
    """The bill in words: `67.5 kg rye, 31 kg malted barley and 24.5 kg oats`."""
    parts = [f"{show.weigh_out(kg, system)} {name[:1].lower()}{name[1:]}" for name, kg in items]
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"


def answer(plan: Plan) -> str:
    """What to mash, in one sentence."""
    if plan.water_l <= 0:
        return f"Mash {bill(plan.bill_kg, plan.show)} with no water."
    return f"Mash {bill(plan.bill_kg, plan.show)} in {show.measure_out(plan.water_l, plan.show)} of water."


def counted(count: float, one: str) -> str:
    """A whole number with its noun: `1 cook`, `4 cooks`."""
    return f"{count:.0f} {one}" if count == 1 else f"{count:.0f} {one}s"


def hours(b: Band) -> str:
    """A stretch of work or waiting in whole hours, from two days on days: `12 h (10–18)`, `4 d (2.5–6)`."""
    if b.mid >= 48.0:
        return show.band(b.low / 24.0, b.mid / 24.0, b.high / 24.0, lambda days: f"{round(days * 2) / 2:g} d")
    if round(b.low) == round(b.high):
        return f"{b.mid:.0f} h"
    return show.band(b.low, b.mid, b.high, lambda value: f"{value:.0f} h")


def sureness(plan: Plan) -> str:
    """How sure the cask fills, in one sentence."""
    return (
        f"The cask fills with {show.in_ten(plan.chance)} confidence: expect "
        f"{banded(plan.fill_l, 'L', plan.show)} at {said(plan.entry_pct_vol, plan.show)}, "
        f"{figure(plan.wanted_l, 'L', plan.show)} is wanted."
    )


def buy(line: ShoppingLine, system: UnitSystem) -> str:
    """The amount to buy, as a person can weigh or measure it."""
    if line.unit == "kg":
        return show.weigh_out(line.buy, system) if line.buy > 0 else "nothing"
    if line.unit == "g":
        return show.weigh_out(line.buy / 1000.0, system)
    return show.measure_out(line.buy / 1000.0, system)


def limit(of: Limit, system: UnitSystem) -> str:
    """How far one vessel or store is used."""
    if of.kind == "still minimum":
        least, smallest = figure(of.used, "L", system), figure(of.available, "L", system)
        return f"{of.what}: {smallest} at the least, {least} must stay"
    if of.kind == "yeast" and of.used == 0:
        return f"{of.what}: never reached"
    if of.unit == "times":
        return f"{of.what}: {of.used:.0f}, at most {of.available:.0f} in a row"
    if of.unit in ("L", "kg"):
        unit: Unit = "L" if of.unit == "L" else "kg"
        return f"{of.what}: {figure(of.used, unit, system)} of {figure(of.available, unit, system)}"
    if of.kind == "heart":
        return f"{show.share(of.available)} {of.what}; under {show.share(of.used)} a run is not worth it"
    return (
        f"{of.what}: passed in {show.share(of.used)} of possible batches, {show.share(of.available)} allowed"
    )


def change(of: SolvedChange, system: UnitSystem) -> str:
    """A solved change: what it is, what to mash then, and how sure the cask fills."""
    strips = banded(of.strips, "count", system)
    runs = (
        counted(of.cooks, "cook") if of.cooks else "",
        counted(of.ferments, "ferment"),
        f"{strips} strip" if strips == "1" else f"{strips} strips",
    )
    work = ", ".join(run for run in runs if run)
    return (
        f"With {of.words}: mash {bill(of.bill_kg, system)} ({work}); "
        f"{banded(of.fill_l, 'L', system)} at {said(of.entry_pct_vol, system)}, "
        f"{figure(of.wanted_l, 'L', system)} wanted, {show.in_ten(of.chance)}."
    )


def drawn(of: Plan | Refusal) -> str:
    """How many worlds stand behind the figures, and that they can be had again."""
    return f"{of.worlds} possible batches drawn, seed {of.seed}: the same file gives the same figures."


def effort(plan: Plan) -> tuple[tuple[str, str], ...]:
    """What the batch asks of stove, water and people: words and figures, row by row."""
    of, system = plan.effort, plan.show
    rows = [("Energy", banded(of.energy_kwh, "kWh", system))]
    if of.energy_cost is not None:
        rows.append(("Energy, cost", show.money(of.energy_cost, plan.currency)))
        if plan.materials_cost is not None:
            both = show.money(of.energy_cost + plan.materials_cost, plan.currency)
            rows.append(("With materials, as far as priced", both))
    rows.append(("Cooling water", banded(of.cooling_water_l, "L", system)))
    if of.mashing_h.high > 0:
        rows.append(("Heating, holding, resting the mash", hours(of.mashing_h)))
    rows += [
        ("Hands on", hours(of.hands_on_h)),
        ("Watching the still", hours(of.watching_h)),
        ("Waiting for the yeast", hours(of.waiting_h)),
    ]
    return tuple(rows)
