"""The second half of a tub's report: pitch, ferment, separate."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from caskward.planning.plan import Band
from caskward.planning.readings import QUANTITIES
from caskward.planning.tub.brew import AT_PITCH_H, Brew
from caskward.planning.tub.fits import Fit, weighted_band
from caskward.planning.tub.simulate import TubCourse, hours_shown
from caskward.services.tub_mash_parts import band_of, labelled, open_band, pitch_ways
from caskward.services.tub_report import (
    FermentPart,
    FermentRow,
    FitRow,
    PitchPart,
    RinsePart,
    SeparatePart,
)
from caskward.stages.ferment import co2_m3
from caskward.stages.stream import Worlds

SAFE_CO2_SHARE = 0.005
"""Carbon dioxide in a room's air that a working day may have: 5,000 ppm; niosh-co2."""


def pitch_part(course: TubCourse) -> PitchPart:
    """Yeast for one tub: grams, cells, waking, food, and how the tub comes to its temperature."""
    pitch, yeast = course.pitch, course.sized.intent.yeast
    wake = pitch.rehydration
    wash = course.added[-1].after if course.added else course.mash.end if course.mash else course.brew.wash
    return PitchPart(
        yeast.name,
        pitch.yeast_g,
        pitch.temp_c,
        any(r.stage == "ferment" for r in course.setup.readings),
        bool(course.kept.logged) and course.kept.logged[0][0] <= AT_PITCH_H,
        (yeast.window_c.low, yeast.window_c.high),
        band_of(course, pitch.cells_ml / 1e6),
        wake.water_kg,
        wake.water_c,
        wake.minutes,
        wake.most_step_k,
        wake.steps,
        band_of(course, pitch.wash_l),
        band_of(course, wash.specific_gravity),
        labelled(course, "fruit"),
        band_of(course, pitch.needs_mg_l),
        band_of(course, pitch.given_mg_l),
        pitch.dap_g,
        band_of(course, pitch.full_dap_g),
        band_of(course, wash.temp_c),
        pitch_ways(course, course.cooling, pitch.wash_l),
    )


def ferment_part(course: TubCourse, also_h: Sequence[float]) -> FermentPart:
    """The ferment by the hour, after the readings, and without them where there are any."""
    brew, weights = course.brew, course.weights
    hours = hours_shown(course, also_h)
    plain = np.full(weights.size, 1.0 / weights.size)
    read = bool(course.fits) or course.unread is not brew
    gas_m3_h = np.max(np.diff(co2_m3(brew.co2_kg), axis=0) / np.diff(brew.hours)[:, None], axis=0)
    peak_m3_h = weighted_band(gas_m3_h, weights)
    peak_c = np.max(brew.temp_c, axis=0)
    dry_d = brew.dry_h / 24.0
    window = course.sized.intent.yeast.window_c
    straining = course.sized.intent.gear.straining
    return FermentPart(
        of_grain=any(i.material.prepare in ("cook", "mash") for i in course.sized.intent.bill),
        on_grain=straining.held_kg_per_kg_insolubles.high <= 0.0,
        room_c=course.setup.room_c,
        set_point_c=course.setup.set_point_c,
        driven=bool(course.kept.logged),
        logged_from_h=course.kept.logged[0][0] if course.kept.logged else None,
        rows=tuple(_row(brew, i, weights) for i in _points(brew, hours)),
        rows_before=tuple(_row(course.unread, i, plain) for i in _points(course.unread, hours))
        if read
        else (),
        dry_d=open_band(dry_d, weights),
        dry_before_d=open_band(course.unread.dry_h / 24.0, plain),
        dry_share=float(np.sum(weights * np.isfinite(dry_d))),
        followed_d=float(brew.hours[-1]) / 24.0,
        final_gravity=weighted_band(brew.end.specific_gravity, weights),
        strength_pct_vol=weighted_band(brew.end.strength_pct_vol, weights),
        peak_c=weighted_band(peak_c, weights),
        over_window=float(np.sum(weights * (peak_c > window.high + 0.5))),
        co2_kg=weighted_band(brew.co2_kg[-1], weights),
        co2_m3=weighted_band(co2_m3(brew.co2_kg[-1]), weights),
        co2_peak_m3_h=peak_m3_h,
        fresh_air_m3_h=peak_m3_h.high / SAFE_CO2_SHARE,
        stuck=float(np.sum(weights * brew.stuck)),
        fits=tuple(_fit(f) for f in course.fits),
        worlds_fit=course.worlds_that_fit,
    )


def _points(brew: Brew, hours: Worlds) -> list[int]:
    return sorted({int(np.argmin(np.abs(brew.hours - h))) for h in hours})


def _row(brew: Brew, i: int, weights: Worlds) -> FermentRow:
    return FermentRow(
        float(brew.hours[i]),
        weighted_band(np.broadcast_to(brew.temp_c[i], weights.shape), weights),
        weighted_band(brew.specific_gravity[i], weights),
        weighted_band(brew.strength_pct_vol[i], weights),
        weighted_band(brew.sugar_g_l[i], weights),
        weighted_band(co2_m3(brew.co2_kg[i]), weights),
    )


def _fit(fit: Fit) -> FitRow:
    quantity = QUANTITIES[fit.reading.quantity]
    r = fit.reading
    return FitRow(
        r.said, r.stage, quantity.words, r.at_h, r.value, quantity.unit, fit.before, fit.after, fit.badly
    )


def separate_part(course: TubCourse) -> SeparatePart:
    """One tub parted, and one rinse."""
    drained, straining = course.drained, course.sized.intent.gear.straining
    record, rinsed = drained.record, drained.rinse
    return SeparatePart(
        way=straining.name,
        note=straining.note,
        strains=rinsed is not None,
        presses=straining.press_recovery.high > 0.0,
        run_off_l=band_of(course, record.strained_l),
        pressed_l=band_of(course, record.pressed_l),
        held_l=band_of(course, record.held_l),
        held_lpa=band_of(course, drained.held_lpa),
        wet_solids_kg=band_of(course, record.wet_solids_kg),
        hands_h=Band(*drained.hands_h),
        behind_l=band_of(course, drained.behind_l),
        wash_l=band_of(course, drained.wash.volume_l),
        wash_pct_vol=band_of(course, drained.wash.strength_pct_vol),
        rinse=None if rinsed is None else _rinse(course),
    )


def _rinse(course: TubCourse) -> RinsePart:
    rinsed = course.drained.rinse
    assert rinsed is not None, "asked for only where there is one"
    per_lpa = weighted_band(rinsed.kwh_per_lpa, course.weights).mid
    drawn = [*rinsed.rinsings, rinsed.pressed]
    extra_l = np.asarray(sum(part.volume_l for part in drawn)) - rinsed.pressed_without.volume_l
    return RinsePart(
        float(np.max(rinsed.water_l)),
        band_of(course, rinsed.gained_lpa),
        band_of(course, extra_l),
        band_of(course, rinsed.extra_kwh),
        per_lpa if np.isfinite(per_lpa) else None,
        band_of(course, rinsed.wash_before_pct_vol),
        band_of(course, rinsed.wash_pct_vol),
    )
