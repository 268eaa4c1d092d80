"""What was typed for `gauge`, made into what the service is asked."""

from __future__ import annotations

from dataclasses import dataclass, replace

from caskward.cli.loose import Given
from caskward.errors import MissingValue, OptionsClash
from caskward.services import gauging_said as said
from caskward.services.gauging import (
    GaugeAnswer,
    GaugeAsk,
    LabelAnswer,
    LabelAsk,
    ReadingAsk,
    WashAnswer,
    WashAsk,
    check_label,
    gauge,
    gauge_wash,
    instruments,
    is_of_a_wash,
)

_EXAMPLE = "47 % at 28 C"
_ONLY_STRENGTH = "Of a wash only its strength is worked out."
_TWO_READINGS = "Give a wash two readings: its gravity and --original or --refractometer."
_SPIRIT_ONLY = (
    ("second", "A second reading", "Say which reading it is: --original or --refractometer."),
    ("volume", "A volume", _ONLY_STRENGTH),
    ("mass", "A mass", _ONLY_STRENGTH),
    ("volume_temp", "A volume's temperature", _ONLY_STRENGTH),
    ("vessel", "A vessel", _ONLY_STRENGTH),
    ("measured_by", "A scale or vessel", _ONLY_STRENGTH),
    ("solids", "Dissolved solids", _TWO_READINGS),
    ("sugar", "Known sugar", _TWO_READINGS),
    ("label", "A label", "If this is a spirit all the same, add --spirit."),
)
_TEXTS = (
    "temp",
    "meter",
    "error",
    "thermometer",
    "calibrated",
    "volume",
    "volume_temp",
    "mass",
    "measured_by",
    "vessel",
    "solids",
    "sugar",
    "original",
    "refractometer",
    "label",
    "rule",
    "tolerance",
)
_COUNTRIES = {"au": "au-nz", "nz": "au-nz", "usa": "us", "gb": "uk"}


@dataclass(frozen=True, slots=True)
class Typed:
    """Everything that can be typed for `gauge`, as it was typed; empty where it was not."""

    words: str = ""
    temp: str = ""
    second: tuple[str, ...] = ()
    meter: str = ""
    error: str = ""
    thermometer: str = ""
    calibrated: str = ""
    in_air: bool = False
    glass: bool = True
    volume: str = ""
    volume_temp: str = ""
    mass: str = ""
    measured_by: str = ""
    vessel: str = ""
    solids: str = ""
    sugar: str = ""
    original: str = ""
    refractometer: str = ""
    wash: bool | None = None
    label: str = ""
    rule: str = ""
    tolerance: str = ""


def typed_of(given: Given) -> Typed:
    """What was typed, option by option."""
    if given.flag("--wash") and given.flag("--spirit"):
        raise OptionsClash("--wash", "--spirit", "Leave one of them out.")
    wash = given.flag("--wash") or (False if given.flag("--spirit") else None)
    texts = {field: given.text(f"--{field.replace('_', '-')}") for field in _TEXTS}
    return Typed(
        given.words,
        second=given.texts("--and"),
        in_air=given.flag("--in-air"),
        glass=not given.flag("--no-glass"),
        wash=wash,
        **texts,
    )


def answer(given: Given) -> GaugeAnswer | WashAnswer | LabelAnswer:
    """The answer to what was typed.

    Raises:
        InputError: text that makes no sense, or values that do not go together.
    """
    typed = typed_of(given)
    if (typed.rule or typed.tolerance) and not typed.label:
        raise MissingValue("A rule or a tolerance", "a label", "--label 40")
    if _is_wash(typed):
        return gauge_wash(_wash_ask(typed))
    ask = _spirit_ask(typed)
    if not typed.label:
        return gauge(ask)
    return check_label(LabelAsk(typed.label, _rule(typed), typed.tolerance, ask))


# The parts ---------------------------------------------------------------------------------------


def _is_wash(typed: Typed) -> bool:
    if typed.wash is not None:
        return typed.wash
    if typed.original or typed.refractometer:
        return True
    if typed.sugar or typed.solids or typed.label or not typed.words:
        return False
    reading = said.gauging(typed.words).readings[0].reading
    return bool(reading) and is_of_a_wash(reading)


