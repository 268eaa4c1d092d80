"""The first half of a tub's report: cook, landing, mash, what is added."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from caskward.planning.acid import CALCIUM_MG_L, calcium_salt_g
from caskward.planning.doses import dose_amount
from caskward.planning.method import water_ratio
from caskward.planning.plan import Band
from caskward.planning.tub.additions import Added
from caskward.planning.tub.fits import weighted_band
from caskward.planning.tub.mash import converted_share
from caskward.planning.tub.rests import logged_h
from caskward.planning.tub.schedule import PlannedDose
from caskward.planning.tub.simulate import TubCourse, next_window
from caskward.services.tub_report import (
    AddedPart,
    CookPart,
    CooledPart,
    Dosed,
    FadingPart,
    LandingPart,
    MashPart,
    MashRow,
    OpenBand,
    PotRow,
    RestRow,
    Ways,
)
from caskward.stages.landing import WaysToCool
from caskward.stages.mashing import MashCourse
from caskward.stages.stream import HEXOSE_KG_PER_KG_GLUCAN, Worlds

_ROW_H = 0.5
_MOST_ROWS = 14
_COLD_K = 3.0
"""Water that is no warmer than the tap's by more than this cools like it; *common practice, no source*."""


def band_of(course: TubCourse, values: Worlds | float) -> Band:
    """A band over the worlds, as they explain the readings."""
    return weighted_band(
        np.broadcast_to(np.asarray(values, dtype=float), (course.worlds.count,)), course.weights
    )


def open_band(values: Worlds, weights: Worlds | None = None) -> OpenBand:
    """A band whose endless ends are None."""
    b = weighted_band(values, weights)
    return OpenBand(*(v if np.isfinite(v) else None for v in (b.low, b.mid, b.high)))


def ways_part(course: TubCourse, ways: WaysToCool, volume_l: Worlds) -> Ways:
    """Ways to cool before anything is added, as figures; `volume_l` is what is in the tub."""
    return _ways(course, ways, volume_l, course.added)


def pitch_ways(course: TubCourse, ways: WaysToCool, volume_l: Worlds) -> Ways:
    """Ways to cool to the pitch, everything being in."""
    return _ways(course, ways, volume_l, ())


def _ways(course: TubCourse, ways: WaysToCool, volume_l: Worlds, to_come: Sequence[Added]) -> Ways:
    """Ways to cool, with room kept for what is to come; its cold water may as well go in now."""
    more_l = float(np.median(course.brew.wash.volume_l) - np.median(course.together.mash.volume_l))
    spare_l = course.sized.intent.gear.tub.working_l - float(np.median(volume_l))
    tap_c = course.sized.intent.site.water_c
    later_l = sum(one.water_l for one in to_come if one.water_c <= tap_c + _COLD_K)
    return Ways(
        ways.to_c,
        weighted_band(ways.heat_kwh),
        open_band(ways.lid_on_h),
        open_band(ways.cold_water_l),
        weighted_band(ways.ice_kg),
        weighted_band(ways.coil_water_l),
        max(spare_l - (more_l if to_come else 0.0), 0.0),
        later_l,
    )


def cook_part(course: TubCourse) -> CookPart | None:
    """The pots of one tub; None where nothing is cooked."""
    cooked, sized = course.cooked, course.sized
    if cooked is None:
        return None
    record, each = cooked.record, cooked.each
    last = record.pots[-1]
    doses = course.schedule.doses if course.schedule is not None else ()
    rows = tuple(
        PotRow(
            k + 1,
            band_of(course, pot.heat_up_h),
            band_of(course, pot.hot_l),
            band_of(course, pot.boil_off_kg),
            None if k == 0 else band_of(course, record.before_c[k]),
            band_of(course, record.after_c[k]),
            band_of(course, record.after_l[k]),
            band_of(course, record.at_h[k]),
        )
        for k, pot in enumerate(record.pots)
    )
    in_pot = tuple(_dosed(course, d, 1.0 / sized.method.cooks) for d in doses if d.in_pot)
    return CookPart(
        each.grain_kg,
        each.water_l,
        sized.intent.site.water_c,
        sized.method.cook_c,
        sized.method.cook_hold_h,
        last.working_l,
        float(np.mean(last.fits)),
        band_of(course, last.swollen_share),
        band_of(course, record.energy_kwh),
        in_pot,
        rows,
    )


def _dosed(course: TubCourse, dose: PlannedDose, share: float) -> Dosed:
    amount, unit = dose_amount(course.sized, dose.label)
    label = dose.label
    return Dosed(label.name, amount * share, unit, dose.at_h, dose.in_pot, label.window_c, label.window_ph)


def labelled(course: TubCourse, does: str) -> tuple[Dosed, ...]:
    """One tub's dose of each product of a kind that the course does not follow, from the start."""
    labels = (label for label in course.sized.intent.enzymes if label.does == does)
    share = 1.0 / course.sized.method.ferments
    return tuple(_dosed(course, PlannedDose(label, 0.0), share) for label in labels)


