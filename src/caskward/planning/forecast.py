"""Forecast: the one path from a method to its outcome, over every world at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.pace import breathe, once
from caskward.planning.cask_forecast import cask_filled, share_into_cask
from caskward.planning.doubts import used_at_last
from caskward.planning.intent import Intent, SpiritStock, StillGear
from caskward.planning.late import rinsed, sugar_stream, top_up_stream
from caskward.planning.mash_forecast import Brought, Mash, brought_together, forecast_mash, planned_rests
from caskward.planning.method import Method
from caskward.planning.tub.schedule import MashSchedule
from caskward.planning.unknowns import Draw
from caskward.properties import alcohol, vle
from caskward.stages.balance import Loss
from caskward.stages.blend import BlendRecord, blend
from caskward.stages.distil import Still, StillUnknowns
from caskward.stages.ferment import FermentRecord, FermentUnknowns, ferment
from caskward.stages.mature import FillRecord
from caskward.stages.reduce import ReduceRecord, reduce
from caskward.stages.runs import (
    SpiritRecord,
    SpiritSettings,
    SpiritUnknowns,
    StripRecord,
    StripSettings,
    spirit_run,
    strip,
)
from caskward.stages.separate import (
    SeparateRecord,
    SeparateSettings,
    SeparateUnknowns,
    left_in_vessels,
    separate,
)
from caskward.stages.stream import Stream, Worlds, mixed

_WATER_COMES_OVER_TOO = 1.5
"""Litres of water added for each litre that must stay: some of it comes over with the tails."""
_WEAK_STOP = 1.5
"""Strength at the spout over that of a weak wash at which its strip ends; *common practice, no source*."""
_STILL_ROOM_C = 24.0
"""Temperature the wash has when it goes into the still room; *common practice, no source*."""


_STAGES = (
    "brought",
    "converted",
    "mash",
    "fermented",
    "strained",
    "rinsed",
    "low_wines",
    "feints_in",
    "run",
    "filled",
)
"""What a chain works out, each from those before it."""


@dataclass(frozen=True)
class Filled:
    """The end of the chain: the heart reduced, the cask filled, the rest over."""

    reduced: Stream
    reduce: ReduceRecord
    cask: Stream
    cask_record: FillRecord
    surplus: Stream
    loss: Loss


@dataclass(frozen=True)
class Course:
    """Everything that happens in a forecast, stage by stage; arrays over worlds."""

    mash: Mash
    fermented: Stream
    ferment: FermentRecord
    wash: Stream
    separate: SeparateRecord
    low_wines: Stream
    strip: StripRecord
    charge: Stream
    charge_record: BlendRecord
    spirit: SpiritRecord
    filled: Filled
    feints_in: Stream
    top_up: Stream
    losses: tuple[Loss, ...]

    @property
    def available_l(self) -> Worlds:
        """Spirit at entry strength, whether or not the cask takes it all [L]."""
        return self.filled.reduced.volume_l

    @property
    def cask(self) -> Stream:
        """What is in the cask, with the wood's water."""
        return self.filled.cask

    @property
    def surplus(self) -> Stream:
        """Spirit at entry strength that the cask does not take."""
        return self.filled.surplus

    @property
    def feints(self) -> Stream:
        """Heads and tails kept for the next batch."""
        return mixed(self.spirit.receivers.heads, self.spirit.receivers.tails)


