"""What the faces may ask of gauging, and what comes back: frozen dataclasses.

An ask is text as a maker types it; an empty field takes what is usual, and the answer's `assumed` says what
that was, in whole sentences.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from caskward.gauging.attenuation import Washed
    from caskward.gauging.gravity import Must, SugarReading
    from caskward.gauging.label import LabelCheck
    from caskward.gauging.mixing import Mixture
    from caskward.gauging.readings import Reading
    from caskward.gauging.steps import Step
    from caskward.gauging.strength import Gauged


@dataclass(frozen=True, slots=True)
class ReadingAsk:
    """One reading as a maker types it; an empty field takes what is usual.

    reading        `47 % at 28 C`, `126.4 proof 82 F`, `0.9312 g/mL at 22 C`, `1.054 @ 31 C`, `13.2 Bx`
    temp           the sample's temperature, where the reading does not say it
    instrument     a key of `instruments()`; otherwise guessed from the digits of the reading
    error          the maker's own limit of error for it, plus or minus, in the reading's unit: `0.2`
    thermometer    a key of `instruments()`, or plus or minus so much: `0.2 K`; otherwise one good to 0.5 K
    calibrated_at  the scale's own temperature; otherwise 20 °C, and 60 °F for proof
    glass          false if what floats is of a material that does not grow like glass
    in_air         a density or gravity by weights in air
    mass, volume   instead of a reading: what a scale shows and the volume it filled
    corrects_itself   of a refractometer: it has its own correction for temperature
    """

    reading: str = ""
    temp: str = ""
    instrument: str = ""
    error: str = ""
    thermometer: str = ""
    calibrated_at: str = ""
    in_air: bool = False
    mass: str = ""
    volume: str = ""
    corrects_itself: bool = True
    glass: bool = True


@dataclass(frozen=True, slots=True)
class LiquidAsk:
    """A liquid to be mixed, as a maker types it.

    strength   `63 %`, `126 proof` (true), or a reading with its temperature, `65 % at 28 C`, corrected first
    volume     how much of it, or `mass`: what a scale shows; both empty where the answer is to say
    temp       at which its volume is measured; otherwise the reading's, or 20 °C
    doubt      plus or minus so many %vol, 95 in 100, of a true strength; of a reading its limit of error
    name       what to call it
    by         key of the scale or vessel it is measured with
    instrument, thermometer   of the reading, as in `ReadingAsk`
    """

    strength: str = ""
    volume: str = ""
    mass: str = ""
    temp: str = ""
    doubt: str = ""
    name: str = ""
    by: str = ""
    instrument: str = ""
    thermometer: str = ""


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
