"""The still as it stands, what is not known about it, and where a run ends."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, get_args

import numpy as np

from caskward.errors import UnknownName
from caskward.properties import vle
from caskward.properties._arrays import check_range
from caskward.stages.columns import BARE, Column
from caskward.stages.holdup import HoldUp
from caskward.stages.stream import Worlds


@dataclass(frozen=True)
class Still:
    """A still: heat of its burner or element [kW], pressure where it stands [kPa], what is over the pot."""

    power_kw: float
    kpa: float = vle.STANDARD_KPA
    column: Column = BARE
    hold_up: HoldUp | None = None

    @classmethod
    def at_altitude(
        cls, metres: float, power_kw: float, column: Column | None = None, hold_up: HoldUp | None = None
    ) -> Still:
        """A still at a height above the sea [m], -400 to 9,000 (boiling holds down to 30 kPa)."""
        return cls(power_kw, float(vle.pressure_at_altitude(metres)), column or BARE, hold_up)


@dataclass(frozen=True)
class StillUnknowns:
    """Share of the vapour that head and lyne arm send back; share of the heat that is lost; traces.

    `trace_places` says where in its band each congener's volatility lies, (16, worlds...): 0 on the curve,
    -1 and 1 at the edges (drawn with those as low and high, it is a log-normal factor); None for the curves.
    """

    reflux: float | Worlds = 0.05
    heat_lost_share: float | Worlds = 0.15
    trace_places: Worlds | None = None

    def __post_init__(self) -> None:
        check_range("The head's reflux", self.reflux, "", 0.0, 0.95, "A bare pot's head returns 5-15 %.")
        check_range("The share of heat lost", self.heat_lost_share, "", 0.0, 0.95)


StopBy = Literal[
    "spout_pct_vol",
    "pot_pct_vol",
    "pot_c",
    "vapour_c",
    "volume_l",
    "own_volume_l",
    "hours",
    "alcohol_share",
]

_ALLOWED: dict[StopBy, tuple[str, str, float, float]] = {
    "spout_pct_vol": ("The strength at the spout", "%vol", 0.01, 99.0),
    "pot_pct_vol": ("The strength in the pot", "%vol", 0.001, 90.0),
    "pot_c": ("The pot's temperature", "°C", 40.0, 105.0),
    "vapour_c": ("The vapour's temperature", "°C", 40.0, 105.0),
    "volume_l": ("The volume collected", "L", 0.0, np.inf),
    "own_volume_l": ("The receiver's volume", "L", 0.0, np.inf),
    "hours": ("The time since the first drop", "h", 0.0, np.inf),
    "alcohol_share": ("The share of the charge's alcohol", "", 0.0, 1.0),
}


@dataclass(frozen=True)
class Stop:
    """A moment of a run: when a figure reaches a value, in each world as it is.

    by: "spout_pct_vol" strength at the spout falls to it [%vol]; "pot_pct_vol" that of the liquid in the pot
        (its water and alcohol alone); "pot_c", "vapour_c" the pot's or the vapour's temperature on top rises
        to it [°C]; "volume_l" so much has run from the spout [L at 20 °C]; "own_volume_l" so much into the
        receiver that is running; "hours" since the first drop; "alcohol_share" of the charge's alcohol has
        come over [-].
    value: plain number, or an array over worlds.
    """

    by: StopBy
    value: float | Worlds

    def __post_init__(self) -> None:
        if self.by not in _ALLOWED:
            raise UnknownName("way to stop", str(self.by), None, get_args(StopBy))
        name, unit, low, high = _ALLOWED[self.by]
        check_range(name, self.value, unit, low, high)