class Chain:
    """A forecast, stage by stage, each worked out when it is asked for, and once.

    A reading of the wash needs nothing of the still. rests: those of the mash, where they are known already;
    they are the same in every world.
    """

    def __init__(
        self, intent: Intent, method: Method, worlds: Draw, rests: MashSchedule | None = None
    ) -> None:
        self.intent, self.method, self.worlds, self._rests = intent, method, worlds, rests

    @once
    def brought(self) -> Brought:
        """What is brought together before anything converts."""
        breathe()
        return brought_together(self.intent, self.method, self.worlds)

    @once
    def rests(self) -> MashSchedule | None:
        """The mash's rests; None without starch."""
        return self._rests or planned_rests(self.intent, self.method)

    @once
    def converted(self) -> Mash:
        """Sacks to tub, as the bill makes it."""
        breathe()
        return forecast_mash(self.intent, self.method, self.worlds, self.brought, self.rests)

    @once
    def mash(self) -> Mash:
        """The tub before yeast, with sugar that is stirred in beside the bill."""
        sugar = self.method.late.sugar
        if sugar is None:
            return self.converted
        return self.converted.with_sugar(
            sugar.material.key, sugar_stream(sugar, self.worlds, self.intent.site.room_c)
        )

    @once
    def fermented(self) -> tuple[Stream, FermentRecord]:
        """The tub when its ferment has ended."""
        breathe()
        return ferment(self.mash.tub, _ferment_unknowns(self.method, self.worlds))

    @once
    def strained(self) -> tuple[Stream, SeparateRecord]:
        """The wash off its grain."""
        breathe()
        moves = self.method.ferments + self.method.strips - self.method.late.more_strips
        unknowns = _separate_unknowns(self.worlds, moves)
        return separate(self.fermented[0].at(_STILL_ROOM_C), _separate_settings(self.intent), unknowns)

    @once
    def rinsed(self) -> tuple[Stream, SeparateRecord]:
        """What goes to the still: the wash, with the rinsings of its solids where they are rinsed."""
        how = self.method.late.rinse
        if how is None:
            return self.strained
        presses = _separate_settings(self.intent).presses
        return rinsed(self.strained, how, self.worlds, self.intent.site.water_c, presses)

    @property
    def wash(self) -> tuple[Stream, SeparateRecord]:
        """The wash as it is read: with its rinsings, unless it was read before them."""
        how = self.method.late.rinse
        return self.strained if how is not None and how.apart else self.rinsed

    @once
    def low_wines(self) -> tuple[Stream, StripRecord]:
        """All strips together."""
        breathe()
        return _strip(self.intent, self.method, self.worlds, self.rinsed[0])

    @once
    def feints_in(self) -> Stream:
        """Spirits from store that go into the charge."""
        return _stock_stream(self.method.spirits_in, self.worlds)

    @once
    def run(self) -> tuple[Stream, BlendRecord, Stream, SpiritRecord]:
        """The charge, how it was made, its heart, and the run."""
        breathe()
        portions = (self.low_wines[0].at(_STILL_ROOM_C), self.feints_in)
        charge, record, heart, spirit = _charged_and_run(self.intent, self.method, self.worlds, portions)
        if self.method.late.chosen is not None:
            heart = top_up_stream(self.method.late.chosen, self.worlds)
        return charge, record, heart, spirit

    @once
    def filled(self) -> Filled:
        """Heart to cask."""
        breathe()
        return _reduced_and_filled(self.intent, self.method, self.worlds, self.run[2])

    def cask_by(self, days: float) -> FillRecord:
        """The cask as a maker finds it some days after the fill."""
        return cask_filled(self.intent, self.method, self.worlds, self.filled.reduced, days)[1]

    def changed(self, first: str, intent: Intent, method: Method, worlds: Draw | None = None) -> Chain:
        """The forecast of a change that is felt from a stage on; what lies before it is kept."""
        found = Chain(intent, method, worlds or self.worlds, None if first == "converted" else self.rests)
        for stage in _STAGES[: _STAGES.index(first)]:
            found.__dict__[stage] = getattr(self, stage)
        return found

    @once
    def course(self) -> Course:
        """Everything, to the cask."""
        fermented, ferment_record = self.fermented
        wash, separate_record = self.rinsed
        low_wines, strip_record = self.low_wines
        charge, charge_record, _, spirit_record = self.run
        return Course(
            mash=self.mash,
            fermented=fermented,
            ferment=ferment_record,
            wash=wash,
            separate=separate_record,
            low_wines=low_wines,
            strip=strip_record,
            charge=charge,
            charge_record=charge_record,
            spirit=spirit_record,
            filled=self.filled,
            feints_in=self.feints_in,
            top_up=top_up_stream(self.method.late.top_up, self.worlds),
            losses=(
                *self.mash.losses,
                *ferment_record.losses,
                *separate_record.losses,
                *strip_record.losses,
                *spirit_record.losses,
                self.filled.loss,
            ),
        )


def forecast(intent: Intent, method: Method, worlds: Draw, rests: MashSchedule | None = None) -> Course:
    """Carry a method through every stage in every world."""
    return Chain(intent, method, worlds, rests).course


def _charged_and_run(
    intent: Intent, method: Method, worlds: Draw, portions: tuple[Stream, ...]
) -> tuple[Stream, BlendRecord, Stream, SpiritRecord]:
    """The charge, under its strength limit, and its run; water is added where a run would bare the still."""
    charge, record = blend(portions, method.charge_limit_pct_vol, least_l=0.0)
    heart, spirit = _spirit(intent, method, worlds, charge)
    must_stay_l = intent.gear.spirit_still.minimum_charge_l * method.spirit_runs
    short_l = np.maximum(must_stay_l - (charge.volume_l - spirit.receivers.volume_l), 0.0)
    if np.any(short_l > 0.0):
        least_l = charge.volume_l + _WATER_COMES_OVER_TOO * short_l
        charge, record = blend(portions, method.charge_limit_pct_vol, least_l)
        heart, spirit = _spirit(intent, method, worlds, charge)
    return charge, record, heart, spirit


