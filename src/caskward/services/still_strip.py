"""The strips of a wash: charges in turn, what is carried over, low wines, and where stopping pays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from caskward.catalogue.load import load
from caskward.errors import MissingValue
from caskward.planning.plan import Band, band
from caskward.services.still_charge import WASH_SOLUBLES_SHARE, CheckedCharge, checked, liquid_of
from caskward.services.still_gear import WORLDS, Gear, worlds_of
from caskward.stages.charges import Charging, charges_of
from caskward.stages.distil import Profile, Still, StillUnknowns, Stop, distil
from caskward.stages.runs import StripSettings, strip
from caskward.stages.stream import Stream, Worlds
from caskward.stages.trade_off import stop_trade_off

SPOUT_STOPS_PCT_VOL = (20.0, 15.0, 12.0, 10.0, 8.0, 6.0, 5.0, 4.0, 3.0, 2.0, 1.0)


@dataclass(frozen=True)
class StripAsk:
    """A wash to strip as it is asked for; no stop: as the trade does. solids_share: undissolved, of mass."""

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


@dataclass(frozen=True)
class ChargeLine:
    """One charge of the batch, in its turn, and what it gives and costs."""

    number: int
    volume_l: float
    low_wines_l: Band
    low_wines_pct_vol: Band
    first_pct_vol: Band
    last_pot_c: Band
    heat_up_h: Band
    running_h: Band
    energy_kwh: Band


@dataclass(frozen=True)
class StopLine:
    """All charges stripped until the spout shows a strength; `extra` figures are from the stop before."""

    stop_pct_vol: float
    lpa: Band
    low_wines_l: Band
    low_wines_pct_vol: Band
    hours: Band
    energy_kwh: Band
    extra_lpa: Band | None
    kwh_per_extra_lpa: Band | None
    hours_per_extra_lpa: Band | None


@dataclass(frozen=True)
class StripReport:
    """A batch stripped; bands over worlds. recovered: alcohol in the low wines over that of the wash run."""

    wash_l: float
    wash_pct_vol: float
    checked: CheckedCharge
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
        ChargeRefused: a charge that must not be lit. MissingValue: no charge limit.
    """
    gear, wash, limit_l = ask.gear, _wash(ask), _limit(ask.gear)
    charges = charges_of(wash, limit_l, ask.charging, gear.least_l)
    first = charges.each if float(charges.runs) > 0.0 else charges.last
    looked_at = checked(first, gear)
    habit = worlds_of(gear, ask.style, ask.worlds, ask.seed)
    stop = ask.stop or Stop("spout_pct_vol", load().practice(ask.style).strip_stop_pct_vol.likely)
    settings = StripSettings(limit_l, 0.0, ask.charging, gear.least_l, stop)
    low_wines, record = strip(wash, gear.still, settings, habit.strip)
    lines = [
        *[_line(charges.each, gear.still, stop, habit.strip)] * round(float(charges.runs)),
        *[_line(charges.last, gear.still, stop, habit.strip)] * round(float(charges.last_runs)),
    ]
    run_lpa = float(wash.lpa) - float(charges.carried.lpa)
    return StripReport(
        wash_l=float(wash.volume_l),
        wash_pct_vol=float(wash.strength_pct_vol),
        checked=looked_at,
        style=ask.style,
        still=gear.known_kind.name,
        stop_by=stop.by,
        stop_value=float(np.asarray(stop.value)),
        charges=tuple(_numbered(k, *line) for k, line in enumerate(lines, 1)),
        carried_l=float(charges.carried.volume_l),
        low_wines_l=band(low_wines.volume_l),
        low_wines_pct_vol=band(low_wines.strength_pct_vol),
        low_wines_lpa=band(low_wines.lpa),
        recovered=band(low_wines.lpa / run_lpa),
        hours=band(record.effort.heat_up_h + record.effort.running_h),
        energy_kwh=band(record.effort.energy_kwh),
        cooling_kwh=band(record.effort.cooling_kwh),
        stops=_stops(ask, wash, habit.strip, limit_l),
        cautions=_cautions(ask),
        warnings=_unmet(lines),
        worlds=ask.worlds,
        seed=ask.seed,
        learned=gear.taught,
    )


def _wash(ask: StripAsk) -> Stream:
    return liquid_of(ask.volume_l, ask.pct_vol, WASH_SOLUBLES_SHARE, ask.solids_share).at(ask.start_c)


def _limit(gear: Gear) -> float:
    if gear.limit_l is None:
        raise MissingValue("still strip", "the most that the still is charged with", '--limit "110 L"')
    return gear.limit_l


def _line(charge: Stream, still: Still, stop: Stop, habit: StillUnknowns) -> tuple[Stream, Profile]:
    return charge, distil(charge, still, stop, habit)


def _numbered(number: int, charge: Stream, profile: Profile) -> ChargeLine:
    end, from_socket = profile.collected, profile.still.power_kw / profile.useful_kw
    return ChargeLine(
        number=number,
        volume_l=float(charge.volume_l),
        low_wines_l=band(end.volume_l[-1]),
        low_wines_pct_vol=band(end.strength_pct_vol[-1]),
        first_pct_vol=band(profile.spout_pct_vol[0]),
        last_pot_c=band(profile.pot_c[-1]),
        heat_up_h=band(profile.heat_up_h),
        running_h=band(profile.boiling_kwh[-1] / profile.useful_kw),
        energy_kwh=band((profile.heat_up_kwh + profile.boiling_kwh[-1]) * from_socket),
    )


def _stops(ask: StripAsk, wash: Stream, habit: StillUnknowns, limit_l: float) -> tuple[StopLine, ...]:
    of = stop_trade_off(wash, ask.gear.still, habit, limit_l, SPOUT_STOPS_PCT_VOL)
    extra, kwh, hours = of.extra_lpa, of.kwh_per_extra_lpa, of.hours_per_extra_lpa
    return tuple(
        StopLine(
            float(stop),
            band(of.lpa[k]),
            band(of.volume_l[k]),
            band(of.low_wines_pct_vol[k]),
            band(of.hours[k]),
            band(of.energy_kwh[k]),
            band(extra[k - 1]) if k else None,
            _known(kwh[k - 1]) if k else None,
            _known(hours[k - 1]) if k else None,
        )
        for k, stop in enumerate(of.stop_pct_vol)
    )


def _known(values: Worlds) -> Band | None:
    """The band where at least nine worlds in ten win anything; None where a cost has no meaning."""
    some = values[np.isfinite(values)]
    return band(some) if some.size >= 0.9 * values.size else None


def _cautions(ask: StripAsk) -> tuple[str, ...]:
    tags = (ask.style, "element") if ask.gear.element else (ask.style,)
    catalogue = load().cautions
    usual = [c.text for c in (*catalogue.at("strip", *tags), *catalogue.at("law"))]
    return tuple(usual)


def _unmet(lines: list[tuple[Stream, Profile]]) -> tuple[str, ...]:
    missed = 1.0 - min((float(np.mean(profile.reached)) for _, profile in lines), default=1.0)
    if missed <= 0.0:
        return ()
    return (
        f"The stop is not met in {100 * missed:.0f} % of the worlds: there a strip goes on until the charge "
        "is spent, or ends before it begins.",
    )
