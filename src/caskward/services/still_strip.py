"""The strips of a wash: charges in turn, what is carried over, low wines, and where stopping pays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from caskward.catalogue.load import load
from caskward.errors import OutOfRange
from caskward.errors.batches import NoFullCharge
from caskward.planning.plan import Band, band
from caskward.services.still_charge import WASH_SOLUBLES_SHARE, CheckedCharge, checked, liquid_of
from caskward.services.still_covered import Bared, bared, bared_words
from caskward.services.still_gear import WORLDS, Gear, worlds_of
from caskward.services.still_mend import amount, rounded
from caskward.services.still_minds import minds_of
from caskward.services.still_paying import StopLine, stops_of
from caskward.services.still_pot import most_l, pot_of
from caskward.services.still_sense import sensible_start, sensible_stop
from caskward.services.still_strip_ends import check_end
from caskward.stages.charges import Charges, Charging, PotLimits, charges_of
from caskward.stages.distil import Profile, Still, StillUnknowns, Stop, distil
from caskward.stages.runs import StripSettings, strip
from caskward.stages.stream import Stream, Worlds
from caskward.units.types import UnitSystem

MOST_CHARGES = 200


@dataclass(frozen=True)
class StripAsk:
    """A wash to strip as it is asked for; no stop: as the trade does. solids_share: undissolved, of mass.

    system: units of what is said.
    """

    volume_l: float
    pct_vol: float
    gear: Gear
    style: str = "grain"
    stop: Stop | None = None
    solids_share: float = 0.0
    charging: Charging = "full then rest"
    start_c: float = 20.0
    worlds: int = WORLDS
    seed: int = 1
    system: UnitSystem = "metric"


@dataclass(frozen=True)
class ChargeLine:
    """One charge of the batch, in its turn, and what it gives and costs.

    rate_l_h: low wines an hour while it runs [L/h]; at its first drop and at its stop beside it.
    """

    number: int
    volume_l: float
    low_wines_l: Band
    low_wines_pct_vol: Band
    first_pct_vol: Band
    last_pot_c: Band
    heat_up_h: Band
    running_h: Band
    energy_kwh: Band
    rate_l_h: Band
    first_rate_l_h: Band
    last_rate_l_h: Band


@dataclass(frozen=True)
class StripReport:
    """A batch stripped; bands over worlds. recovered: alcohol in the low wines over that of the wash run.

    most_l: most of this wash that the pot takes at once. bared: charges that boil down under the element.
    """

    wash_l: float
    wash_pct_vol: float
    checked: CheckedCharge
    most_l: float
    bared: tuple[Bared, ...]
    style: str
    still: str
    stop_by: str
    stop_value: float
    charges: tuple[ChargeLine, ...]
    carried_l: float
    low_wines_l: Band
    low_wines_pct_vol: Band
    low_wines_lpa: Band
    recovered: Band
    hours: Band
    energy_kwh: Band
    cooling_kwh: Band
    stops: tuple[StopLine, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    worlds: int
    seed: int
    learned: str = ""


_CHARGING: dict[str, Charging] = {"equal": "equal", "full only": "full only"}


def charging(words: str) -> Charging:
    """A way to part a wash into charges; full ones and a smaller rest where no word says it."""
    return _CHARGING.get(words, "full then rest")


def strip_wash(ask: StripAsk) -> StripReport:
    """Forecast the strips of a wash.

    Raises:
        ChargeRefused: a charge that must not be lit. NothingCovers: one that bares its element, which
            nothing mends. MissingValue: no charge limit, no heat.
        InputError: a stop or a start that no strip of this wash can have.
    """
    gear, wash, pot = ask.gear, _wash(ask), pot_of(ask.gear, "still strip", ask.system)
    room_l = _room(wash, pot, ask)
    charges = charges_of(wash, room_l, ask.charging, gear.least_l)
    first = _first(charges, room_l, ask)
    looked_at = checked(first, gear, ask.system)
    sensible_start(first, ask.start_c, gear, ask.system)
    habit = worlds_of(gear, ask.style, ask.worlds, ask.seed).strip
    stop = ask.stop or Stop("spout_pct_vol", load().practice(ask.style).strip_stop_pct_vol.likely)
    sensible_stop(stop, float(first.volume_l), "The stop of each charge", ask.system)
    full = _line(first, gear.still, stop, habit)
    check_end(stop, full[1], ask.system)
    rest = [_line(charges.last, gear.still, stop, habit)] * round(float(charges.last_runs))
    lines = ([full] * round(float(charges.runs)), rest)
    return _report(ask, _Strips(wash, room_l, charges, stop, habit, (*lines[0], *lines[1])), looked_at, pot)


@dataclass(frozen=True)
class _Strips:
    """A wash, how it is parted, where each charge ends, and each charge's run in its turn."""

    wash: Stream
    room_l: float
    charges: Charges
    stop: Stop
    habit: StillUnknowns
    lines: tuple[tuple[Stream, Profile], ...]


