"""Separating: the wash is strained or settled off the grain and fruit, which keep part of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.stages.balance import Loss, loss_of
from caskward.stages.stream import Stream, Worlds, mixed

MOST_HELD = 0.9
"""Share of the liquid that solids can hold at most: some always runs off; *common practice, no source*."""


@dataclass(frozen=True)
class SeparateSettings:
    """How the wash leaves the solids: strained at all, and pressed after."""

    strains: bool
    presses: bool


@dataclass(frozen=True)
class SeparateUnknowns:
    """What the solids, the lees and the vessels keep.

    Liquid held by drained solids [kg per kg dry], share of it that a press gives back, share of the
    clear wash left on its lees, litres left in hoses and vessels.
    """

    held_kg_per_kg: Worlds
    press_recovery: Worlds
    lees_share: Worlds
    transfer_l: Worlds


@dataclass(frozen=True)
class SeparateRecord:
    """Volumes [L at 20 °C] that run off, that the press gives, and that stay in the solids.

    `spent` is the solids with what they hold; nothing where the wash keeps its grain.
    """

    strained_l: Worlds
    pressed_l: Worlds
    held_l: Worlds
    wet_solids_kg: Worlds
    spent: Stream
    losses: tuple[Loss, ...]


def separate(
    wash: Stream, settings: SeparateSettings, unknowns: SeparateUnknowns
) -> tuple[Stream, SeparateRecord]:
    """Take the liquid off the solids; what they keep is the loss "held by the grain" (or fruit).

    Wash left on its grain (no straining) passes whole; only hoses and vessels keep a little.
    """
    solids_kg = wash.solids_kg
    drained_kg = np.minimum(unknowns.held_kg_per_kg * solids_kg, MOST_HELD * wash.liquid_kg)
    if not settings.strains:
        drained_kg = np.zeros_like(drained_kg)
    pressed_kg = drained_kg * (unknowns.press_recovery if settings.presses else 0.0)
    held_share = (drained_kg - pressed_kg) / np.maximum(wash.liquid_kg, 1e-12)
    liquid = wash.with_masses(starch_kg=np.zeros_like(solids_kg), insolubles_kg=np.zeros_like(solids_kg))
    on_lees_share = (1.0 - held_share) * (unknowns.lees_share if settings.strains else 0.0)
    held, lees = liquid.scaled(held_share), liquid.scaled(on_lees_share)
    solids = wash.with_masses(
        **{
            name: np.zeros_like(solids_kg)
            for name in ("water_kg", "ethanol_kg", "hexose_kg", "sucrose_kg", "dextrin_kg", "solubles_kg")
        }
    )
    clear = liquid.scaled(1.0 - held_share - on_lees_share) if settings.strains else wash
    out, in_pipes = left_in_vessels(clear, unknowns.transfer_l)
    spent: tuple[Loss, ...] = ()
    if settings.strains:
        spent = (
            loss_of("held by the spent solids", held),
            loss_of("left on the lees", lees),
            loss_of("spent solids", solids),
        )
    per_kg_l = liquid.liquid_l / np.maximum(wash.liquid_kg, 1e-12)
    record = SeparateRecord(
        strained_l=(wash.liquid_kg - drained_kg) * per_kg_l,
        pressed_l=pressed_kg * per_kg_l,
        held_l=held.liquid_l,
        wet_solids_kg=solids.total_kg + held.total_kg if settings.strains else np.zeros_like(solids_kg),
        spent=mixed(solids, held) if settings.strains else wash.scaled(0.0),
        losses=(*spent, in_pipes),
    )
    return out, record


def left_in_vessels(stream: Stream, litres: Worlds) -> tuple[Stream, Loss]:
    """What a move leaves in hoses and vessels: so many litres, never more than a tenth."""
    share = np.minimum(litres / np.maximum(stream.volume_l, 1e-12), 0.1)
    return stream.scaled(1.0 - share), loss_of("left in hoses and vessels", stream.scaled(share))
