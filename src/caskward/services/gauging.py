"""Gauging and reducing as the faces ask for it: typed text in, figures with their doubt out.

Every ask is a frozen dataclass of text as a maker types it; an empty field takes what is usual, and the answer's
`assumed` says what that was. `gauging_words.words` puts any answer into sentences.
"""

from __future__ import annotations

from caskward.services.gauging_typed import LiquidAsk, ReadingAsk

__all__ = [
    "GaugeAnswer",
    "GaugeAsk",
    "LabelAnswer",
    "LabelAsk",
    "LiquidAsk",
    "MixAnswer",
    "MixAsk",
    "ReadingAsk",
    "ReduceAnswer",
    "ReduceAsk",
    "WashAnswer",
    "WashAsk",
    "check_label",
    "gauge",
    "gauge_wash",
    "instruments",
    "mix",
    "reduce",
    "rules",
]


@dataclass(frozen=True, slots=True)
class GaugeAsk:
    """What a spirit is, and how much: one reading, or several of the same spirit.

    volume, volume_temp   how much there is as it stands, at which temperature (otherwise the sample's)
    mass                  instead: what a scale shows of it
    amount_by             key of the scale or vessel; otherwise a dipstick's or a shop scale's doubt
    vessel                `steel`, `glass` or `plastic`, if its own growth with warmth is to count
    residue               what an evaporated sample left: `0.125 g from 25 mL`
    sugar                 known sugar: `5 g/L`
    """

    readings: tuple[ReadingAsk, ...] = ()
    volume: str = ""
    volume_temp: str = ""
    mass: str = ""
    amount_by: str = ""
    vessel: str = ""
    residue: str = ""
    sugar: str = ""