def landing_part(course: TubCourse) -> LandingPart | None:
    """Malt and its water stirred in, and where that lands."""
    found, schedule, sized = course.landing, course.schedule, course.sized
    if found is None or schedule is None:
        return None
    count = sized.method.ferments
    mashed = [i.material for i in sized.intent.bill if i.material.prepare == "mash"]
    stirred_in = []
    for material in mashed:
        kg = sized.method.bill_kg[material.key] / count
        stirred_in.append((material.name, kg, kg * water_ratio(sized.intent, material)))
    following = next_window(schedule, sized)
    together, lies = course.together.mash, course.landed
    hot_l = together.volume_at(together.temp_c)
    return LandingPart(
        tuple(stirred_in),
        sized.method.mash_water_c,
        band_of(course, together.temp_c),
        band_of(course, hot_l),
        logged_h(schedule, course.setup.readings),
        band_of(course, lies.temp_c),
        following.whose,
        following.window_c,
        found.share,
        ways_part(course, found.cool, hot_l),
        open_band(found.hot_water_l),
    )


def mash_part(course: TubCourse) -> MashPart | None:
    """The mash by the hour; None without starch."""
    mash, schedule = course.mash, course.schedule
    if mash is None or schedule is None or course.test is None:
        return None
    times = [
        t if np.isfinite(t) else None for t in (course.test.first_h, course.test.sure_h, course.test.spent_h)
    ]
    litres = float(np.median(course.together.mash.volume_l))
    return MashPart(
        rests=tuple(RestRow(r.words, r.from_h, r.to_h, r.temp_c, r.ph) for r in schedule.rests),
        doses=labelled(course, "loosen")
        + tuple(
            _dosed(course, d, 1.0 / course.sized.method.ferments) for d in schedule.doses if not d.in_pot
        ),
        enzymes=_enzyme_names(course, mash),
        rows=tuple(_mash_row(course, mash, i) for i in _points(mash, schedule.end_h)),
        cooled=tuple(
            CooledPart(
                c.words,
                c.at_h,
                band_of(course, c.from_c),
                band_of(course, c.volume_l),
                ways_part(course, c.ways, c.volume_l),
            )
            for c in course.cooled
        ),
        fading=tuple(
            FadingPart(
                f.name,
                f.low_c,
                f.rest_c,
                f.at_h,
                f.end_c,
                band_of(course, f.loss_kw),
                open_band(f.hot_water_l),
            )
            for f in course.fading
        ),
        raw=band_of(course, mash.raw_kg[-1] / np.maximum(mash.glucan_kg, 1e-12)),
        swells_c=_swells_c(course),
        test_from_h=times[0],
        test_sure_h=times[1],
        spent_h=times[2],
        converted=band_of(course, converted_share(mash, mash.mash.starch_kg)),
        gravity=band_of(course, mash.stream(len(mash.hours) - 1).specific_gravity),
        calcium_chloride_g=calcium_salt_g("calcium chloride dihydrate", litres, 0.0, CALCIUM_MG_L),
        driven=any(r.stage == "mash" and r.quantity in ("temperature", "ph") for r in course.setup.readings),
    )


def _swells_c(course: TubCourse) -> tuple[float, float] | None:
    """Where starch that was not cooked swells [°C]: the range that ends highest; None where all was."""
    raw = (p.range_c for p in course.together.stirred.portions if not p.cooked)
    return max((r for r in raw if r is not None), key=lambda r: r[1], default=None)


def _enzyme_names(course: TubCourse, mash: MashCourse) -> tuple[str, ...]:
    """Names of the doses, in the order of the course: the pot's, the tub's, malt's own."""
    assert course.schedule is not None
    own = course.schedule.doses
    names = [d.label.name for d in own if d.in_pot] if course.cooked is not None else []
    names += [d.label.name for d in own if not d.in_pot]
    left = len(mash.doses) - len(names)
    return (*names, *("malt, thins", "malt, sweetens")[:left])


def _points(mash: MashCourse, end_h: float) -> list[int]:
    """Points of the grid at even half hours (longer steps where that is too many), and the last."""
    last_h = float(mash.hours[-1])
    step_h = next(s for s in (_ROW_H, 1.0, 2.0, 4.0, 8.0) if last_h / s <= _MOST_ROWS or s == 8.0)
    wanted = [*np.arange(0.0, last_h - 0.25 * step_h, step_h), end_h, last_h]
    return sorted({int(np.argmin(np.abs(mash.hours - h))) for h in wanted})


def _mash_row(course: TubCourse, mash: MashCourse, i: int) -> MashRow:
    whole = np.maximum(mash.glucan_kg, 1e-12)
    sugar = mash.sugar_kg[i] / HEXOSE_KG_PER_KG_GLUCAN / whole
    stream = mash.stream(i)
    return MashRow(
        float(mash.hours[i]),
        band_of(course, mash.temp_c[i]),
        band_of(course, mash.long_share[i]),
        band_of(course, mash.dextrin_kg[i] / whole),
        band_of(course, sugar),
        band_of(course, stream.specific_gravity),
        tuple(band_of(course, alive[i]) for alive in mash.activity),
    )


def added_parts(course: TubCourse) -> tuple[AddedPart, ...]:
    """Sugar and fruit, one after the other."""
    return tuple(
        AddedPart(
            one.name,
            one.kg,
            one.water_l,
            one.water_c,
            None if one.least_water_l is None else band_of(course, one.least_water_l),
            band_of(course, one.after.temp_c),
            band_of(course, one.after.volume_l),
            None if one.before is None else band_of(course, one.before.specific_gravity),
            band_of(course, one.after.specific_gravity),
            band_of(course, one.sugar_g_l),
            one.too_sweet_share,
            None if one.stays is None else band_of(course, one.stays),
            one.nitrogen_brought_g,
            band_of(course, one.nitrogen_needed_g),
        )
        for one in course.added
    )
