"""When in a run a figure reaches a value: the pot's log ratio at that moment, per world.

What depends on composition alone (strength at a bare spout, in the pot, a temperature) is known before
anything is run; the rest (litres, hours, a share of the alcohol, anything behind a hold-up) is looked for.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from caskward.properties import alcohol
from caskward.stages.amounts import Amounts
from caskward.stages.columns import VapourPath
from caskward.stages.profile import Profile, collected_at, hours_at, spout_at
from caskward.stages.quadrature import picked
from caskward.stages.search import crossing
from caskward.stages.still import Stop
from caskward.stages.stream import Worlds
from caskward.stages.vapour import ratio_of_strength

_ROUNDS = 16
_A_DROP = 1e-7
"""How far the pot's ratio falls for the drop that tells how strong a receiver begins: microlitres."""


def top_ratio_of(path: VapourPath, stop: Stop) -> Worlds | None:
    """Log ratio of the vapour that leaves the still when a stop is met, where that alone decides it."""
    curve = path.curve
    if stop.by == "spout_pct_vol":
        return np.minimum(ratio_of_strength(np.asarray(stop.value, dtype=float)), curve.richest)
    if stop.by == "vapour_c":
        return curve.vapour_over(curve.liquid_boiling_at(stop.value))
    return None


def pot_ratio_of(path: VapourPath, stop: Stop) -> Worlds | None:
    """Log ratio in the pot when a stop is met, where composition alone decides it; None where not."""
    if stop.by == "pot_pct_vol":
        return ratio_of_strength(np.asarray(stop.value, dtype=float))
    if stop.by == "pot_c":
        return path.curve.liquid_boiling_at(stop.value)
    top = top_ratio_of(path, stop)
    return None if top is None else path.pot_under(top)


def moment_of(profile: Profile, stop: Stop, since: Amounts | None = None) -> Worlds:
    """Pot's u when a stop is met; the run's end where it never is, its start where it was before.

    since: what had been collected when the receiver that is running was put under, for "own_volume_l".
    """
    if stop.by != "spout_pct_vol" or profile.held is None:
        known = pot_ratio_of(profile.path, stop)
        if known is not None:
            return np.clip(known, profile.pot_u[-1], profile.pot_u[0])
    value = np.asarray(stop.value, dtype=float)
    if stop.by == "alcohol_share":
        value = value * profile.charge.ethanol_kg
        return first_moment(
            profile, profile.ethanol_kg - value, lambda u: _now(profile, u).ethanol_kg - value
        )
    if stop.by == "hours":
        return first_moment(profile, profile.hours - value, lambda u: hours_at(profile, u) - value)
    if stop.by == "spout_pct_vol":
        return first_moment(profile, value - profile.spout_pct_vol, lambda u: value - spout_at(profile, u))
    begun = since if stop.by == "own_volume_l" and since is not None else None
    return first_moment(
        profile,
        _volume_since(profile.collected, begun) - value,
        lambda u: _volume_since(_now(profile, u), begun) - value,
    )


def moment_when_weaker(profile: Profile, least_pct_vol: float | Worlds, since_u: Worlds) -> Worlds:
    """Pot's u where all that was collected since a moment has fallen to a strength.

    The stop where it never does; `since_u` where even the first drop is too weak. What is collected only
    grows weaker, so the node before and the node after hold the place.
    """
    share = np.asarray(alcohol.mass_fraction(least_pct_vol))
    begun = _now(profile, since_u)

    def short(now: Amounts) -> Worlds:
        """By how much its mass share falls short; strong enough as long as it is empty."""
        ethanol_kg, water_kg = now.ethanol_kg - begun.ethanol_kg, now.water_kg - begun.water_kg
        whole_kg = ethanol_kg + water_kg
        some = whole_kg > 0.0
        return np.where(some, share - ethanol_kg / np.where(some, whole_kg, 1.0), -1.0)

    at_nodes = np.where(profile.pot_u >= since_u, -1.0, short(profile.collected))
    weak = np.maximum.accumulate(at_nodes, axis=0)
    found = first_moment(profile, weak, lambda u: short(_now(profile, u)), since_u - _A_DROP)
    found = np.where(found >= since_u - _A_DROP, since_u, found)
    return np.where(weak[-1] < 0.0, profile.pot_u[-1], found)


def first_moment(
    profile: Profile, at_nodes: Worlds, rising: Callable[[Worlds], Worlds], not_before: Worlds | None = None
) -> Worlds:
    """Pot's u where a figure that rises along the run passes zero, from its values at the nodes."""
    k = np.clip(np.sum(at_nodes < 0.0, axis=0) - 1, 0, len(profile.pot_u) - 2).astype(np.intp)
    before, after = picked(profile.pot_u, k), picked(profile.pot_u, k + 1)
    if not_before is not None:
        before = np.maximum(np.minimum(before, not_before), after)
    found = crossing(lambda z: rising(-z), -before, -after, within=1e-10, rounds=_ROUNDS)
    return np.asarray(-found)


def _now(profile: Profile, u: Worlds) -> Amounts:
    """Alcohol and water that have left the spout."""
    return collected_at(profile, u, traced=False)


def _volume_since(now: Amounts, begun: Amounts | None) -> Worlds:
    """Litres collected since a moment; since the first drop where that is None."""
    return now.volume_l if begun is None else now.less(begun).volume_l
