"""How fast a still is distilled: bubble points, and a spirit run over many worlds with all congeners.

Ratios are from one run on one machine. The slow ways beside it are a general property library's flash, point
by point, and a general ODE solver, world by world: a few are timed and scaled up, as said in the line.
"""

from __future__ import annotations

import time
import warnings

import numpy as np
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from caskward.properties import vle
from caskward.properties.congeners import volatility
from caskward.stages.distil import Still, StillUnknowns
from caskward.stages.runs import CutRules, SpiritRecord, SpiritSettings, SpiritUnknowns, spirit_run
from caskward.stages.stream import CONGENERS, Stream, spirit_of
from caskward.stages.vapour import ratio_of_strength

WORLDS, TIMED_WORLDS, POINTS, TIMED_POINTS = 2048, 3, 200_000, 30
CUTS = CutRules(0.005, 0.08, 62.0, 20.0, 5.0)
STILL = Still(6.0)


def best(call, times: int = 7) -> float:  # type: ignore[no-untyped-def]
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        seconds.append(time.perf_counter() - start)
    return min(seconds)


def worlds() -> tuple[Stream, SpiritUnknowns]:
    rng = np.random.default_rng(7)
    charge = spirit_of(rng.uniform(70.0, 90.0, WORLDS), rng.uniform(24.0, 34.0, WORLDS))
    charge = charge.with_masses(traces_mg=rng.uniform(100.0, 40_000.0, (16, WORLDS)))
    still = StillUnknowns(
        rng.uniform(0.04, 0.2, WORLDS), rng.uniform(0.08, 0.25, WORLDS), rng.normal(0.0, 0.78, (16, WORLDS))
    )
    return charge, SpiritUnknowns(still, rng.normal(0.0, 0.8, WORLDS))


def by_library() -> tuple[float, np.ndarray, np.ndarray]:
    """Seconds for a bubble point by the library's flash, and some of them, to see that both do one job."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from thermo import ChemicalConstantsPackage, FlashVL, GibbsExcessLiquid, IdealGas
        from thermo.nrtl import NRTL

        constants, properties = ChemicalConstantsPackage.from_IDs(["ethanol", "water"])
        excess = NRTL(
            T=350.0,
            xs=[0.5, 0.5],
            tau_as=[[0.0, -0.8009], [3.4578, 0.0]],
            tau_bs=[[0.0, 246.18], [-586.0809, 0.0]],
            alpha_cs=[[0.0, 0.3], [0.3, 0.0]],
        )
        liquid = GibbsExcessLiquid(
            VaporPressures=properties.VaporPressures,
            HeatCapacityGases=properties.HeatCapacityGases,
            VolumeLiquids=properties.VolumeLiquids,
            GibbsExcessModel=excess,
            T=350.0,
            P=101325.0,
            zs=[0.5, 0.5],
        )
        gas = IdealGas(HeatCapacityGases=properties.HeatCapacityGases, T=350.0, P=101325.0, zs=[0.5, 0.5])
        flash = FlashVL(constants, properties, liquid=liquid, gas=gas)
        x = np.linspace(0.02, 0.85, TIMED_POINTS)
        flash.flash(VF=0, P=101325.0, zs=[0.3, 0.7])  # the first call reads tables
        start = time.perf_counter()
        y = [flash.flash(VF=0, P=101325.0, zs=[float(v), 1.0 - float(v)]).gas.zs[0] for v in x]
    return (time.perf_counter() - start) / TIMED_POINTS, x, np.array(y)


def by_solver(charge: Stream, unknowns: SpiritUnknowns, world: int) -> np.ndarray:
    """One world's heart: [kg ethanol, kg water, mg of each congener], stepped drop by drop."""
    one, head = charge.world(world), float(np.asarray(unknowns.still.reflux)[world])
    seen = CUTS.heart_end_pct_vol + float(unknowns.meter_error_pct_vol[world])
    places = unknowns.still.trace_places[:, world]
    curves = [volatility(name) for name in CONGENERS]
    coefficients = np.array([curve.coefficients for curve in curves])
    bands = np.log([[c.band_water_rich, c.band_ethanol_rich] for c in curves])
    kg_mol = np.array([vle.ETHANOL_KG_KMOL, vle.WATER_KG_KMOL]) / 1000.0
    start = np.concatenate([[one.ethanol_kg, one.water_kg] / kg_mol, one.traces_mg])

    def volatilities(x: float) -> np.ndarray:  # all at once: a loop over names would be an unfair match
        phi = 18.07 * (1.0 - x) / (18.07 * (1.0 - x) + 58.68 * x)
        rich = min(max((x - 0.1) / 0.5, 0.0), 1.0)
        places_ln = places * (bands[:, 0] * (1.0 - rich) + bands[:, 1] * rich)
        return np.asarray(np.exp(coefficients @ phi ** np.arange(5.0) + places_ln))

    def head_of(x_pot: float) -> tuple[float, float, float]:
        boiled = vle.bubble_point(x_pot).y
        x = brentq(lambda v: head * v + (1.0 - head) * vle.bubble_point(v).y - boiled, 1e-9, 0.89)
        return boiled, x, vle.bubble_point(x).y

    def falls(_: float, left: np.ndarray) -> np.ndarray:
        total = left[0] + left[1]
        x_pot = left[0] / total
        boiled, x, y = head_of(x_pot)
        k = volatilities(x) * y / x
        traces = volatilities(x_pot) * boiled / x_pot / (1.0 - head + head / k)
        return np.concatenate([[-y, -(1.0 - y)], -traces * left[2:] / total])

    def spout_less(pct_vol: float):  # type: ignore[no-untyped-def]
        y_stop = 1.0 / (1.0 + np.exp(-float(ratio_of_strength(pct_vol))))
        return lambda _, left: head_of(left[0] / (left[0] + left[1]))[2] - y_stop

    heads_left = (1.0 - CUTS.foreshots_share - CUTS.heads_share) * start[0]
    events = [lambda _, left: left[0] - heads_left, spout_less(seen), spout_less(CUTS.tails_stop_pct_vol)]
    events[2].terminal = True  # type: ignore[attr-defined]
    solved = solve_ivp(
        falls, (0.0, start[0] + start[1]), start, method="LSODA", rtol=1e-6, atol=1e-6, events=events
    )
    heart = solved.y_events[0][0] - solved.y_events[1][0]
    return np.concatenate([heart[:2] * kg_mol, heart[2:]])


