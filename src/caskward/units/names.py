"""The names each unit goes by, what they are worth inside, and which kind of quantity a unit measures.

A factor is a pair `(times, per)`: 700 mL is `700 * 1 / 1000` L, which stays 0.7 where `700 * 0.001` does not.
"""

from __future__ import annotations

from typing import Literal

from caskward.units import convert
from caskward.units.kind import Kind, kind
from caskward.units.numbers import TwoWays
from caskward.units.types import GravityScale, StrengthBasis

Factor = tuple[float, float]


def _degrees(letter: str, word: str) -> str:
    """The ways to write a degree on a scale: C, °C, deg C, degrees celsius."""
    starts = ("", "°", "° ", "deg", "deg ", "degree ", "degrees ")
    return "|".join(f"{start}{end}" for start in starts for end in (letter, word))


def _per(first: str, *rest: str) -> str:
    """All of the first names over all of the others, with slashes."""
    names = first.split("|")
    for more in rest:
        names = [f"{name}/{other}" for name in names for other in more.split("|")]
    return "|".join(names)


_HOUR = "h|hr|hrs|hour|hours"
_DEGREE = "K|C|°C"
_DEGREE_F = "F|°F|degF"
_BTU_HOUR_F = (
    "btu/(h F)|btu/(h °F)|btu/(hr F)|btu/(hr °F)|btu/h-F|btu/hr-F|btu/h F|btu/h °F|btu/hr F|btu/hr °F"
)

