"""A material on the scale becomes a stream: its kilograms split by its analysis."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.stages.stream import Stream, Worlds


@dataclass(frozen=True)
class Analysis:
    """What a material is made of: moisture of the whole, the rest as shares of dry matter (0..1).

    What the shares of dry matter leave over is insoluble. Where a draw adds up to more than one, the
    dissolved solids that no yeast uses give way first (in syrups they vary against the sugars).
    """

    moisture: Worlds
    starch_dry: Worlds
    sugars_dry: Worlds
    sucrose_share: Worlds
    dextrin_dry: Worlds
    unfermentable_dry: Worlds


def weighed(kg: float, analysis: Analysis, temp_c: float) -> Stream:
    """The stream of so many kilograms of a material, as it arrives."""
    dry_kg = kg * (1.0 - analysis.moisture)
    of_use = analysis.starch_dry + analysis.sugars_dry + analysis.dextrin_dry
    fit_kg = dry_kg / np.maximum(of_use, 1.0)
    sugars_kg = fit_kg * analysis.sugars_dry
    rest_kg = np.maximum(dry_kg - fit_kg * of_use, 0.0)
    solubles_kg = np.minimum(dry_kg * analysis.unfermentable_dry, rest_kg)
    return Stream.of(
        temp_c=temp_c,
        water_kg=kg * analysis.moisture,
        hexose_kg=sugars_kg * (1.0 - analysis.sucrose_share),
        sucrose_kg=sugars_kg * analysis.sucrose_share,
        dextrin_kg=fit_kg * analysis.dextrin_dry,
        starch_kg=fit_kg * analysis.starch_dry,
        solubles_kg=solubles_kg,
        insolubles_kg=rest_kg - solubles_kg,
    )
