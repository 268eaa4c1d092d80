"""A plan's file in the other system of units, each amount as a person would write it down."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from caskward.planning.strengths import read_strength
from caskward.services import wish_form
from caskward.units import convert, parse
from caskward.units.types import UnitSystem

Written = Callable[[str], str]


def in_units(text: str, system: UnitSystem) -> str:
    """A plan's file with its amounts in the units wanted, to three digits; as it is where it has them."""
    fields = wish_form.fields_of(text)
    if system == (fields["show"] or "metric"):
        return text
    writers = _US if system == "us" else _METRIC
    made = {"show": str(system)}
    for name, value in fields.items():
        write = writers.get(_kind_of(name))
        if write and value:
            made[name] = write(value)
    return wish_form.text_with(text, {**fields, **made})


def _kind_of(name: str) -> str:
    """`spirit-volume` of `spirit-0-volume`; a single field by its own name."""
    first, _, rest = name.partition("-")
    return f"{first}-{rest.partition('-')[2]}" if rest else first


def _written(value: float, unit: str) -> str:
    return f"{value:.3g} {unit}" if value < 1000 else f"{value:.0f} {unit}"


def _edges(write: Written) -> Written:
    return lambda text: wish_form.TO.join(write(edge) for edge in text.split(wish_form.TO))


def _strength(text: str) -> str:
    """US proof is twice the strength by volume. Source: 27-cfr-30."""
    pct_vol = read_strength(text, what="the strength")
    return f"{2.0 * pct_vol:.0f} proof" if pct_vol >= 30.0 else f"{pct_vol:.3g} %"


_VOLUMES: Final = ("capacity", "pot_volume", "tub_volume", "still_most", "still_least", "spirit-volume")
_POWERS: Final = ("pot_power", "still_power")
_WARMTHS: Final = ("water_temp", "room_temp")


def _writers(
    volume: Written, power: Written, warmth: Written, length: Written, mass: Written
) -> dict[str, Written]:
    return {
        **dict.fromkeys(_VOLUMES, volume),
        **dict.fromkeys(_POWERS, power),
        **dict.fromkeys(_WARMTHS, warmth),
        "enzyme-window": _edges(warmth),
        "altitude": length,
        "store-amount": mass,
    }


_US: Final = {
    **_writers(
        lambda text: _written(float(convert.us_gallons_from_litres(parse.volume_l(text))), "gal"),
        lambda text: _written(float(convert.btu_per_hour_from_kw(parse.power_kw(text))), "BTU/h"),
        lambda text: f"{float(convert.fahrenheit_from_celsius(parse.temperature_c(text))):.0f} F",
        lambda text: _written(float(convert.feet_from_metres(parse.length_m(text))), "ft"),
        lambda text: _written(float(convert.pounds_from_kg(parse.mass_kg(text))), "lb"),
    ),
    "strength": _strength,
}
_METRIC: Final = _writers(
    lambda text: _written(parse.volume_l(text), "L"),
    lambda text: _written(parse.power_kw(text), "kW"),
    lambda text: _written(parse.temperature_c(text), "C"),
    lambda text: _written(parse.length_m(text), "m"),
    lambda text: _written(parse.mass_kg(text), "kg"),
)