def _report(ask: StripAsk, of: _Strips, looked_at: CheckedCharge, pot: PotLimits) -> StripReport:
    gear, wash, charges = ask.gear, of.wash, of.charges
    settings = StripSettings(of.room_l, 0.0, ask.charging, gear.least_l, of.stop)
    low_wines, record = strip(wash, gear.still, settings, of.habit)
    bare = _bared(of.lines, of.stop, pot)
    said = (*(bared_words(one, gear, ask.system) for one in bare), *looked_at.cautions)
    first, profile = of.lines[0]
    minds = minds_of(profile, gear, float(first.volume_l), wash=False, system=ask.system)
    return StripReport(
        wash_l=float(wash.volume_l),
        wash_pct_vol=float(wash.strength_pct_vol),
        checked=replace(looked_at, cautions=said),
        most_l=of.room_l,
        bared=bare,
        style=ask.style,
        still=gear.known_kind.name,
        stop_by=of.stop.by,
        stop_value=float(np.asarray(of.stop.value)),
        charges=tuple(_numbered(k, *line) for k, line in enumerate(of.lines, 1)),
        carried_l=float(charges.carried.volume_l),
        low_wines_l=band(low_wines.volume_l),
        low_wines_pct_vol=band(low_wines.strength_pct_vol),
        low_wines_lpa=band(low_wines.lpa),
        recovered=band(low_wines.lpa / (float(wash.lpa) - float(charges.carried.lpa))),
        hours=band(record.effort.heat_up_h + record.effort.running_h),
        energy_kwh=band(record.effort.energy_kwh),
        cooling_kwh=band(record.effort.cooling_kwh),
        stops=stops_of(gear, wash, charges, of.habit, of.room_l),
        cautions=_cautions(ask),
        warnings=(*minds, *_unmet(of.lines)),
        worlds=ask.worlds,
        seed=ask.seed,
        learned=gear.taught,
    )


def _room(wash: Stream, pot: PotLimits, ask: StripAsk) -> float:
    """Most of the wash at once, once it is weak enough; a strong wash is refused with water for all of it."""
    if float(wash.strength_pct_vol) > pot.strongest_pct_vol:
        checked(
            wash, replace(ask.gear, limit_l=None, working_l=None, brimful_l=None, least_l=0.0), ask.system
        )
    room_l = most_l(wash, pot, ask.system)
    if float(wash.volume_l) > MOST_CHARGES * room_l:
        count = float(np.ceil(wash.volume_l / room_l))
        raise OutOfRange("The number of charges", count, "", 1, MOST_CHARGES, "Check --limit.")
    return room_l


def _first(charges: Charges, room_l: float, ask: StripAsk) -> Stream:
    """The charge that is run first.

    Raises:
        NoFullCharge: full ones alone, and there is none. ChargeRefused: equal ones under the least.
    """
    if float(charges.runs) <= 0.0 and ask.charging == "full only":
        raise NoFullCharge(
            *(amount(rounded(v, ask.system, "down", 4), ask.system) for v in (ask.volume_l, room_l))
        )
    return charges.each if float(charges.runs) > 0.0 else charges.last


def _bared(lines: Sequence[tuple[Stream, Profile]], stop: Stop, pot: PotLimits) -> tuple[Bared, ...]:
    """Charges that boil down too far: the full ones, and the smaller one that comes last."""
    kinds = {float(charge.volume_l): profile for charge, profile in lines}
    names = ("Each charge" if len(lines) > len(kinds) else "The charge", "The last charge")
    found = (bared(name, profile, pot, stop) for name, profile in zip(names, kinds.values(), strict=False))
    return tuple(one for one in found if one is not None)


def _wash(ask: StripAsk) -> Stream:
    return liquid_of(ask.volume_l, ask.pct_vol, WASH_SOLUBLES_SHARE, ask.solids_share).at(ask.start_c)


def _line(charge: Stream, still: Still, stop: Stop, habit: StillUnknowns) -> tuple[Stream, Profile]:
    return charge, distil(charge, still, stop, habit)


def _numbered(number: int, charge: Stream, profile: Profile) -> ChargeLine:
    end, from_socket = profile.collected, profile.still.power_kw / profile.useful_kw
    running_h = profile.boiling_kwh[-1] / profile.useful_kw
    rate_l_h = _rate(profile.over_top.volume_l, profile.boiling_kwh / profile.useful_kw)
    return ChargeLine(
        number=number,
        volume_l=float(charge.volume_l),
        low_wines_l=band(end.volume_l[-1]),
        low_wines_pct_vol=band(end.strength_pct_vol[-1]),
        first_pct_vol=band(profile.spout_pct_vol[0]),
        last_pot_c=band(profile.pot_c[-1]),
        heat_up_h=band(profile.heat_up_h),
        running_h=band(running_h),
        energy_kwh=band((profile.heat_up_kwh + profile.boiling_kwh[-1]) * from_socket),
        rate_l_h=band(end.volume_l[-1] / np.where(running_h > 0.0, running_h, np.inf)),
        first_rate_l_h=band(rate_l_h[0]),
        last_rate_l_h=band(rate_l_h[-1]),
    )


def _rate(volume_l: Worlds, hours: Worlds) -> Worlds:
    """How fast it runs in each step of a run [L/h]; 0 where no time passes."""
    took_h = np.diff(hours, axis=0)
    return np.asarray(np.diff(volume_l, axis=0) / np.where(took_h > 0.0, took_h, np.inf))


def _cautions(ask: StripAsk) -> tuple[str, ...]:
    tags = (ask.style, "element") if ask.gear.element else (ask.style,)
    catalogue = load().cautions
    usual = [c.text for c in (*catalogue.at("strip", *tags), *catalogue.at("law"))]
    return tuple(usual)


def _unmet(lines: Sequence[tuple[Stream, Profile]]) -> tuple[str, ...]:
    """Where a smaller last charge is spent before its stop, as when litres or hours end it."""
    kinds = {float(charge.volume_l): profile for charge, profile in lines}
    missed = [1.0 - float(np.mean(profile.reached)) for profile in list(kinds.values())[1:]]
    return tuple(
        f"The last, smaller charge does not meet the stop in {_in_100(share)}: there it goes on until its "
        "alcohol is spent. Stop it sooner, or run equal charges: --charges equal"
        for share in missed
        if share > 0.0
    )


def _in_100(share: float) -> str:
    return f"{max(100.0 * share, 1.0):.0f} of 100 possible runs"
