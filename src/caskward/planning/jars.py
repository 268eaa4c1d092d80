"""Receivers of a spirit run as data: what is in each jar, and what the maker thinks of it.

A jar holds masses of water and ethanol and, where they are known, milligrams of congeners; litres and %vol do
not add up, masses do. Modelled jars come as streams over worlds, gauged ones as litres and strength.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import isfinite
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from caskward.errors import NothingToChoose, NotUnderstood, OutOfRange
from caskward.planning.plan import Band
from caskward.planning.unknowns import Unknown, draw
from caskward.properties import alcohol
from caskward.properties.congeners import CONGENERS, volatility
from caskward.stages.stream import Stream, Worlds, spirit_of

STRONGEST_PCT_VOL = 96.0
"""Stronger than any jar from a small still; above it a reading is wrong."""
LARGEST_JAR_L = 2000.0
"""The largest receiver that a run is planned with, too."""
WORST, BEST = -2.0, 2.0
MARK_EXAMPLES = "+1, 0, -2, in, out, maybe or discard"

Place = Literal["in", "out", "maybe", "discard"]
_WORDS: Mapping[str, tuple[float, Place]] = {
    "in": (BEST, "in"),
    "out": (WORST, "out"),
    "maybe": (0.0, "maybe"),
    "discard": (WORST, "discard"),
}


@dataclass(frozen=True)
class Mark:
    """What the maker's nose says: a score from -2 to 2, and whether the jar must be in or out.

    "out" goes to the feints, "discard" (foreshots) goes nowhere a person drinks from.
    """

    score: float = 0.0
    place: Place = "maybe"


def read_mark(given: str | float, jar: str = "a jar") -> Mark:
    """A mark as a maker writes it: a number from -2 to 2, or in, out, maybe, discard.

    Raises:
        NotUnderstood: another word. OutOfRange: a number beyond the scale.
    """
    word = str(given).strip().lower().replace("\N{MINUS SIGN}", "-")
    if word in _WORDS:
        return Mark(*_WORDS[word])
    try:
        score = float(word)
    except ValueError:
        raise NotUnderstood(f"the mark of {jar}", str(given), MARK_EXAMPLES) from None
    if not WORST <= score <= BEST:
        raise OutOfRange(f"The mark of {jar}", score, "", WORST, BEST, f"Write it like {MARK_EXAMPLES}.")
    return Mark(score)


@dataclass(frozen=True)
class Jars:
    """Receivers in the order they came over; masses are (jars,) for one world or (jars, worlds).

    `traces_mg` is (jars, 16, worlds...) in the order of `CONGENERS`, not a number where nothing is known.
    """

    names: tuple[str, ...]
    ethanol_kg: Worlds
    water_kg: Worlds
    marks: tuple[Mark, ...]
    traces_mg: Worlds | None = None

    def __len__(self) -> int:
        """Number of jars."""
        return len(self.names)

    @property
    def lpa(self) -> Worlds:
        """Litres of pure alcohol in each jar."""
        return self.ethanol_kg * (1000.0 / alcohol.ETHANOL_DENSITY_20C)

    @property
    def scores(self) -> NDArray[np.float64]:
        """The maker's score of each jar."""
        return np.array([mark.score for mark in self.marks])

    def placed(self, *places: Place) -> NDArray[np.bool_]:
        """Which jars the maker has put into one of these places."""
        return np.array([mark.place in places for mark in self.marks], dtype=bool)

    def together(self, shares: NDArray[np.float64]) -> Stream:
        """So much of each jar (shares 0..1) in one vessel; traces are lost where a jar in it has none."""
        column = shares.reshape(-1, *[1] * (self.ethanol_kg.ndim - 1))
        traces_mg = None
        if self.traces_mg is not None:
            taken = column.reshape(-1, *[1] * (self.traces_mg.ndim - 1))
            traces_mg = np.where(taken > 0.0, taken * self.traces_mg, 0.0).sum(axis=0)
        return Stream.of(
            ethanol_kg=(column * self.ethanol_kg).sum(axis=0),
            water_kg=(column * self.water_kg).sum(axis=0),
            traces_mg=traces_mg,
        )

    def trace_mg(self, congeners: Sequence[str]) -> Worlds:
        """Sum of some congeners in each jar [mg]; not a number where nothing is known."""
        if self.traces_mg is None:
            return np.full_like(self.ethanol_kg, np.nan)
        for name in congeners:
            volatility(name)
        rows = [CONGENERS.index(name) for name in congeners]
        return np.asarray(self.traces_mg[:, rows].sum(axis=1))