@dataclass(frozen=True, slots=True)
class GaugeAnswer:
    """True strength and amount, the readings as they were understood, and what was assumed."""

    gauged: Gauged
    readings: tuple[Reading, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class WashAsk:
    """A must or a wash: one reading for a must, two or three for a wash that ferments or has fermented."""

    original: ReadingAsk | None = None
    gravity: ReadingAsk | None = None
    refractometer: ReadingAsk | None = None


@dataclass(frozen=True, slots=True)
class WashAnswer:
    """`must` from a single reading, as if no alcohol were in it; `washed` from two or three."""

    must: Must | None
    washed: Washed | None
    readings: tuple[SugarReading, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReduceAsk:
    """Bring spirit to a strength: with water, or with anything weaker or stronger.

    spirits      what there is; with `make_volume` or `make_mass` one spirit may come without an amount
    to           the strength wanted: `40 %`, `80 proof`
    add          what is added; water if it is left out
    make_volume, make_mass   how much to make; both empty uses all there is
    temp         at which volumes of the result are counted; otherwise 20 °C
    steps, rest  over how many additions, and how long it rests between them: `3 d`
    by           key of the scale or jug that what is added is measured with
    """

    spirits: tuple[LiquidAsk, ...] = ()
    to: str = ""
    add: LiquidAsk | None = None
    make_volume: str = ""
    make_mass: str = ""
    temp: str = ""
    steps: int = 1
    rest: str = ""
    by: str = "scale"


@dataclass(frozen=True, slots=True)
class ReduceAnswer:
    """What to take and to add, in one go (`mixture`) and, if asked for, in steps.

    gauged: the correction behind each spirit's strength that was given as a reading.
    """

    mixture: Mixture
    steps: tuple[Step, ...]
    to_pct_vol: float
    gauged: tuple[Gauged | None, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class MixAsk:
    """What results if these go together; volumes of the result are counted at `temp`, otherwise 20 °C."""

    liquids: tuple[LiquidAsk, ...] = ()
    temp: str = ""


@dataclass(frozen=True, slots=True)
class MixAnswer:
    """The mixture that results."""

    mixture: Mixture
    gauged: tuple[Gauged | None, ...]
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LabelAsk:
    """A measured strength against a label.

    label      as it stands there: `40 %`, `80 proof`
    rule       a key of `rules()`, or `other` with its own tolerance
    tolerance  plus or minus, for `other`: `0.3 %`
    spirit     the readings
    """

    label: str = ""
    rule: str = "eu"
    tolerance: str = ""
    spirit: GaugeAsk = GaugeAsk()


@dataclass(frozen=True, slots=True)
class LabelAnswer:
    """The verdict, and the gauging behind it."""

    check: LabelCheck
    gauged: Gauged
    assumed: tuple[str, ...]


def gauge(ask: GaugeAsk) -> GaugeAnswer:
    """What a spirit really is, and how much of it there is.

    Raises:
        InputError: text that makes no sense, or a reading that cannot be; says what was probably meant.
    """
    notes = typed.Notes()
    readings = tuple(typed.spirit_reading(one, notes, n) for n, one in enumerate(ask.readings, start=1))
    if not readings:
        raise MissingValue("The strength", "at least one reading", "47 % at 28 C")
    amount = typed.amount(
        ask.volume,
        ask.mass,
        ask.volume_temp,
        ask.amount_by,
        ask.vessel,
        ask.readings[0].thermometer,
        readings[0].temp_c,
        notes,
    )
    gauged = _gauge(readings, amount, typed.solids(ask.residue, ask.sugar))
    return GaugeAnswer(gauged, readings, tuple(notes.said))


def gauge_wash(ask: WashAsk) -> WashAnswer:
    """Gravity and potential strength of a must, or what is really in a wash.

    Raises:
        InputError: no reading, or readings that cannot be.
    """
    notes = typed.Notes()
    original = typed.sugar_reading(ask.original, notes, "original gravity") if ask.original else None
    gravity = typed.sugar_reading(ask.gravity, notes, "gravity now") if ask.gravity else None
    light = (
        typed.sugar_reading(ask.refractometer, notes, "refractometer", True) if ask.refractometer else None
    )
    if isinstance(gravity, RefractometerReading):
        light, gravity = light or gravity, None
    found = tuple(one for one in (original, gravity, light) if one)
    if not found:
        raise MissingValue("A wash", "at least one reading", "1.062 at 24 C")
    if len(found) == 1:
        return WashAnswer(must(found[0]), None, found, tuple(notes.said))
    washed = wash_now(
        original,
        gravity if isinstance(gravity, GravityReading) else None,
        light if isinstance(light, RefractometerReading) else None,
    )
    return WashAnswer(None, washed, found, tuple(notes.said))


def reduce(ask: ReduceAsk) -> ReduceAnswer:
    """How much water, or anything else, brings spirit to a strength.

    Raises:
        InputError: text that makes no sense, or an amount that is missing.
        ImpossibleIntent: a strength that cannot be mixed, or more than there is.
    """
    notes = typed.Notes()
    if not ask.spirits:
        raise MissingValue("A reduction", "at least one spirit", "20 L of 63 %")
    liquids = [
        typed.liquid(one, notes, _called("spirit", n, ask.spirits)) for n, one in enumerate(ask.spirits)
    ]
    portions = [typed.portion(one, liquid) for one, (liquid, _) in zip(ask.spirits, liquids, strict=True)]
    goal = typed.strength_pct_vol(ask.to, "the strength wanted")
    temp_c = _result_temp(ask.temp)
    add = _added(ask.add, notes)
    share = typed.instrument(ask.by, "scale", "volume").standard
    mixture = _reduced(ask, portions, goal, add, temp_c, share)
    steps: tuple[Step, ...] = ()
    if ask.steps != 1:
        rest_days = parse.duration_h(ask.rest, what="the rest") / 24.0 if ask.rest else REST_DAYS
        whole = [
            Portion(p.liquid, t.mass_kg, p.standard_share)
            for p, t in zip(portions, mixture.take, strict=True)
        ]
        steps = staged(whole, goal, ask.steps, add, temp_c, rest_days, share)
    return ReduceAnswer(mixture, steps, goal, tuple(g for _, g in liquids), tuple(notes.said))


def mix(ask: MixAsk) -> MixAnswer:
    """What results if these liquids go together.

    Raises:
        InputError: text that makes no sense, or an amount that is missing.
    """
    notes = typed.Notes()
    liquids = [
        typed.liquid(one, notes, _called("liquid", n, ask.liquids)) for n, one in enumerate(ask.liquids)
    ]
    portions = [typed.portion(one, liquid) for one, (liquid, _) in zip(ask.liquids, liquids, strict=True)]
    for one in portions:
        if math.isinf(one.mass_kg):
            raise MissingValue(one.liquid.name.capitalize(), "an amount", "20 L")
    mixture = _mix(portions, _result_temp(ask.temp))
    return MixAnswer(mixture, tuple(g for _, g in liquids), tuple(notes.said))


def check_label(ask: LabelAsk) -> LabelAnswer:
    """Whether a measured strength meets a label, as far as the instrument can tell.

    Raises:
        InputError: text that makes no sense, or an unknown rule.
    """
    tolerance = typed.strength_pct_vol(ask.tolerance, "the tolerance") if ask.tolerance else None
    by = _rule(ask.rule, tolerance)
    answer = gauge(ask.spirit)
    label = typed.label_pct_vol(ask.label)
    check = _check_label(label, answer.gauged.pct_vol, by, answer.readings[0].temp_c)
    return LabelAnswer(check, answer.gauged, answer.assumed)


def instruments() -> tuple[Instrument, ...]:
    """Every instrument a reading may name, with its limits of error and their source."""
    return tuple(_instruments().values())


def rules() -> tuple[Rule, ...]:
    """Every label rule by name; `other` takes a maker's own tolerance."""
    return tuple(_rules().values())


# The parts ---------------------------------------------------------------------------------------


def _reduced(
    ask: ReduceAsk, portions: list[Portion], goal: float, add: Liquid, temp_c: float, share: float
) -> Mixture:
    if not ask.make_volume and not ask.make_mass:
        for one in portions:
            if math.isinf(one.mass_kg):
                raise MissingValue(one.liquid.name.capitalize(), "an amount, or say how much to make", "20 L")
        return bring(portions, goal, add, temp_c, share)
    volume_l = parse.volume_l(ask.make_volume, what="the volume to make") if ask.make_volume else None
    scale_kg = parse.mass_kg(ask.make_mass, what="the mass to make") if ask.make_mass else None
    if len(portions) > 1 and any(math.isinf(one.mass_kg) for one in portions):
        raise MissingValue("Each of several spirits", "an amount", "20 L")
    return make(portions, goal, volume_l, scale_kg, add, temp_c, share)


def _added(ask: LiquidAsk | None, notes: typed.Notes) -> Liquid:
    if ask is None:
        return WATER
    if not ask.strength:
        temp_c = parse.temperature_c(ask.temp, what="the water's temperature") if ask.temp else WATER.temp_c
        return Liquid(ask.name or WATER.name, 0.0, temp_c)
    return typed.liquid(ask, notes, "what is added")[0]


def _result_temp(text: str) -> float:
    return parse.temperature_c(text, what="the mixture's temperature") if text else 20.0


def _called(noun: str, index: int, among: tuple[LiquidAsk, ...]) -> str:
    return noun if len(among) == 1 else f"{noun} {index + 1}"