VOLUME: Kind[Factor] = kind(
    "a volume",
    "20 L or 5.3 gal",
    {
        "L|l|litre|litres|liter|liters|ltr|dm3": (1, 1),
        # A megalitre is no small distiller's business, and labels print 750 ML.
        "mL|ml|ML|millilitre|millilitres|milliliter|milliliters|cc|cm3": (1, 1000),
        "cL|cl|centilitre|centilitres|centiliter|centiliters": (1, 100),
        "dL|dl|decilitre|decilitres|deciliter|deciliters": (1, 10),
        "hL|hl|hectolitre|hectolitres|hectoliter|hectoliters": (100, 1),
        "uL|ul|microlitre|microlitres|microliter|microliters": (1, 1_000_000),
        "m3|cubic metre|cubic metres|cubic meter|cubic meters": (1000, 1),
        "gal|gals|gallon|gallons|us gal|usgal|us gallon|us gallons|wine gallon|wine gallons|wine gal": (
            convert.US_GALLON_L,
            1,
        ),
        "qt|qts|quart|quarts|us qt|us quart|us quarts": (convert.US_GALLON_L, 4),
        "pt|pts|pint|pints|us pt|us pint|us pints": (convert.US_GALLON_L, 8),
        "cup|cups|us cup|us cups": (convert.US_GALLON_L, 16),
        "fl oz|floz|fl-oz|fluid oz|fluid ounce|fluid ounces|us fl oz|us fluid ounces": (
            convert.US_GALLON_L,
            128,
        ),
        "tbsp|tablespoon|tablespoons": (convert.US_GALLON_L, 256),
        "tsp|teaspoon|teaspoons": (convert.US_GALLON_L, 768),
        "imp gal|imperial gal|imp gallon|imp gallons|imperial gallon|imperial gallons|uk gal|uk gallons": (
            convert.IMPERIAL_GALLON_L,
            1,
        ),
        "imp qt|imp quart|imp quarts|imperial quart|imperial quarts": (convert.IMPERIAL_GALLON_L, 4),
        "imp pt|imp pint|imp pints|imperial pint|imperial pints|uk pint|uk pints": (
            convert.IMPERIAL_GALLON_L,
            8,
        ),
        "imp fl oz|imperial fluid ounce|imperial fluid ounces|uk fl oz": (convert.IMPERIAL_GALLON_L, 160),
        "in3|cu in|cubic inch|cubic inches": (convert.CUBIC_INCH_L, 1),
        "ft3|cu ft|cubic foot|cubic feet": (convert.CUBIC_FOOT_L, 1),
    },
    {"oz": ("fl oz",), "ounce": ("fl oz",), "ounces": ("fl oz",)},
)
MASS: Kind[Factor] = kind(
    "a mass",
    "12 kg, 26 lb or 1 lb 4 oz",
    {
        "kg|kgs|kilo|kilos|kilogram|kilograms|kilogramme|kilogrammes": (1, 1),
        "g|gram|grams|gramme|grammes": (1, 1000),
        "mg|milligram|milligrams": (1, 1_000_000),
        "ug|microgram|micrograms": (1, 1_000_000_000),
        "t|tonne|tonnes|metric ton|metric tons|Mg": (1000, 1),
        "lb|lbs|pound|pounds|lbm": (convert.POUND_KG, 1),
        "oz|ounce|ounces": (convert.POUND_KG, 16),
        "short ton|short tons|us ton|us tons": (convert.SHORT_TON_KG, 1),
    },
    {"ton": ("t", "short ton"), "tons": ("t", "short ton")},
)
_BARE_DEGREE = dict.fromkeys(("°", "deg", "degree", "degrees"), ("°C", "°F"))
TEMPERATURE: Kind[Literal["c", "f", "k"]] = kind(
    "a temperature",
    "31 C or 88 F",
    {_degrees("C", "celsius"): "c", _degrees("F", "fahrenheit"): "f", "K|kelvin": "k"},
    _BARE_DEGREE,
    comma_may_group=False,
)
DIFFERENCE: Kind[Factor] = kind(
    "a temperature difference",
    "5 K or 10 F",
    {_degrees("C", "celsius"): (1, 1), _degrees("F", "fahrenheit"): (5, 9), "K|kelvin": (1, 1)},
    _BARE_DEGREE,
    comma_may_group=False,
)
DURATION: Kind[Factor] = kind(
    "a duration",
    "90 min, 1 h 30 min or 2 d",
    {
        _HOUR: (1, 1),
        "min|mins|minute|minutes|m|'": (1, 60),
        's|sec|secs|second|seconds|"': (1, 3600),
        "d|day|days": (24, 1),
        "wk|wks|week|weeks": (168, 1),
        "mo|month|months": (convert.MONTH_H, 1),
        "y|yr|yrs|year|years": (convert.YEAR_H, 1),
    },
    {"m": ("min", "months")},  # a capital M; the small one is a minute
)
POWER: Kind[Factor] = kind(
    "a power",
    "5.5 kW, 1200 W or 18000 BTU/h",
    {
        "kW|kilowatt|kilowatts": (1, 1),
        "W|watt|watts": (1, 1000),
        "MW|megawatt|megawatts": (1000, 1),
        "mW|milliwatt|milliwatts": (1, 1_000_000),
        f"{_per('btu|btus', _HOUR)}|btuh": (convert.BTU_J, convert.KWH_J),
    },
)
LENGTH: Kind[Factor] = kind(
    "a length",
    "300 m or 1200 ft",
    {
        "m|metre|metres|meter|meters": (1, 1),
        "mm|millimetre|millimetres|millimeter|millimeters": (1, 1000),
        "cm|centimetre|centimetres|centimeter|centimeters": (1, 100),
        "km|kilometre|kilometres|kilometer|kilometers": (1000, 1),
        "ft|foot|feet|'": (convert.FOOT_M, 1),
        'in|inch|inches|"': (convert.INCH_M, 1),
        "yd|yds|yard|yards": (convert.YARD_M, 1),
        "mi|mile|miles": (convert.MILE_M, 1),
    },
)
PRESSURE: Kind[Factor] = kind(
    "a pressure",
    "101.3 kPa or 1013 hPa",
    {
        "kPa|kilopascal|kilopascals": (1, 1),
        "Pa|pascal|pascals": (1, 1000),
        "hPa|hectopascal|hectopascals|mbar|mbars|millibar|millibars": (1, 10),
        "MPa|megapascal|megapascals": (1000, 1),
        "mPa|millipascal|millipascals": (1, 1_000_000),
        "bar|bars": (100, 1),
        "atm|atmosphere|atmospheres": (convert.ATMOSPHERE_KPA, 1),
        "psi|psia|lb/in2|lbf/in2": (convert.PSI_KPA, 1),
        "mmHg|mm Hg": (convert.MM_MERCURY_KPA, 1),
        "inHg|in Hg|inches of mercury": (convert.INCH_MERCURY_KPA, 1),
        "torr": (convert.ATMOSPHERE_KPA, 760),
    },
)
HEAT_LOSS: Kind[Factor] = kind(
    "a heat loss",
    "2.2 W/K",
    {
        _per("W|watt|watts", f"{_DEGREE}|kelvin|degree"): (1, 1),
        _per("kW", _DEGREE): (1000, 1),
        f"{_per('btu', _HOUR, _DEGREE_F)}|{_BTU_HOUR_F}": (convert.BTU_PER_H_F_W_K, 1),
    },
)
SHARE: Kind[Factor] = kind(
    "a share",
    "55 % or 0.55",
    {"%|percent|per cent|pct": (1, 100)},
    comma_may_group=False,
)

_VOL = "vol|volume|abv|v/v|alc/vol|alc|alc vol|by vol|by volume|alcohol by volume"
_WT = "mass|m/m|w/w|wt|weight|abw|by mass|by weight"


