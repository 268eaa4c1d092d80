"""Converting: starch becomes sugar, by enzymes or by malt; what stays starch is named.

An end-point model: the share converted is a distribution, not a course in time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.stages.balance import Loss
from caskward.stages.stream import (
    ETHANOL_KG_PER_KG_HEXOSE,
    HEXOSE_KG_PER_KG_GLUCAN,
    Stream,
    Worlds,
)


@dataclass(frozen=True)
class ConvertUnknowns:
    """Share of the starch that is split, and share of the split that yeast can use."""

    conversion: Worlds
    fermentable_share: Worlds


@dataclass(frozen=True)
class ConvertRecord:
    """What was split and what the gravity says."""

    starch_in_kg: Worlds
    converted_share: Worlds
    specific_gravity: Worlds
    losses: tuple[Loss, ...]


def convert(mash: Stream, gelatinised: Worlds, unknowns: ConvertUnknowns) -> tuple[Stream, ConvertRecord]:
    """Split swollen starch into sugar and dextrin; the rest stays with the grain as "not converted".

    Args:
        mash: cooked or mashed grain with its water.
        gelatinised: share of the starch that has swollen and can be split [0..1].
        unknowns: conversion of swollen starch and share of it that yeast can use [0..1].
    """
    split_kg = mash.starch_kg * gelatinised * unknowns.conversion
    to_sugar_kg = split_kg * unknowns.fermentable_share
    out, loss = set_aside(split(mash, split_kg, to_sugar_kg))
    record = ConvertRecord(
        starch_in_kg=mash.starch_kg,
        converted_share=gelatinised * unknowns.conversion,
        specific_gravity=out.specific_gravity,
        losses=(loss,),
    )
    return out, record


def split(mash: Stream, split_kg: Worlds, to_sugar_kg: Worlds) -> Stream:
    """The mash after so much of its starch was split [kg], and so much starch or dextrin became sugar [kg].

    Sugar takes up its water, `HEXOSE_KG_PER_KG_GLUCAN`; dextrin is counted as dry as starch.
    """
    hexose_kg = HEXOSE_KG_PER_KG_GLUCAN * to_sugar_kg
    return mash.with_masses(
        water_kg=mash.water_kg - (hexose_kg - to_sugar_kg),
        hexose_kg=mash.hexose_kg + hexose_kg,
        dextrin_kg=mash.dextrin_kg + split_kg - to_sugar_kg,
        starch_kg=mash.starch_kg - split_kg,
    )


def set_aside(mash: Stream) -> tuple[Stream, Loss]:
    """Starch that is left goes with the grain; the alcohol it could have become is the loss."""
    left_kg = mash.starch_kg
    potential_kg = ETHANOL_KG_PER_KG_HEXOSE * HEXOSE_KG_PER_KG_GLUCAN * left_kg
    out = mash.with_masses(starch_kg=np.zeros_like(left_kg), insolubles_kg=mash.insolubles_kg + left_kg)
    return out, Loss("starch not converted", np.zeros_like(left_kg), potential_kg)
