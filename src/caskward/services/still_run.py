"""A spirit run before the burner is lit: what comes when, how sure, and what lands in which receiver."""

from __future__ import annotations

import json
import warnings
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

import numpy as np

from caskward.catalogue.kinds import Practice
from caskward.catalogue.load import load
from caskward.errors import CaskwardWarning, NoSuchReceiver
from caskward.planning.plan import Band, band
from caskward.services.still_charge import (
    WASH_SOLUBLES_SHARE,
    CheckedCharge,
    checked,
    liquid_of,
    pot_limits_of,
)
from caskward.services.still_cooling import USUAL_WATER_C, Cooling, cooling_of
from caskward.services.still_course import Course, Moment, course_of, moments_of
from caskward.services.still_covered import Bared, bared, bared_words
from caskward.services.still_gear import (
    WEAKEST_LOW_WINES_PCT_VOL,
    WORLDS,
    Gear,
    StillWorlds,
    facts_as_unknowns,
    low_wines_g_hl,
    with_congeners,
    worlds_of,
)
from caskward.services.still_lab import LabFigure, lab_unknowns, with_figures
from caskward.services.still_methanol import PECTIN_STYLES, MethanolReport, methanol
from caskward.services.still_minds import first_words, minds_of, skipped_words
from caskward.services.still_receivers import (
    CutMark,
    ReceiverLine,
    band_where,
    lines_of,
    marks_of,
    usual_cuts,
)
from caskward.services.still_sense import sensible_heat_stop, sensible_start, sensible_stop, sensible_water
from caskward.services.still_stops import A_DROP_L, check_stop
from caskward.services.still_typed import FromWhat
from caskward.stages.distil import Profile, Stop, distil
from caskward.stages.receivers import Receiver, collect
from caskward.stages.runs import cut_plan
from caskward.stages.stream import Stream
from caskward.units.types import UnitSystem

JSON_DIGITS = 6


@dataclass(frozen=True)
class RunAsk:
    """A run as it is asked for; no stop or receivers: as the trade does for the style.

    start_c: how warm the charge is. water_c: how warm cooling water comes. solids_share: undissolved solids,
    of the mass, as in a mash that is run on its pulp. laboratory: the maker's own
    figures for the charge. look_into: the receiver whose congeners are told. system: units of the sentences.
    """

    volume_l: float
    pct_vol: float
    gear: Gear
    style: str = "grain"
    stop: Stop | None = None
    receivers: tuple[Receiver, ...] = ()
    made_from: FromWhat = "by strength"
    bill: str = ""
    start_c: float = 20.0
    water_c: float = USUAL_WATER_C
    solids_share: float = 0.0
    laboratory: tuple[LabFigure, ...] = ()
    look_into: str = ""
    system: UnitSystem = "metric"
    worlds: int = WORLDS
    seed: int = 1


@dataclass(frozen=True)
class RunReport:
    """A run as it may go. Bands are over worlds; the charge is as given.

    hours run from cold to the stop, heat_up_h of them before it boils; energy_kwh is what the burner takes.
    pot_left_l: what is left in the pot at the stop. reached: share of worlds in which the stop is met before
    the charge is spent. trade: what the usual cuts of the style would make of this charge.
    bared: where the run would bare its element, and what keeps it covered. looked_into: the receiver whose
    congeners are told in words. methanol: where the style's materials hold pectin, a bill was given, or a
    laboratory's figure for it.
    """

    charge: CheckedCharge
    style: str
    still: str
    made_from: str
    stop_by: str
    stop_value: float
    reached: float
    collected_l: Band
    collected_pct_vol: Band
    collected_lpa: Band
    first_pct_vol: Band
    heat_up_h: Band
    hours: Band
    energy_kwh: Band
    cooling: Cooling
    pot_left_l: Band
    bared: Bared | None
    moments: tuple[Moment, ...]
    course: Course
    receivers: tuple[ReceiverLine, ...]
    trade: tuple[ReceiverLine, ...]
    looked_into: ReceiverLine
    cuts: tuple[CutMark, ...]
    methanol: MethanolReport | None
    laboratory: tuple[LabFigure, ...]
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    worlds: int
    seed: int
    learned: str = ""


