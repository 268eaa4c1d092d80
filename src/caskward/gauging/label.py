"""A measured strength and its doubt against a label: passes, fails, or cannot be told with this instrument.

A verdict is given only where the whole 95 % interval lies on one side of the law's limit (a guard band, as in
JCGM 106, *from memory*); otherwise the classes of instrument that would tell are named.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Literal

from caskward.errors import InputError, OutOfRange, UnknownName
from caskward.gauging.figure import Figure, figure
from caskward.gauging.instruments import Instrument, instrument, instruments
from caskward.gauging.readings import Scale, SpiritReading
from caskward.gauging.strength import gauge
from caskward.properties import alcohol
from caskward.sources import source

Verdict = Literal["passes", "fails", "cannot be told"]
OTHER = "other"
_SCALES: Mapping[str, Scale] = {
    "%vol": "pct_vol",
    "proof": "us_proof",
    "%mass": "pct_mass",
    "kg/m3": "density_kg_m3",
}
_THERMOMETERS = ("thermometer-coarse", "thermometer", "thermometer-fine")


@dataclass(frozen=True, slots=True)
class Rule:
    """How far from its label a spirit may be [%vol], and where the label's %vol is counted."""

    key: str
    name: str
    law: str
    basis: Literal["20 C", "60 F"]
    tolerance: float
    source: str
    note: str = ""

    @property
    def checked(self) -> bool:
        """Whether the law was read; if not, a maker is told to check the local rule."""
        return self.source != "maker" and source(self.source).how == "read"


@dataclass(frozen=True, slots=True)
class Teller:
    """An instrument and a thermometer that would settle the question, and the doubt they leave [± %vol]."""

    instrument: Instrument
    thermometer: Instrument
    half_width: float


@dataclass(frozen=True, slots=True)
class LabelCheck:
    """A verdict on a label. Strengths and limits are in %vol where the rule counts them.

    room: how far inside the nearer limit the measured value lies [%vol]; below zero it is outside.
    tellers: for an open verdict, each class of instrument that would tell, with the coarsest thermometer
    that does; empty if the spirit lies too near the limit for all of them.
    """

    verdict: Verdict
    rule: Rule
    label_pct_vol: float
    strength: Figure
    low: float
    high: float
    room: float
    tellers: tuple[Teller, ...]


@cache
def rules() -> Mapping[str, Rule]:
    """Every rule by key."""
    text = resources.files("caskward.gauging").joinpath("data/rules.toml").read_text(encoding="utf-8")
    return MappingProxyType({key: Rule(key=key, **row) for key, row in tomllib.loads(text).items()})


def rule(key: str, tolerance: float | None = None) -> Rule:
    """The rule with this key; `other` takes the maker's own tolerance [± %vol].

    Raises:
        UnknownName: no such rule.
    """
    if key == OTHER:
        if tolerance is None or not 0.0 < tolerance <= 5.0:
            raise OutOfRange("Tolerance of your local rule", tolerance or 0.0, "%vol", 0.01, 5.0)
        return Rule(OTHER, "your local rule", "as you gave it", "20 C", tolerance, "maker")
    if key not in rules():
        raise UnknownName("rule", key, None, (*rules(), OTHER))
    return rules()[key]


def check_label(label_pct_vol: float, measured: Figure, by: Rule, temp_c: float = 20.0) -> LabelCheck:
    """Measured strength against a label.

    label_pct_vol: as the label says it, in the rule's own basis [%vol], 0 to 100.
    measured: true strength [%vol at 20 °C] with its doubt. temp_c: of the sample, for naming instruments.
    """
    if not 0.0 < label_pct_vol <= 100.0:
        raise OutOfRange("Strength on the label", label_pct_vol, "%vol", 0.5, 100.0)
    strength = on_basis(measured, by)
    low, high = label_pct_vol - by.tolerance, label_pct_vol + by.tolerance
    verdict = _verdict(strength, low, high)
    tellers = () if verdict != "cannot be told" else _tellers(measured, by, low, high, temp_c)
    room = min(strength.value - low, high - strength.value)
    return LabelCheck(verdict, by, label_pct_vol, strength, low, high, room, tellers)


def on_basis(measured: Figure, by: Rule) -> Figure:
    """A strength at 20 °C as the rule counts it: %vol at 60 °F is half of US proof."""
    if by.basis == "20 C":
        return measured
    value = 0.5 * float(alcohol.proof_60f(measured.value))
    return figure(value, measured.standard, 0.0, 100.0)


def _verdict(strength: Figure, low: float, high: float) -> Verdict:
    rounding = 1e-9
    if strength.low >= low - rounding and strength.high <= high + rounding:
        return "passes"
    if strength.high < low - rounding or strength.low > high + rounding:
        return "fails"
    return "cannot be told"


def _tellers(measured: Figure, by: Rule, low: float, high: float, temp_c: float) -> tuple[Teller, ...]:
    found = []
    for each in instruments().values():
        scale = _SCALES.get(each.unit)
        if scale and each.kind != "refractometer":
            teller = _coarsest(each, scale, measured, by, (low, high), temp_c)
            found += [teller] if teller else []
    return tuple(sorted(found, key=lambda teller: -teller.half_width))


def _coarsest(
    each: Instrument, scale: Scale, measured: Figure, by: Rule, limits: tuple[float, float], temp_c: float
) -> Teller | None:
    """The instrument with the coarsest thermometer that settles it, or nothing."""
    for key in _THERMOMETERS:
        thermometer = instrument(key)
        try:
            reading = _as_read(each, scale, measured.value, temp_c, thermometer)
            standard = gauge([reading]).pct_vol.standard
        except InputError:
            return None
        seen = on_basis(figure(measured.value, standard, 0.0, 100.0), by)
        if _verdict(seen, *limits) != "cannot be told":
            return Teller(each, thermometer, seen.half_width)
    return None


def _as_read(
    each: Instrument, scale: Scale, pct_vol: float, temp_c: float, thermometer: Instrument
) -> SpiritReading:
    """The reading that this instrument would give in a spirit of this strength."""
    fraction = float(alcohol.mass_fraction(pct_vol))
    calibrated_c = alcohol.TEMP_60F_C if scale == "us_proof" else 20.0
    if scale == "pct_vol":
        value = float(alcohol.indicated_strength(pct_vol, temp_c, calibrated_c))
    elif scale == "us_proof":
        value = 2.0 * float(alcohol.indicated_strength(pct_vol, temp_c, calibrated_c))
    elif scale == "pct_mass":
        value = 100.0 * fraction
    else:
        value = float(alcohol.density(fraction, temp_c))
    return SpiritReading(value, scale, temp_c, each, thermometer, calibrated_c)