def _reduced_and_filled(intent: Intent, method: Method, worlds: Draw, heart: Stream) -> Filled:
    """The heart, less what pipes keep, brought to entry strength; what the cask does not take is over."""
    heart, in_pipes = left_in_vessels(heart, worlds["fill.pipes_l"])
    if method.late.top_up is not None:
        heart = mixed(heart, top_up_stream(method.late.top_up, worlds))
    reduced, reduce_record = reduce(heart, method.entry_pct_vol)
    cask, cask_record = cask_filled(intent, method, worlds, reduced)
    return Filled(
        reduced=reduced,
        reduce=reduce_record,
        cask=cask,
        cask_record=cask_record,
        surplus=reduced.scaled(1.0 - share_into_cask(method, reduced)),
        loss=Loss("spirit left in pipes and funnel", in_pipes.mass_kg, in_pipes.ethanol_kg),
    )


def _ferment_unknowns(method: Method, worlds: Draw) -> FermentUnknowns:
    return FermentUnknowns(
        attenuation=worlds["ferment.attenuation"],
        dextrin_used=worlds["ferment.dextrin_used"],
        yield_of_theory=worlds["ferment.yield_of_theory"],
        tolerance_pct_vol=worlds["ferment.tolerance_pct_vol"],
        carried_off_share=worlds["ferment.carried_off_share"],
        gives_out_at=used_at_last(worlds, moved_on=method.ferment_moved_on_h is not None),
    )


def _separate_settings(intent: Intent) -> SeparateSettings:
    straining = intent.gear.straining
    return SeparateSettings(
        strains=straining.held_kg_per_kg_insolubles.high > 0, presses=straining.press_recovery.high > 0
    )


def _separate_unknowns(worlds: Draw, moves: int) -> SeparateUnknowns:
    return SeparateUnknowns(
        held_kg_per_kg=worlds["separate.held_kg_per_kg"],
        press_recovery=worlds["separate.press_recovery"],
        lees_share=worlds["separate.lees_share"],
        transfer_l=worlds["transfer.litres"] * moves,
    )


def still_of(intent: Intent, gear: StillGear) -> Still:
    """A pot of a plan as the runs meet it: its heat and the pressure where it stands."""
    pressure_kpa = vle.pressure_at_altitude(intent.site.altitude_m)
    return Still(gear.power_kw * gear.heat.efficiency.likely, pressure_kpa)


def strip_habits(worlds: Draw) -> StillUnknowns:
    """Reflux and heat lost in a strip."""
    return StillUnknowns(worlds["strip.reflux"], worlds["strip.heat_lost"])


def spirit_habits(worlds: Draw) -> StillUnknowns:
    """Reflux and heat lost in a spirit run."""
    return StillUnknowns(worlds["spirit.reflux"], worlds["spirit.heat_lost"])


def _strip(intent: Intent, method: Method, worlds: Draw, wash: Stream) -> tuple[Stream, StripRecord]:
    # A wash too weak for the planned stop still gives what is worth taking: no strip ends at its first drop.
    stop_pct_vol = np.minimum(method.strip_stop_pct_vol, _WEAK_STOP * wash.strength_pct_vol)
    settings = StripSettings(wash.volume_l / method.strips, stop_pct_vol)
    return strip(wash, still_of(intent, intent.gear.strip_still), settings, strip_habits(worlds))


def _spirit(intent: Intent, method: Method, worlds: Draw, charge: Stream) -> tuple[Stream, SpiritRecord]:
    still = still_of(intent, intent.gear.spirit_still)
    unknowns = SpiritUnknowns(spirit_habits(worlds), worlds["spirit.meter_error"])
    return spirit_run(
        charge, still, SpiritSettings(charge.volume_l / method.spirit_runs, method.cuts), unknowns
    )


def _stock_stream(spirits: tuple[SpiritStock, ...], worlds: Draw) -> Stream:
    """Low wines and feints from store, in every world as gauged."""
    ethanol_kg = water_kg = 0.0
    for stock in spirits:
        mass_fraction = float(alcohol.mass_fraction(stock.pct_vol))
        kg = stock.volume_l * float(alcohol.density(mass_fraction, 20.0)) / 1000.0
        ethanol_kg += kg * mass_fraction
        water_kg += kg * (1.0 - mass_fraction)
    return Stream.of(ethanol_kg=np.full(worlds.count, ethanol_kg), water_kg=np.full(worlds.count, water_kg))