def run(ask: RunAsk) -> RunReport:
    """Forecast a spirit run.

    Raises:
        ChargeRefused: a charge that must not be lit. NothingCovers: one that bares its element, which
            nothing mends. InputError: one sentence about what cannot be used.
    """
    charge = _check(ask)
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", CaskwardWarning)
        report = _report(_run_of(ask, load().practice(ask.style)), charge)
    said = dict.fromkeys(str(w.message) for w in caught if issubclass(w.category, CaskwardWarning))
    return replace(report, warnings=(*report.warnings, *said))


def as_json(report: object) -> str:
    """A report as JSON: bands as low, mid, high; units stand in the names."""
    fields = _rounded(asdict(report))  # type: ignore[call-overload]
    return json.dumps(fields, ensure_ascii=False, indent=2)


def _rounded(value: object) -> object:
    """Figures with six digits: what lies beyond is the arithmetic's, not the run's."""
    if isinstance(value, float):
        return float(f"{value:.{JSON_DIGITS}g}") + 0.0
    if isinstance(value, dict):
        return {key: _rounded(one) for key, one in value.items()}
    return [_rounded(one) for one in value] if isinstance(value, list | tuple) else value


@dataclass(frozen=True)
class _Run:
    """A run and all that it was made of."""

    ask: RunAsk
    practice: Practice
    worlds: StillWorlds
    made_from: str
    stop: Stop
    profile: Profile


def _run_of(ask: RunAsk, practice: Practice) -> _Run:
    trade = {
        "foreshots": practice.foreshots_share,
        "heads": practice.heads_share,
        "heart_end": practice.heart_end_pct_vol,
        "tails_stop": practice.tails_stop_pct_vol,
    }
    more = (*facts_as_unknowns(trade), *lab_unknowns(ask.laboratory))
    worlds = worlds_of(ask.gear, ask.style, ask.worlds, ask.seed, more)
    made_from = _made_from(ask)
    g_hl = worlds.wash_g_hl if made_from == "wash" else low_wines_g_hl(ask.gear, practice, worlds)
    charge = _charge_of(ask).at(ask.start_c)
    filled = with_congeners(charge, with_figures(g_hl, ask.laboratory, worlds.drawn))
    stop = ask.stop or Stop("spout_pct_vol", practice.tails_stop_pct_vol.likely)
    profile = distil(filled, ask.gear.still, stop, worlds.spirit)
    check_stop(stop, profile, ask.system)
    return _Run(ask, practice, worlds, made_from, stop, profile)


