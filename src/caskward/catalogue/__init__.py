"""Facts about materials, enzymes, yeasts, casks, gear and habits, each with its doubt and its source.

`fact` is one value with low, likely and high; `kinds` are the dataclasses; `read` turns TOML tables into
them; `load` gives the `Catalogue` and looks names up; `analysis` takes a maker's own figures for a lot;
`traces` are the congeners and the legal limits on them.
The facts themselves are the TOML files beside this one, written to be read and added to by hand.
"""

from .fact import Fact
from .kinds import (
    CaskSize,
    Caution,
    Cautions,
    Enzyme,
    Material,
    PotKind,
    Practice,
    StillKind,
    Straining,
    TubKind,
    WoodKind,
    Yeast,
)
from .load import Catalogue, load, material_from_analysis
from .traces import Congener, LegalLimit, SpiritLevels, Threshold, WashLevels

__all__ = [
    "CaskSize",
    "Catalogue",
    "Caution",
    "Cautions",
    "Congener",
    "Enzyme",
    "Fact",
    "LegalLimit",
    "Material",
    "PotKind",
    "Practice",
    "SpiritLevels",
    "StillKind",
    "Straining",
    "Threshold",
    "TubKind",
    "WashLevels",
    "WoodKind",
    "Yeast",
    "load",
    "material_from_analysis",
]
