"""A spirit run before the burner is lit: what comes when, how sure, and what lands in which receiver."""

from __future__ import annotations

import json
import warnings
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace

import numpy as np

from caskward.catalogue.kinds import Practice
from caskward.catalogue.load import load
from caskward.errors import CaskwardWarning
from caskward.planning.plan import Band, band
from caskward.services.still_charge import CheckedCharge, checked, liquid_of
from caskward.services.still_congeners import Level, groups_of, levels_of
from caskward.services.still_course import Course, Moment, course_of, moments_of
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
from caskward.services.still_methanol import PECTIN_STYLES, MethanolReport, methanol
from caskward.services.still_typed import FromWhat
from caskward.stages.distil import Profile, Stop, collected_at, distil, moment_of
from caskward.stages.receivers import Collection, Filled, Receiver, collect
from caskward.stages.runs import CutRules, cut_plan


@dataclass(frozen=True)
class RunAsk:
    """A run as it is asked for; no stop or receivers: as the trade does for the style."""

    volume_l: float
    pct_vol: float
    gear: Gear
    style: str = "grain"
    stop: Stop | None = None
    receivers: tuple[Receiver, ...] = ()
    made_from: FromWhat = "by strength"
    bill: str = ""
    start_c: float = 20.0
    worlds: int = WORLDS
    seed: int = 1


@dataclass(frozen=True)
class ReceiverLine:
    """One receiver after the run; litres at 20 °C, strengths in %vol, hours since the first drop.

    congeners: levels in it, in g/hL of pure alcohol; groups: those that come early, with the heart and late
    added up, methanol and acetic acid apart. filled: share of worlds in which anything is in it.
    """

    name: str
    vessel: str
    volume_l: Band
    pct_vol: Band
    lpa: Band
    from_pct_vol: Band
    to_pct_vol: Band
    to_h: Band
    filled: float
    groups: tuple[Band, ...]
    congeners: tuple[Level, ...]


@dataclass(frozen=True)
class CutMark:
    """Where the trade usually changes receivers: its own range, and the litres collected there by then.

    by: "alcohol_share" of the charge's alcohol, or "spout_pct_vol". chance: share of worlds that get there.
    """

    key: str
    by: str
    low: float
    likely: float
    high: float
    volume_l: Band
    chance: float


