"""What the still's answers say in words, the same on screen and on paper: what all of them share."""

from __future__ import annotations

from caskward.planning.plan import Band
from caskward.services.still_congeners import THRESHOLDS_ARE_WEAK
from caskward.services.still_stops import Stopped, stop_words
from caskward.units import convert, show
from caskward.units.types import UnitSystem

__all__ = ["Stopped", "stop_words"]

NOSE_DECIDES = (
    "These are habits of the trade for pot stills, as an aid: your nose and local practice decide where to "
    "cut."
)
Room = int
"""How much room a table has for bands: 0 for the most needed alone, up to `ROOMS[0]` for all of them."""
ROOMS = (3, 2, 1, 0)
BANDS = "In brackets: the truth lies inside 8 times in 10."
SOME_HAVE_ENDED = "Past the point where some runs have ended, bands are over those that still run."
FULL_POWER = (
    "Hours are at the power you gave, all the way; a run that is turned down takes longer, and its head "
    "sends more back."
)
CONGENERS_ARE_PRIORS = (
    "Congeners start from what washes of this style usually hold, not from yours; what heat and copper make "
    "or take in the pot is not in them."
)
NOT_FOR_CUTS = THRESHOLDS_ARE_WEAK


def drawn(worlds: int, seed: int) -> str:
    """How many worlds stand behind the figures, and that they can be had again."""
    return f"{worlds} possible runs drawn, seed {seed}: the same words give the same figures."


def pure(lpa: Band) -> str:
    """Litres of pure alcohol with their band."""
    return show.band(lpa.low, lpa.mid, lpa.high, lambda value: f"{value:.2f} L")


def litres(volume_l: float, system: UnitSystem) -> float:
    """A volume as the maker's own number."""
    return volume_l if system == "metric" else convert.us_gallons_from_litres(volume_l)


def litre_band(b: Band, system: UnitSystem) -> Band:
    """A volume's band in the maker's own numbers."""
    return Band(*(litres(v, system) for v in (b.low, b.mid, b.high)))


def litre_unit(system: UnitSystem) -> str:
    """`L` or `gal`."""
    return "L" if system == "metric" else "gal"


def litre_word(system: UnitSystem) -> str:
    """`litres` or `gallons`."""
    return "litres" if system == "metric" else "gallons"


def degree(system: UnitSystem) -> str:
    """`°C` or `°F`."""
    return "°C" if system == "metric" else "°F"


def warmth(b: Band, system: UnitSystem) -> Band:
    """A temperature's band in the maker's own degrees."""
    if system == "metric":
        return b
    return Band(*(convert.fahrenheit_from_celsius(v) for v in (b.low, b.mid, b.high)))


def plain(b: Band, digits: int, *, banded_too: bool = True) -> str:
    """A band's numbers without a unit: `77.8 (76.2–80.2)`; one number where they look alike; no -0."""
    low, mid, high = (_unsigned(f"{v:.{digits}f}") for v in (b.low, b.mid, b.high))
    return mid if low == high or not banded_too else f"{mid} ({low}–{high})"


def _unsigned(digits: str) -> str:
    return digits.removeprefix("-") if float(digits) == 0.0 else digits


def rough(b: Band, *, banded_too: bool = True) -> str:
    """A band in two digits, for what is known to a factor: `430 (180–1100)`."""
    low, mid, high = (_two(v) for v in (b.low, b.mid, b.high))
    return mid if low == high or not banded_too else f"{mid} ({low}–{high})"


def _two(value: float) -> str:
    if value >= 10.0:
        return f"{float(f'{value:.2g}'):.0f}"
    return f"{value:.2g}" if value >= 1e-3 else "0"
