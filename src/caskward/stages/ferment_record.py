"""What is kept of a ferment's course, and what follows from it: gravity, strength, gas, dry date, stuck."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from caskward.pace import once
from caskward.properties.alcohol import ETHANOL_DENSITY_20C
from caskward.stages.balance import Loss
from caskward.stages.ferment import HEAT_MJ_PER_KG_HEXOSE, Extent, co2_m3, part_way, written_off
from caskward.stages.stream import ETHANOL_KG_PER_KG_HEXOSE, Stream, Worlds

INVERTED_BY = 0.2
"""Share of the sugar by whose use all sucrose is split; *common practice, no source*."""
DRY_AT = 0.01
"""Dry: this share of the usable sugar is left."""
STILL_H, STILL, LEFT = 24.0, 1e-3, 0.02
"""Stuck: over so many hours at most this share is used, and more than that is left."""


@dataclass(frozen=True)
class FermentCourse:
    """A ferment in time: (hours, worlds...) arrays; what is not stored follows from how far it has gone.

    `used_hexose_kg` is the extent and `soured_kg` went to bacteria; `offered_kg` is what the yeast would use
    of all that has been set free by then (attenuation counted in), `usable_kg` of all there will ever be;
    `reach_kg` is the dextrin within reach. `cells_g_l` are in a litre of the starting wash, `awake` is the
    share of them over their lag.
    """

    wash: Stream
    hours: Worlds
    used_hexose_kg: Worlds
    soured_kg: Worlds
    from_dextrin_kg: Worlds
    offered_kg: Worlds
    usable_kg: Worlds
    reach_kg: Worlds
    temp_c: Worlds
    cells_g_l: Worlds
    awake: Worlds
    nitrogen_mg_l: Worlds
    ph: Worlds
    yield_of_theory: Worlds
    carried_off_share: Worlds

    def stream(self, i: int) -> Stream:
        """The wash at a grid point, its sugar still in it."""
        return self._part(i)[0].at(self.temp_c[i])

    def losses_by(self, i: int) -> tuple[Loss, ...]:
        """What has left it by a grid point."""
        return self._part(i)[1]

    @once
    def end(self) -> Stream:
        """The finished wash, as `ferment` gives it: sugar left is from now on dissolved solids."""
        return written_off(self.stream(-1))[0]

    @once
    def losses(self) -> tuple[Loss, ...]:
        """Every loss from the start to `end`."""
        part, losses = self._part(-1)
        return (losses[0], written_off(part)[1], *losses[1:])

    @once
    def whole(self) -> Stream:
        """The wash at every grid point, (hours, worlds...); congeners are left out."""
        plain = replace(self.wash, traces_mg=None)
        out, _ = part_way(plain, self._extent(slice(None)), self.yield_of_theory, self.carried_off_share)
        return replace(out, temp_c=self.temp_c)

    @once
    def liquid_l(self) -> Worlds:
        """Volume of the liquid [L at 20 °C]."""
        return self.whole.liquid_l

    @once
    def sugar_g_l(self) -> Worlds:
        """Sugar in the liquid, as hexose, with what the yeast will leave [g/L]."""
        return np.asarray(1000.0 * self.whole.fermentable_kg / self.liquid_l)

    @once
    def ethanol_g_l(self) -> Worlds:
        """Ethanol in the liquid [g/L]."""
        return np.asarray(1000.0 * self.whole.ethanol_kg / self.liquid_l)

    @once
    def strength_pct_vol(self) -> Worlds:
        """Alcohol in the liquid [%vol at 20 °C]."""
        return np.asarray(self.ethanol_g_l * (100.0 / ETHANOL_DENSITY_20C))

    @once
    def specific_gravity(self) -> Worlds:
        """Gravity of the liquid, 20 °C over water at 20 °C."""
        return self.whole.specific_gravity

    @property
    def final_gravity(self) -> Worlds:
        """Gravity at the last hour."""
        return self.end.specific_gravity

    @once
    def co2_kg(self) -> Worlds:
        """Carbon dioxide made so far [kg]."""
        pure = 1.0 - ETHANOL_KG_PER_KG_HEXOSE
        return np.asarray(pure * self.yield_of_theory * self.used_hexose_kg)

    @property
    def co2_m3(self) -> Worlds:
        """Its volume at 20 °C [m³]."""
        return co2_m3(self.co2_kg)

    @property
    def heat_kw(self) -> Worlds:
        """Heat the yeast makes between grid points [kW], (hours - 1, worlds...)."""
        kj = 1000.0 * HEAT_MJ_PER_KG_HEXOSE * np.diff(self.used_hexose_kg, axis=0)
        return np.asarray(kj / (3600.0 * _along(np.diff(self.hours), kj.ndim)))

    @property
    def gone(self) -> Worlds:
        """Share of all the usable sugar that is gone (to yeast or bacteria), 0 to 1."""
        some = np.maximum(self.usable_kg, 1e-12)
        return np.where(self.usable_kg > 1e-12, (self.used_hexose_kg + self.soured_kg) / some, 1.0)

    @once
    def dry_h(self) -> Worlds:
        """When 99 % of the usable sugar is gone [h]; inf where it is not by the last hour."""
        gone, goal = self.gone, 1.0 - DRY_AT
        late = np.argmax(gone >= goal, axis=0)
        early = np.maximum(late - 1, 0)
        after, before = (np.take_along_axis(gone, at[None], axis=0)[0] for at in (late, early))
        part = np.clip((goal - before) / np.maximum(after - before, 1e-12), 0.0, 1.0)
        at_h = self.hours[early] + part * (self.hours[late] - self.hours[early])
        return np.where(np.any(gone >= goal, axis=0), at_h, np.inf)

    @once
    def stuck(self) -> NDArray[np.bool_]:
        """Worlds that have not moved over the last 24 hours with sugar left that the yeast could use."""
        since = int(np.searchsorted(self.hours, self.hours[-1] - STILL_H + 1e-9, side="right")) - 1
        if since < 0:
            return np.zeros(self.gone.shape[1:], dtype=bool)
        return np.asarray((self.gone[-1] - self.gone[since] < STILL) & (self.gone[-1] < 1.0 - LEFT))

    def _extent(self, i: int | slice) -> Extent:
        used_kg, soured_kg = self.used_hexose_kg[i], self.soured_kg[i]
        early_kg = INVERTED_BY * np.maximum(self.wash.fermentable_kg, 1e-12)
        inverted = np.minimum((used_kg + soured_kg) / early_kg, 1.0)
        return Extent(used_kg, self.from_dextrin_kg[i], inverted, soured_kg)

    def _part(self, i: int) -> tuple[Stream, tuple[Loss, ...]]:
        return part_way(self.wash, self._extent(i), self.yield_of_theory, self.carried_off_share)


def _along(values: Worlds, dimensions: int) -> Worlds:
    """Along the first of so many axes."""
    return values.reshape(-1, *(1,) * (dimensions - 1))