@dataclass(frozen=True)
class RunReport:
    """A run as it may go. Bands are over worlds; the charge is as given.

    hours run from cold to the stop, heat_up_h of them before it boils; energy_kwh is what the burner takes.
    pot_left_l: what is left in the pot at the stop. reached: share of worlds in which the stop is met before
    the charge is spent. trade: what the usual cuts of the style would make of this charge.
    methanol: where the style's materials hold pectin, or a bill was given.
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
    cooling_kwh: Band
    pot_left_l: Band
    moments: tuple[Moment, ...]
    course: Course
    receivers: tuple[ReceiverLine, ...]
    trade: tuple[ReceiverLine, ...]
    cuts: tuple[CutMark, ...]
    methanol: MethanolReport | None
    cautions: tuple[str, ...]
    warnings: tuple[str, ...]
    worlds: int
    seed: int
    learned: str = ""


def run(ask: RunAsk) -> RunReport:
    """Forecast a spirit run.

    Raises:
        ChargeRefused: a charge that must not be lit. InputError: one sentence about what cannot be used.
    """
    charge = checked(liquid_of(ask.volume_l, ask.pct_vol), ask.gear)
    practice = load().practice(ask.style)
    with warnings.catch_warnings(record=True) as caught:
        warnings.simplefilter("always", CaskwardWarning)
        report = _report(ask, charge, practice)
    said = dict.fromkeys(str(w.message) for w in caught if issubclass(w.category, CaskwardWarning))
    return replace(report, warnings=(*report.warnings, *said))


def as_json(report: object) -> str:
    """A report as JSON: bands as low, mid, high; units stand in the names."""
    return json.dumps(asdict(report), ensure_ascii=False, indent=2)  # type: ignore[call-overload]


def _report(ask: RunAsk, charge: CheckedCharge, practice: Practice) -> RunReport:
    trade = {
        "foreshots": practice.foreshots_share,
        "heads": practice.heads_share,
        "heart_end": practice.heart_end_pct_vol,
        "tails_stop": practice.tails_stop_pct_vol,
    }
    worlds = worlds_of(ask.gear, ask.style, ask.worlds, ask.seed, facts_as_unknowns(trade))
    made_from = _made_from(ask)
    g_hl = worlds.wash_g_hl if made_from == "wash" else low_wines_g_hl(ask.gear, practice, worlds)
    filled = with_congeners(liquid_of(ask.volume_l, ask.pct_vol).at(ask.start_c), g_hl)
    stop = ask.stop or Stop("spout_pct_vol", practice.tails_stop_pct_vol.likely)
    profile = distil(filled, ask.gear.still, stop, worlds.spirit)
    usual = collect(profile, cut_plan(_usual(practice)))
    own = collect(profile, ask.receivers) if ask.receivers else usual
    end = profile.collected
    from_socket = profile.still.power_kw / profile.useful_kw
    whole_h = profile.heat_up_h + profile.delay_h + profile.hours[-1]
    return RunReport(
        charge=charge,
        style=ask.style,
        still=ask.gear.known_kind.name,
        made_from=made_from,
        stop_by=stop.by,
        stop_value=float(np.asarray(stop.value)),
        reached=float(np.mean(profile.reached)),
        collected_l=band(end.volume_l[-1]),
        collected_pct_vol=band(end.strength_pct_vol[-1]),
        collected_lpa=band(end.stream.lpa[-1]),
        first_pct_vol=band(profile.spout_pct_vol[0]),
        heat_up_h=band(profile.heat_up_h),
        hours=band(whole_h),
        energy_kwh=band((profile.heat_up_kwh + profile.boiling_kwh[-1]) * from_socket),
        cooling_kwh=band(profile.condenser_kwh[-1] + profile.dephlegmator_kwh[-1]),
        pot_left_l=band(profile.pot_volume_l[-1]),
        moments=moments_of(profile),
        course=course_of(profile),
        receivers=_lines(own),
        trade=_lines(usual),
        cuts=_marks(profile, worlds, practice),
        methanol=methanol(ask.bill, ask.style) if ask.bill or ask.style in PECTIN_STYLES else None,
        cautions=tuple(_cautions(ask, profile)),
        warnings=tuple(_beyond(ask, profile)),
        worlds=ask.worlds,
        seed=ask.seed,
        learned=ask.gear.taught,
    )


def _made_from(ask: RunAsk) -> str:
    if ask.made_from != "by strength":
        return ask.made_from
    return "wash" if ask.pct_vol < WEAKEST_LOW_WINES_PCT_VOL else "low wines"


def _usual(practice: Practice) -> CutRules:
    return CutRules(
        practice.foreshots_share.likely,
        practice.heads_share.likely,
        practice.heart_end_pct_vol.likely,
        0.0,
        practice.tails_stop_pct_vol.likely,
    )


def _lines(parted: Collection) -> tuple[ReceiverLine, ...]:
    return tuple(_line(one) for one in parted.filled)


def _line(one: Filled) -> ReceiverLine:
    return ReceiverLine(
        name=one.name,
        vessel=one.receiver.vessel,
        volume_l=band(one.volume_l),
        pct_vol=band(one.strength_pct_vol),
        lpa=band(one.contents.lpa),
        from_pct_vol=band(one.from_pct_vol),
        to_pct_vol=band(one.to_pct_vol),
        to_h=band(one.to_h),
        filled=float(np.mean(one.volume_l > 1e-4)),
        groups=groups_of(one.contents),
        congeners=levels_of(one.contents),
    )


def _marks(profile: Profile, worlds: StillWorlds, practice: Practice) -> tuple[CutMark, ...]:
    """Each world with its own place in the trade's range, so the band holds both doubts."""
    drawn, end_u = worlds.drawn, profile.pot_u[-1]
    heads_end = drawn["foreshots"] + drawn["heads"]
    first, both = practice.foreshots_share, practice.heads_share
    heads = (first.low + both.low, first.likely + both.likely, first.high + both.high)
    ends, last = practice.heart_end_pct_vol, practice.tails_stop_pct_vol
    asked: Sequence[tuple[str, Stop, tuple[float, float, float]]] = (
        ("foreshots end", Stop("alcohol_share", drawn["foreshots"]), (first.low, first.likely, first.high)),
        ("heads end", Stop("alcohol_share", np.minimum(heads_end, 1.0)), heads),
        ("heart ends", Stop("spout_pct_vol", drawn["heart_end"]), (ends.low, ends.likely, ends.high)),
        ("tails end", Stop("spout_pct_vol", drawn["tails_stop"]), (last.low, last.likely, last.high)),
    )
    found = []
    for key, stop, (low, likely, high) in asked:
        u = moment_of(profile, stop)
        litres = collected_at(profile, u, traced=False).volume_l
        chance = float(np.mean(u > end_u + 1e-9))
        found.append(CutMark(key, stop.by, low, likely, high, band(litres), chance))
    return tuple(found)


def _cautions(ask: RunAsk, profile: Profile) -> list[str]:
    """What to mind while it runs: the element first, then the trade's own words."""
    said = []
    least = ask.gear.least_l
    bare = float(np.mean(profile.pot_volume_l[-1] < least))
    if bare > 0.1:
        said.append(
            f"The pot may boil down to {band(profile.pot_volume_l[-1]).low:.3g} L before the stop, and the "
            f"element is covered from {least:g} L only: stop sooner, or charge more water."
        )
    tags = (ask.style, "element") if ask.gear.element else (ask.style,)
    catalogue = load().cautions
    return [*said, *(c.text for c in (*catalogue.at("spirit", *tags), *catalogue.at("law")))]


def _beyond(ask: RunAsk, profile: Profile) -> list[str]:
    """Where a figure leaves the ground that its model was made for."""
    said = []
    missed = 1.0 - float(np.mean(profile.reached))
    if missed > 0.0:
        said.append(
            f"The stop is not met in {100 * missed:.0f} % of the worlds: there the run goes on until the "
            "charge is spent."
        )
    if not np.any(profile.volume_l[-1] > 0.0):
        said.append("The stop is met before the first drop in every world: nothing is collected.")
    if np.any(np.asarray(ask.gear.plates) > 0.0) or ask.gear.reflux_ratio > 0.0:
        said.append(
            "Plates hold no liquid of their own in this model: congeners that gather on them come a little "
            "later than shown, and the trade's marks are those of pot stills."
        )
    return said
