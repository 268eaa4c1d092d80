"""One tub's wash taken off its solids: what runs off, what stays in the grain, what a rinse would win."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.planning.sizing import Sized
from caskward.planning.unknowns import Draw
from caskward.stages.rinse import Rinsed, RinseSettings, RinseUnknowns, hours_of_hands, rinse
from caskward.stages.separate import (
    MOST_HELD,
    SeparateRecord,
    SeparateSettings,
    SeparateUnknowns,
    separate,
)
from caskward.stages.stream import Stream, Worlds, mixed

STILL_ROOM_C = 24.0
"""Temperature the wash has when it goes to the still; *common practice, no source*."""
_LIQUID = ("water_kg", "ethanol_kg", "hexose_kg", "sucrose_kg", "dextrin_kg", "solubles_kg")


@dataclass(frozen=True)
class Drained:
    """One tub parted: wash for the still, the record, alcohol held [LPA], hands [h], one rinse.

    `behind_l` is what runs off or is pressed and does not come to the still: on lees, in hoses and vessels.
    `hands_h` is least, likely and most, by the catalogue. `rinse` is None where nothing is strained.
    """

    wash: Stream
    record: SeparateRecord
    held_lpa: Worlds
    hands_h: tuple[float, float, float]
    behind_l: Worlds
    rinse: Rinsed | None


def drain(sized: Sized, worlds: Draw, fermented: Stream) -> Drained:
    """Part one tub as the gear does it; wash that stays on its grain passes whole."""
    straining, method = sized.intent.gear.straining, sized.method
    settings = SeparateSettings(
        straining.held_kg_per_kg_insolubles.high > 0, straining.press_recovery.high > 0
    )
    moves = 1.0 + method.strips / method.ferments
    unknowns = SeparateUnknowns(
        held_kg_per_kg=worlds["separate.held_kg_per_kg"],
        press_recovery=worlds["separate.press_recovery"],
        lees_share=worlds["separate.lees_share"],
        transfer_l=worlds["transfer.litres"] * moves,
    )
    fermented = fermented.at(STILL_ROOM_C)
    wash, record = separate(fermented, settings, unknowns)
    strength_share = fermented.strength_pct_vol / 100.0
    if not settings.strains:
        behind_l = np.asarray(fermented.volume_l - wash.volume_l)
        return Drained(wash, record, np.zeros(worlds.count), (0.0, 0.0, 0.0), behind_l, None)
    solids_kg = float(np.median(record.wet_solids_kg))
    rates = (straining.hours_per_100_kg, straining.minimum_hours)
    low, likely, high = (
        float(hours_of_hands(solids_kg, getattr(rates[0], end), getattr(rates[1], end)))
        for end in ("low", "likely", "high")
    )
    rinsed = _rinsed(sized, worlds, fermented, settings)
    behind_l = np.asarray(record.strained_l + record.pressed_l - wash.volume_l)
    return Drained(wash, record, record.held_l * strength_share, (low, likely, high), behind_l, rinsed)


def _rinsed(sized: Sized, worlds: Draw, fermented: Stream, settings: SeparateSettings) -> Rinsed:
    """One rinse with as much water as the drained solids hold."""
    held_per_kg = worlds["separate.held_kg_per_kg"]
    held_kg = np.minimum(held_per_kg * fermented.solids_kg, MOST_HELD * fermented.liquid_kg)
    share = held_kg / np.maximum(fermented.liquid_kg, 1e-12)
    nothing = np.zeros_like(fermented.solids_kg)
    liquid = fermented.with_masses(starch_kg=nothing, insolubles_kg=nothing)
    dry = fermented.with_masses(**dict.fromkeys(_LIQUID, nothing))
    spent = mixed(dry, liquid.scaled(share))
    litres = float(np.median(liquid.scaled(share).liquid_l))
    how = RinseSettings(1, litres, sized.intent.site.water_c, settings.presses)
    return rinse(
        spent, liquid.scaled(1.0 - share), how, RinseUnknowns(held_per_kg, worlds["separate.press_recovery"])
    )
