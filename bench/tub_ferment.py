"""How fast a ferment is followed: every hour of a week over many worlds, warmth and dextrin in it.

Ratios are from one run on one machine. Beside it stands a general ODE solver on the same equations, world by
world: a few are timed and scaled up, as said in the line.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from scipy.integrate import solve_ivp

from caskward.stages.fermenting import FermentCourse, FermentSettings, ferment_course
from caskward.stages.stream import HEXOSE_KG_PER_KG_GLUCAN, Stream
from caskward.stages.yeast import Yeast

WORLDS, TIMED_WORLDS, WEEK = 2048, 8, np.arange(169.0)


def best(call: Callable[[], object], times: int = 7) -> float:
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - start)
    return min(seconds)


def worlds() -> tuple[Stream, Yeast, FermentSettings]:
    rng = np.random.default_rng(7)
    wash = Stream.of(
        temp_c=rng.uniform(18.0, 28.0, WORLDS),
        water_kg=150.0,
        hexose_kg=rng.uniform(12.0, 25.0, WORLDS),
        dextrin_kg=rng.uniform(0.0, 8.0, WORLDS),
        solubles_kg=3.0,
        insolubles_kg=8.0,
    )
    yeast = Yeast(
        rng.uniform(0.05, 1.0, WORLDS),
        lag_h=rng.uniform(1.0, 8.0, WORLDS),
        tolerance_pct_vol=rng.uniform(10.0, 14.0, WORLDS),
        attenuation=rng.uniform(0.95, 0.99, WORLDS),
    )
    kept = FermentSettings(
        heat_loss_w_k=rng.uniform(2.0, 8.0, WORLDS),
        room_c=rng.uniform(10.0, 22.0, WORLDS),
        dextrin_per_h=rng.uniform(0.01, 0.05, WORLDS),
        nitrogen_mg_l=rng.uniform(120.0, 250.0, WORLDS),
    )
    return wash, yeast, kept


def by_solver(parts: tuple[Stream, Yeast, FermentSettings], course: FermentCourse, k: int) -> np.ndarray:
    """Hexose used [kg] in one world, by the same equations written plainly."""
    wash, (yeast, kept) = parts[0].world(k), parts[1:]
    cells, lag_h, tolerance, attenuation, loss_w_k, room_c, per_h, nitrogen = (
        float(np.asarray(value)[k])
        for value in (
            *(yeast.cells_g_l, yeast.lag_h, yeast.tolerance_pct_vol, yeast.attenuation),
            *(kept.heat_loss_w_k, kept.room_c, kept.dextrin_per_h, kept.nitrogen_mg_l),
        )
    )
    litres, ends = float(wash.liquid_l), float(course.liquid_l[-1, k])
    per_l, capacity = 1000.0 / litres, float(wash.heat_capacity_kj_k)
    last, pure = float(course.used_hexose_kg[-1, k]) * per_l, 0.511424 * 0.93
    sugar, dextrin = float(wash.hexose_kg) * per_l, HEXOSE_KG_PER_KG_GLUCAN * float(wash.dextrin_kg) * per_l
    osmotic = 1.0 + 0.01 * max(sugar - 200.0, 0.0)

    def slopes(hour: float, at: np.ndarray) -> list[float]:
        used, grown, fed_mg_l, work, temp = at
        left = max(attenuation * (sugar + dextrin * (1.0 - np.exp(-per_h * hour))) - used, 0.0)
        volume = 1.0 + (ends / litres - 1.0) * used / last
        reached = min(pure * 0.994 * used / volume / (tolerance * 7.8924), 1.0)
        warm = 0.0
        if 2.8 < temp < 45.4:
            bend = 29.5 * (temp - 32.3) + 13.1 * (35.1 - 2.0 * temp)
            warm = (temp - 45.4) * (temp - 2.8) ** 2 / (29.5 * bend)
        able = warm / (1.0 + np.expm1(0.5 * lag_h * osmotic) * np.exp(-0.5 * work)) * left / (0.245 + left)
        fed = fed_mg_l / (10.0 + fed_mg_l)
        growth = 0.5 * able * fed / (1.0 + left / volume / 139.7) * (1.0 - reached) ** 4.12
        growing = 4.87 * growth * cells * np.exp(grown) / pure
        rate = growing + 0.1 * able * (1.0 - reached**1.95) * cells * np.exp(grown) / pure
        dies = np.log(10.0) * 30.0 * 10.0 ** ((temp - 55.0) / 5.0) + 0.02 * (1.0 - fed)
        warms = 560.0 * rate / per_l / capacity - 3.6 * loss_w_k * (temp - room_c) / capacity
        return [rate, growth - dies, -0.9 * growing, warm, warms]

    start = [0.0, 0.0, nitrogen, 0.0, float(wash.temp_c)]
    solved = solve_ivp(slopes, (0.0, 168.0), start, method="LSODA", t_eval=WEEK, rtol=1e-5, atol=1e-6)
    return np.asarray(solved.y[0] / per_l)


def main() -> None:
    parts = worlds()
    wash, yeast, kept = parts
    plain = best(lambda: ferment_course(wash, WEEK, yeast, kept))
    gravity = best(lambda: ferment_course(wash, WEEK, yeast, kept).specific_gravity)
    course = ferment_course(wash, WEEK, yeast, kept)
    fine = ferment_course(wash, WEEK, yeast, kept, finer=16)
    off = np.max(np.abs(course.used_hexose_kg - fine.used_hexose_kg) / course.usable_kg)
    start = time.perf_counter()
    slow = [by_solver(parts, course, k) for k in range(TIMED_WORLDS)]
    each = (time.perf_counter() - start) / TIMED_WORLDS
    apart = max(
        float(np.max(np.abs(slow[k] - course.used_hexose_kg[:, k])) / course.usable_kg[k])
        for k in range(TIMED_WORLDS)
    )
    print(f"a week by the hour, {WORLDS} worlds                      {plain * 1e3:9.0f} ms")
    print(f"the same with its gravity at every hour              {gravity * 1e3:9.0f} ms")
    print(f"steps 16 times as fine differ by                     {off:9.1e} of the sugar")
    print(
        f"an ODE solver, {TIMED_WORLDS} worlds timed, as if {WORLDS}         {each * WORLDS:9.1f} s   "
        f"{each * WORLDS / plain:8,.0f} times that (sugar within {apart:.0e})"
    )


if __name__ == "__main__":
    main()
