"""How fast a mash is followed: three hours in steps of two minutes, three materials, four doses, many worlds.

Ratios are from one run on one machine. The slow way beside it is a general ODE solver, world by world: a few
are timed and scaled up, as said in the line.
"""

from __future__ import annotations

import time
from dataclasses import replace
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp

from caskward.stages.enzyme_labels import Nature, label_enzyme, malt_enzymes
from caskward.stages.enzymes import HABITS, Dose, Enzyme, loss_per_h, speed, thickness_share
from caskward.stages.mash_starch import Starch
from caskward.stages.mashing import THICKNESS_SLOWING, MashCourse, mash_course
from caskward.stages.stream import Stream
from caskward.stages.swelling import SWELL_PER_H

WORLDS, TIMED_WORLDS = 2048, 8
HALF_WAY = 40
HOURS = np.arange(0.0, 3.0 + 1e-9, 2.0 / 60.0)


def best(call, times: int = 9) -> float:  # type: ignore[no-untyped-def]
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - start)
    return min(seconds)


def tub(worlds: int = WORLDS):  # type: ignore[no-untyped-def]
    """A cooked mash with malt, cooling from the thinning rest to the sweetening one; everything in doubt."""
    rng = np.random.default_rng(3)

    def around(low: float, high: float, *shape: int) -> np.ndarray:
        return rng.uniform(low, high, (*shape, worlds))

    hot = Nature("thin", 88.0, around(0.2, 0.8), 95.0, around(341, 418), 50.0, HABITS["thinning-hot"])
    sweet = Nature("sweeten", 60.0, around(1, 8), 60.0, around(280, 400), 55.0, HABITS["sweetening"])
    alpha = Nature("thin", 68.0, around(1, 2.5), 65.0, around(200, 250), 50.0, HABITS["malt-alpha"])
    beta = Nature("sweeten", 62.0, around(0.07, 0.27), 65.0, around(330, 450), 50.0, HABITS["malt-beta"])
    windows = (((60.0, 73.0), (5.0, 5.8)), ((55.0, 66.0), (5.0, 5.6)))
    doses = (
        Dose(label_enzyme(hot, (80.0, 95.0), (5.5, 7.0), 1.0), 0.0, around(0.6, 1.2)),
        *malt_enzymes(around(60, 140), 2.0, 10.0, (alpha, beta), windows, 1.0),
        Dose(label_enzyme(sweet, (55.0, 65.0), (3.8, 5.0), 1.0), 1.1, around(0.6, 1.2)),
    )
    raw = around(1.0, 2.0, 3)
    mash = Stream.of(water_kg=around(25.0, 35.0), starch_kg=raw.sum(axis=0) + 2.0, insolubles_kg=2.0)
    onset = np.array([56.0, 62.0, 68.0])
    starch = Starch(raw, 2.0, onset, onset + 8.0, around(0.9, 1.0))
    temps = np.where(HOURS < 0.8, 84.0, np.maximum(84.0 - 60.0 * (HOURS - 0.8), 62.0))
    temp_c = temps[:, None] + around(-2.0, 2.0)
    ph = np.where(HOURS < 1.0, 5.8, 5.0)[:, None] + around(-0.2, 0.2)
    return mash, starch, HOURS, temp_c, ph, doses


def one_of(value, world: int):  # type: ignore[no-untyped-def]
    array = np.asarray(value)
    return array if array.ndim == 0 else array[..., world]


def doses_of(doses, world: int) -> list[tuple[Enzyme, float, float]]:  # type: ignore[no-untyped-def]
    """Enzyme, hour and strength of every dose in one world."""
    names = [n for n in Enzyme.__dataclass_fields__ if n not in {"does", "habit", "half_life_at_c"}]
    return [
        (
            replace(d.enzyme, **{n: float(one_of(getattr(d.enzyme, n), world)) for n in names}),
            d.at_h,
            float(one_of(d.strength, world)),
        )
        for d in doses
    ]