def _percent_of(words: str, *standing_alone: str) -> str:
    """`%vol`, `% vol`, `vol%`, `vol %`, ..., and the words that need no percent sign."""
    names = [f"{sign}{word}" for sign in ("%", "% ", "percent ", "pct ") for word in words.split("|")]
    names += [f"{word}{sign}" for sign in ("%", " %") for word in words.split("|")]
    return "|".join([*names, *standing_alone])


# A bare % is %vol here: it is what every label and every alcoholmeter means by it.
_PCT_VOL = f"%|percent|pct|{_percent_of(_VOL, 'vol', 'abv', 'alc/vol')}"
_DEGREES_C = ("C", " C", "°C", " °C")
_DEGREES_F = ("F", " F", "°F", " °F")


def _at(several: str, temp: str, degrees: tuple[str, ...]) -> str:
    """The names with the temperature that belongs to the basis: %vol at 20 C, proof at 60 °F."""
    names = several.split("|")
    return "|".join(
        f"{name}{at}{temp}{deg}" for name in names for at in (" at ", " @ ", " ") for deg in degrees
    )


STRENGTH: Kind[StrengthBasis] = kind(
    "a strength",
    "63 %, 126 proof or 54 %mass",
    {
        f"{_PCT_VOL}|{_at('%|%vol|% vol|% abv', '20', _DEGREES_C)}": "pct_vol_20c",
        f"proof|us proof|° proof|°proof|degrees proof|{_at('proof', '60', _DEGREES_F)}": "us_proof_60f",
        _percent_of(_WT, "%mas", "% mas"): "pct_mass",
    },
    comma_may_group=False,
)


def _relative(temps: str, degrees: tuple[str, ...]) -> str:
    """The ways to write a relative density's two temperatures: SG 20/20, 20/20 °C, SG20/20C."""
    return "|".join(f"{a}{temps}{b}" for a in ("", "SG", "SG ") for b in ("", *degrees))


GRAVITY: Kind[tuple[GravityScale, float]] = kind(
    "a gravity",
    "1.062, 15.2 P, 13.2 Bx or 931.2 kg/m3",
    {
        f"SG|{_relative('20/20', _DEGREES_C)}": ("sg_20_20", 1),
        _relative("60/60", _DEGREES_F): ("sg_60_60F", 1),
        f"{_degrees('P', 'Plato')}|° Plato": ("plato", 1),
        f"{_degrees('Bx', 'Brix')}|° Brix": ("brix", 1),
        "kg/m3|g/l|g/L": ("density_kg_m3", 1),
        "g/ml|g/mL|g/cm3|g/cc|kg/l|kg/L": ("density_kg_m3", 1000),
        "lb/gal|lbs/gal|lb/us gal": ("density_kg_m3", convert.POUND_PER_US_GALLON_KG_M3),
        "lb/ft3|lbs/ft3|lb/cu ft": ("density_kg_m3", convert.POUND_PER_CUBIC_FOOT_KG_M3),
    },
    comma_may_group=False,
)
DOSE: Kind[str] = kind("a dose", "0.4 mL/kg, 0.5 g/kg grain, 0.6 kg/t starch or 1 ml/L", {})
MONEY: Kind[str] = kind("an amount of money", "12.50 or 12.50 EUR", {})
READING: Kind[str] = kind(
    "a strength or a gravity",
    "47 % at 28 C, 126.4 proof 82 F, 1.054 @ 31 C or 13.2 Bx",
    {},
    comma_may_group=False,
)
ENERGY: Kind[str] = kind(
    "an energy", "12 kWh", {"kWh|Wh|MWh|J|kJ|MJ|GJ|kcal|cal|btu|btus|therm|therms": "energy"}
)
_PURE = "litres pure alcohol|litres of pure alcohol|liters of pure alcohol"
_PROOF_GALLON = "proof gallon|proof gallons|proof gal|PG|tax gallon|tax gallons"
ALCOHOL: Kind[str] = kind(
    "an amount of pure alcohol", "5 LPA", {f"LPA|LAL|LAA|{_PURE}|{_PROOF_GALLON}": "alcohol"}
)

_PHYSICAL = (VOLUME, MASS, TEMPERATURE, LENGTH, DURATION, POWER, PRESSURE, HEAT_LOSS)
_MEASURES = (*_PHYSICAL, SHARE, STRENGTH, GRAVITY, ENERGY, ALCOHOL)


def kind_of(unit: str) -> str | None:
    """What a unit measures, as a noun with its article, or nothing if the unit is not known."""
    for each in _MEASURES:
        try:
            if each.find(unit) is not None:
                return each.noun
        except TwoWays:
            continue
    return None