def heart_of(record: SpiritRecord, world: int) -> np.ndarray:
    heart = record.receivers.heart.world(world)
    return np.concatenate([[heart.ethanol_kg, heart.water_kg], heart.traces_mg])


def main() -> None:
    x = np.random.default_rng(1).uniform(1e-4, 0.85, POINTS)
    point = best(lambda: vle.bubble_point(x)) / POINTS
    library, at, y = by_library()
    apart = np.max(np.abs(vle.bubble_point(at).y - y))
    print(f"one bubble point, of {POINTS:,}                          {point * 1e9:9.0f} ns")
    print(
        f"a library's flash, {TIMED_POINTS} timed                        {library * 1e3:9.2f} ms  "
        f"{library / point:8,.0f} times that (y within {apart:.3f})"
    )
    charge, unknowns = worlds()
    settings = SpiritSettings(1000.0, CUTS)
    run = best(lambda: spirit_run(charge, STILL, settings, unknowns))
    plain = best(lambda: spirit_run(charge.with_masses(traces_mg=None), STILL, settings, unknowns))
    _, record = spirit_run(charge, STILL, settings, unknowns)
    start = time.perf_counter()
    slow = [by_solver(charge, unknowns, world) for world in range(TIMED_WORLDS)]
    each = (time.perf_counter() - start) / TIMED_WORLDS
    off = max(np.max(np.abs(heart_of(record, k) / slow[k] - 1.0)) for k in range(TIMED_WORLDS))
    print(f"a spirit run, {WORLDS} worlds, no congeners             {plain * 1e3:9.1f} ms")
    print(f"a spirit run, {WORLDS} worlds, 16 congeners             {run * 1e3:9.1f} ms")
    print(
        f"an ODE solver, {TIMED_WORLDS} worlds timed, as if {WORLDS}         {each * WORLDS:9.1f} s   "
        f"{each * WORLDS / run:8,.0f} times that (hearts within {off:.0e})"
    )


if __name__ == "__main__":
    main()