def by_solver(world: int, mash, starch, hours, temp_c, ph, doses) -> np.ndarray:  # type: ignore[no-untyped-def]
    """One world's long starch, open and branched dextrin [kg], half-way and last, by a general solver."""
    parts = doses_of(doses, world)
    water_kg_per_kg = float(one_of(mash.water_kg / mash.solids_kg, world))
    thick = float(thickness_share(water_kg_per_kg, THICKNESS_SLOWING))
    reach, branched = float(one_of(starch.accessible, world)), float(starch.branched_share)
    whole, swollen = one_of(starch.raw_kg, world) * reach, float(starch.swollen_kg) * reach

    def moves(t: float, state: np.ndarray) -> np.ndarray:
        at_c, at_ph = (float(np.interp(t, hours, grid[:, world])) for grid in (temp_c, ph))
        share = np.clip((at_c - starch.onset_c) / (starch.complete_c - starch.onset_c), 0.0, 1.0)
        swells = SWELL_PER_H * np.maximum(state[:3] - whole * (1.0 - share), 0.0)
        out = np.concatenate([-swells, [swells.sum()], np.zeros(len(state) - 4)])
        for k, (enzyme, at_h, strength) in enumerate(parts):
            if t >= at_h:
                out[6 + k] = -float(loss_per_h(enzyme, at_c)) * state[6 + k]
                pace = strength * enzyme.rate_per_h * thick * float(speed(enzyme, at_c, at_ph)) * state[6 + k]
                out[3:6] += bites(enzyme, pace, branched, *state[3:6])
        return out

    state = np.array([*whole, swollen, 0.0, 0.0, *[1.0] * len(doses)])
    half_h, last_h = float(hours[HALF_WAY]), float(hours[-1])
    seen = []
    for span in pairwise(sorted({0.0, 0.8, 0.8 + 22.0 / 60.0, half_h, last_h, *(d.at_h for d in doses)})):
        state = solve_ivp(moves, span, state, method="LSODA", rtol=1e-6, atol=1e-8, max_step=0.05).y[:, -1]
        if span[1] in (half_h, last_h):
            seen.append(state[3:6])
    return np.array(seen)


def bites(
    enzyme: Enzyme, pace: float, branched: float, long: float, opened: float, shut: float
) -> np.ndarray:
    """Change of long starch, open and branched dextrin by one enzyme [kg/h]."""
    habit = enzyme.habit
    if enzyme.does == "thin":
        taken = pace * long
        return np.array([-taken, (1.0 - branched - float(habit.sugar_share)) * taken, branched * taken])
    taken = pace * float(habit.on_long) * long
    return np.array([-taken, -pace * opened, branched * taken - pace * float(habit.on_branched) * shut])


def main() -> None:
    given = tub()
    fast = best(lambda: mash_course(*given))
    course: MashCourse = mash_course(*given)
    start = time.perf_counter()
    slow = [by_solver(world, *given) for world in range(TIMED_WORLDS)]
    each = (time.perf_counter() - start) / TIMED_WORLDS
    opened_kg = course.dextrin_kg - course.branched_kg
    forms = (course.long_starch_kg, opened_kg, course.branched_kg)
    ours = np.array([[kg[i] for kg in forms] for i in (HALF_WAY, -1)])
    off = max(
        np.max(np.abs(ours[:, :, k] - slow[k])) / float(course.glucan_kg[k]) for k in range(TIMED_WORLDS)
    )
    print(f"a mash of {len(HOURS) - 1} steps, {WORLDS} worlds             {fast * 1e3:9.1f} ms")
    print(
        f"an ODE solver, {TIMED_WORLDS} worlds timed, as if {WORLDS}     {each * WORLDS:9.1f} s   "
        f"{each * WORLDS / fast:8,.0f} times that (within {off:.0e} of the starch)"
    )


if __name__ == "__main__":
    main()