def _wash_ask(typed: Typed) -> WashAsk:
    for field, what, advice in _SPIRIT_ONLY:
        if getattr(typed, field):
            raise OptionsClash(what, "a wash's reading", advice)
    now = _main(typed).readings[0] if typed.words else None
    original = _sugar(typed, typed.original)
    if original and not original.instrument and typed.meter and _floats(typed.meter):
        original = replace(original, instrument=typed.meter)
    return WashAsk(original, now, _sugar(typed, typed.refractometer))


def _sugar(typed: Typed, text: str) -> ReadingAsk | None:
    """A further reading of a wash, by the same thermometer and on a scale made for the same temperature."""
    if not text:
        return None
    one = said.reading(text)
    return replace(
        one,
        thermometer=one.thermometer or typed.thermometer,
        calibrated_at=typed.calibrated,
        glass=typed.glass,
    )


def _floats(key: str) -> bool:
    return any(one.key == key and one.is_glass for one in instruments())


def _spirit_ask(typed: Typed) -> GaugeAsk:
    main = _main(typed)
    readings = tuple(replace(said.reading(text), calibrated_at="") for text in typed.second)
    readings = tuple(
        replace(one, thermometer=one.thermometer or typed.thermometer, calibrated_at=typed.calibrated)
        for one in readings
    )
    ask = replace(
        main,
        readings=(*main.readings, *readings),
        volume=_once("how much there is", main.volume, typed.volume),
        volume_temp=_once("how warm the volume is", main.volume_temp, typed.volume_temp),
        mass=_once("how much there is", main.mass, typed.mass),
        amount_by=_once("what it was measured with", main.amount_by, typed.measured_by),
        vessel=typed.vessel,
        residue=typed.solids,
        sugar=typed.sugar,
    )
    if typed.solids and typed.sugar:
        raise OptionsClash("--solids", "--sugar", "Dried solids hold the sugar: leave it out.")
    return _weighed(ask)


def _weighed(ask: GaugeAsk) -> GaugeAsk:
    """Without a reading, a mass and a volume are one."""
    first = ask.readings[0]
    if not (ask.volume and ask.mass):
        return ask
    if first.reading or first.mass:
        both = f'--and "{ask.mass} in {ask.volume} at 20 C"'
        advice = f"Say how much there is in one of the two; both are a second reading: {both}"
        raise OptionsClash(ask.volume, ask.mass, advice)
    weighed = replace(first, mass=ask.mass, volume=ask.volume, instrument=ask.amount_by)
    return replace(ask, readings=(weighed, *ask.readings[1:]), volume="", mass="", amount_by="")


def _main(typed: Typed) -> GaugeAsk:
    """The reading in the words, with what the options say of it."""
    found = said.gauging(typed.words)
    first = found.readings[0]
    reading = replace(
        first,
        temp=_once("the sample's temperature", first.temp, typed.temp),
        instrument=_once("the instrument", first.instrument, typed.meter),
        error=_once("the limit of error", first.error, typed.error),
        thermometer=_once("the thermometer", first.thermometer, typed.thermometer),
        calibrated_at=typed.calibrated,
        in_air=first.in_air or typed.in_air,
        glass=typed.glass,
    )
    return replace(found, readings=(reading,))


def _once(what: str, *given: str) -> str:
    """The one value that was given."""
    several = [text for text in given if text]
    if len(several) > 1:
        raise OptionsClash(several[0], several[1], f"Say {what} once.")
    return several[0] if several else ""


def _rule(typed: Typed) -> str:
    """The rule's key; without one the maker's own if there is a tolerance, else by the label's unit."""
    if not typed.rule:
        if typed.tolerance:
            return "other"
        return "us" if "proof" in typed.label.casefold() else "eu"
    key = typed.rule.casefold()
    key = _COUNTRIES.get(key, key)
    if key == "other" and not typed.tolerance:
        raise MissingValue("Your own rule", "how far from the label it allows", "--tolerance 0.3")
    if typed.tolerance and key != "other":
        raise OptionsClash(
            "--tolerance", f"--rule {typed.rule}", "That rule has its own; leave one of them out."
        )
    return key