def modelled_jars(receivers: Sequence[tuple[str, Stream]], marks: Sequence[Mark] | None = None) -> Jars:
    """Receivers of a forecast, in the order they come over; all `maybe` without marks.

    Raises:
        NothingToChoose: no receivers.
    """
    if not receivers:
        raise NothingToChoose
    names, streams = zip(*receivers, strict=True)
    given = tuple(marks) if marks is not None else (Mark(),) * len(names)
    traces = [s.traces_mg for s in streams]
    known = [t for t in traces if t is not None]
    traces_mg = None
    if known:
        shape = np.broadcast_shapes(*(t.shape for t in known))
        filled = [np.full(shape, np.nan) if t is None else np.broadcast_to(t, shape) for t in traces]
        traces_mg = np.stack(filled)
    return Jars(
        tuple(names),
        np.stack(np.broadcast_arrays(*(s.ethanol_kg for s in streams))),
        np.stack(np.broadcast_arrays(*(s.water_kg for s in streams))),
        given,
        traces_mg,
    )


@dataclass(frozen=True)
class Gauged:
    """One jar as measured: litres at 20 °C, %vol, the maker's mark, and congeners in it [mg] if known."""

    name: str
    volume_l: float
    pct_vol: float
    mark: Mark = Mark()
    traces_mg: Mapping[str, Band] = field(default_factory=dict)


@dataclass(frozen=True)
class GaugeDoubt:
    """How far all jars may be off together, 8 times in 10: one jug and one instrument read them all."""

    volume_share: float = 0.01
    strength_pct_vol: float = 0.3


def gauged_jars(
    gauged: Sequence[Gauged], worlds: int = 0, seed: int = 1, doubt: GaugeDoubt | None = None
) -> Jars:
    """Measured receivers, as they read (worlds = 0) or over worlds with the instruments' doubt.

    Args:
        gauged: the jars in the order they came over.
        worlds: number of worlds, a power of two; 0 for one world without doubt.
        seed: the same seed gives the same worlds.
        doubt: of jug and alcoholometer; *common practice, no source* where none is given.

    Raises:
        NothingToChoose: no jars. OutOfRange: litres below 0 or a strength over 96 %vol.
    """
    if not gauged:
        raise NothingToChoose
    for jar in gauged:
        _check(jar)
    volume, shift, places = _gauge_worlds(gauged, worlds, seed, doubt or GaugeDoubt())
    streams = []
    for jar in gauged:
        pct_vol = np.clip(jar.pct_vol + shift, 0.0, STRONGEST_PCT_VOL)
        spirit = spirit_of(jar.volume_l * volume, pct_vol)
        traces_mg = _traces(jar, places, spirit.ethanol_kg.shape)
        streams.append((jar.name, replace(spirit, traces_mg=traces_mg)))
    return modelled_jars(streams, [jar.mark for jar in gauged])


def _check(jar: Gauged) -> None:
    if not (isfinite(jar.volume_l) and 0.0 <= jar.volume_l <= LARGEST_JAR_L):
        hint = "Measure it again."
        raise OutOfRange(f"The volume of {jar.name}", jar.volume_l, "L", 0.0, LARGEST_JAR_L, hint)
    if not (isfinite(jar.pct_vol) and 0.0 <= jar.pct_vol <= STRONGEST_PCT_VOL):
        raise OutOfRange(
            f"The strength of {jar.name}",
            jar.pct_vol,
            "%vol",
            0.0,
            STRONGEST_PCT_VOL,
            "No pot still runs stronger: read it again at 20 °C, and write proof as proof.",
        )
    for name, mg in jar.traces_mg.items():
        volatility(name)
        if not 0.0 <= mg.low <= mg.mid <= mg.high:
            hint = "Give low, middle and high in order."
            raise OutOfRange(f"The least {name} in {jar.name}", mg.low, "mg", 0.0, mg.mid, hint)


def _gauge_worlds(
    gauged: Sequence[Gauged], worlds: int, seed: int, doubt: GaugeDoubt
) -> tuple[Worlds, Worlds, dict[str, Worlds]]:
    """Factor on every volume, shift of every strength [%vol], and each congener's place in its band."""
    names = sorted({name for jar in gauged for name in jar.traces_mg})
    if not worlds:
        return np.asarray(1.0), np.asarray(0.0), {name: np.asarray(0.0) for name in names}
    share, off = doubt.volume_share, doubt.strength_pct_vol
    unknowns = [
        Unknown("volume", "the jug", "reading", "real", 1 - share, 1.0, 1 + share, "common-practice"),
        Unknown("strength", "the meter", "reading", "real", -off, 0.0, off, "common-practice"),
        *(Unknown(n, n, "reading", "real", -1.0, 0.0, 1.0, "maker") for n in names),
    ]
    drawn = draw(unknowns, worlds, seed)
    return drawn["volume"], drawn["strength"], {name: drawn[name] for name in names}


def _traces(jar: Gauged, places: Mapping[str, Worlds], shape: tuple[int, ...]) -> Worlds | None:
    """Milligrams of each congener, (16, worlds...): at place -1, 0 and 1 the band's low, middle and high."""
    if not places:
        return None
    rows = np.full((len(CONGENERS), *shape), np.nan)
    for name, mg in jar.traces_mg.items():
        low, mid, high = (np.log(max(value, 1e-9)) for value in (mg.low, mg.mid, mg.high))
        place = places[name]
        rows[CONGENERS.index(name)] = np.exp(mid + np.where(place < 0.0, mid - low, high - mid) * place)
    return rows