def _report(run_: _Run, charge: CheckedCharge) -> RunReport:
    ask, profile, stop = run_.ask, run_.profile, run_.stop
    usual = collect(profile, cut_plan(usual_cuts(run_.practice)))
    receivers, trade = lines_of(collect(profile, ask.receivers) if ask.receivers else usual), lines_of(usual)
    end, some = profile.collected, profile.volume_l[-1] > A_DROP_L
    from_socket = profile.still.power_kw / profile.useful_kw
    bare = bared("This run", profile, pot_limits_of(ask.gear), stop)
    bare_said = () if bare is None else (bared_words(bare, ask.gear, ask.system, by_litres=True),)
    return RunReport(
        charge=replace(charge, cautions=(*bare_said, *first_words(ask.receivers), *charge.cautions)),
        style=ask.style,
        still=ask.gear.known_kind.name,
        made_from=run_.made_from,
        stop_by=stop.by,
        stop_value=float(np.asarray(stop.value)),
        reached=float(np.mean(profile.reached)),
        collected_l=band(end.volume_l[-1]),
        collected_pct_vol=band_where(some, end.strength_pct_vol[-1]),
        collected_lpa=band(end.stream.lpa[-1]),
        first_pct_vol=band(profile.spout_pct_vol[0]),
        heat_up_h=band(profile.heat_up_h),
        hours=band(profile.heat_up_h + profile.delay_h + profile.hours[-1]),
        energy_kwh=band((profile.heat_up_kwh + profile.boiling_kwh[-1]) * from_socket),
        cooling=cooling_of(profile, ask.water_c),
        pot_left_l=band(profile.pot_volume_l[-1]),
        bared=bare,
        moments=moments_of(profile, ask.system),
        course=course_of(profile),
        receivers=receivers,
        trade=trade,
        looked_into=_looked_into(ask.look_into, receivers, trade),
        cuts=marks_of(profile, run_.worlds.drawn, run_.practice),
        methanol=_methanol(run_),
        laboratory=ask.laboratory,
        cautions=_cautions(ask),
        warnings=(
            *minds_of(profile, ask.gear, ask.volume_l, wash=run_.made_from == "wash", system=ask.system),
            *skipped_words(receivers, ask.receivers),
        ),
        worlds=ask.worlds,
        seed=ask.seed,
        learned=ask.gear.taught,
    )


def _methanol(run_: _Run) -> MethanolReport | None:
    """What the charge holds beside legal limits: by the laboratory's figure, or as the material may bring."""
    ask = run_.ask
    if any(one.congener == "methanol" for one in ask.laboratory):
        measured = np.maximum(run_.worlds.drawn["lab.methanol"], 0.0)
        return methanol(ask.bill, ask.style, measured_g_hl=measured)
    return methanol(ask.bill, ask.style) if ask.bill or ask.style in PECTIN_STYLES else None


def _check(ask: RunAsk) -> CheckedCharge:
    """The charge's safety first, then every condition of the run."""
    liquid = _charge_of(ask)
    charge = checked(liquid, ask.gear, ask.system)
    sensible_start(liquid, ask.start_c, ask.gear, ask.system)
    sensible_water(ask.water_c, ask.system)
    ends = [("The stop", ask.stop)] if ask.stop is not None else []
    for receiver in ask.receivers:
        for stop in receiver.stops:
            what = "The size" if stop.by == "own_volume_l" else "The end"
            ends.append((f"{what} of {receiver.name}", stop))
    for what, stop in ends:
        sensible_stop(stop, ask.volume_l, what, ask.system)
        sensible_heat_stop(stop, ask.gear, what, ask.system)
    return charge


def _charge_of(ask: RunAsk) -> Stream:
    solubles = WASH_SOLUBLES_SHARE if _made_from(ask) == "wash" else 0.0
    return liquid_of(ask.volume_l, ask.pct_vol, solubles, ask.solids_share)


def _made_from(ask: RunAsk) -> str:
    if ask.made_from != "by strength":
        return ask.made_from
    return "wash" if ask.pct_vol < WEAKEST_LOW_WINES_PCT_VOL else "low wines"


def _looked_into(name: str, own: Sequence[ReceiverLine], trade: Sequence[ReceiverLine]) -> ReceiverLine:
    """The receiver whose congeners are told one by one: the one named, the plan's heart, or the trade's."""
    if not name:
        hearts = [line for line in own if line.name.casefold().startswith("heart") and line.filled >= 0.1]
        return hearts[0] if hearts else next(line for line in trade if line.name == "heart")
    found = next((line for line in own if line.name.casefold() == name.strip().casefold()), None)
    if found is None:
        raise NoSuchReceiver(name, tuple(line.name for line in own))
    return found


def _cautions(ask: RunAsk) -> tuple[str, ...]:
    """What to mind while it runs, in the trade's own words."""
    tags = (ask.style, "element") if ask.gear.element else (ask.style,)
    cautions = load().cautions
    return tuple(c.text for c in (*cautions.at("spirit", *tags), *cautions.at("law")))
