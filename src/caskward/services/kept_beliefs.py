"""Beliefs kept from one call to the next: a call with one more row begins where the last one ended.

A belief goes stage after stage, and what is believed after a stage hangs on nothing that comes later. So each
stage's worlds are kept by the plan, the readings so far and the version of Caskward, and a call begins with
the longest row of stages that is known. With or without what is kept the answer is the same to the last bit.
"""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Callable, Sequence
from dataclasses import asdict, replace
from itertools import groupby
from typing import Any, Final

import numpy as np

from caskward.planning.belief.tempering import Particles
from caskward.planning.forecast import forecast
from caskward.planning.intent import Intent
from caskward.planning.method import Counts, Method, method_for
from caskward.planning.readings import STAGES, Reading
from caskward.planning.sizing import Sized, size, worlds_for
from caskward.planning.update import Belief, anew, update
from caskward.services import cache_folder

Say = Callable[[str], None]
"""Told what is being worked on, for a person who waits."""
_OTHER: Final = (ValueError, KeyError, TypeError, OSError, zipfile.BadZipFile)
"""What reading a file that something else has written may raise."""


def quiet(_: str) -> None:
    """Say nothing."""


# Readings ----------------------------------------------------------------------------------------


def believed(before: Belief, readings: Sequence[Reading], say: Say = quiet) -> Belief:
    """What is believed after readings, as `update` has it, from the longest part of them that is kept.

    Args:
        before: what the plan alone says. readings: all of the batch. say: told of each stage worked on.

    Raises:
        InputError: as `update` does.
    """
    stages = in_stages(readings)
    known, now = _longest(before, stages)
    for place, group in enumerate(stages[known:], known + 1):
        say(f"Taking in the {group[0].stage} ({place} of {len(stages)}) ...")
        now = update(now, group)
        _keep(before, now)
    return now


def longest(before: Belief, readings: Sequence[Reading]) -> tuple[tuple[Reading, ...], Belief]:
    """The longest part of readings, by whole stages, that is known, and what is believed after it."""
    stages = in_stages(readings)
    known, now = _longest(before, stages)
    return tuple(r for group in stages[:known] for r in group), now


def in_stages(readings: Sequence[Reading]) -> list[tuple[Reading, ...]]:
    """Readings by stage, stages in the order of the batch's way; within one as they were given."""
    in_order = sorted(readings, key=lambda r: STAGES.index(r.stage))
    return [tuple(group) for _, group in groupby(in_order, key=lambda r: r.stage)]


def _longest(before: Belief, stages: Sequence[tuple[Reading, ...]]) -> tuple[int, Belief]:
    """How many stages are known, and what is believed after them."""
    for known in range(len(stages), 0, -1):
        found = _kept(before, stages[:known])
        if found is not None:
            return known, found
    return 0, before


def _name(before: Belief, readings: Sequence[Reading]) -> str:
    """By all that a belief follows from; a reading by what it says, not by how it was typed."""
    sized = before.sized
    told = [repr(replace(r, said="")) for r in readings]
    whole = (repr(sized.intent), repr(sized.method), str(len(before.z)), *told)
    return cache_folder.name_of("belief", *whole)


def _kept(before: Belief, stages: Sequence[tuple[Reading, ...]]) -> Belief | None:
    taken = _as_taken(stages)
    content = cache_folder.read(_name(before, taken))
    if content is None:
        return None
    try:
        start = anew(before, taken)
        particles = _particles(content, start.z.shape)
    except _OTHER:
        return None
    return replace(start, z=particles.z, log_like=particles.log_like, readings=taken, particles=particles)


def _as_taken(stages: Sequence[tuple[Reading, ...]]) -> tuple[Reading, ...]:
    """Readings in the order in which `update` takes them in."""
    return tuple(r for group in stages for r in sorted(group, key=lambda r: r.moment))


def _keep(before: Belief, now: Belief) -> None:
    """Keep worlds that were worked out; those that no reading has judged are the plan's own."""
    particles = now.particles
    if particles is None or particles.payload is not None:
        return
    told = particles
    figures = [told.evaluations, told.unique, told.moved, told.whole, told.log_evidence]
    file = io.BytesIO()
    np.savez(
        file,
        z=particles.z,
        log_like=particles.log_like,
        ladder=np.array(particles.ladder),
        ess=np.array(particles.ess),
        acceptance=np.array(particles.acceptance),
        figures=np.array(figures, dtype=float),
    )
    cache_folder.write(_name(before, now.readings), file.getvalue())


def _particles(content: bytes, shape: tuple[int, ...]) -> Particles:
    """Worlds from a file.

    Raises:
        ValueError, and others of `_OTHER`: it is not such a file, or not of so many worlds.
    """
    with np.load(io.BytesIO(content), allow_pickle=False) as file:
        z, log_like = file["z"], file["log_like"]
        evaluations, unique, moved, whole, evidence = file["figures"].tolist()
        ladder, ess, acceptance = (tuple(file[name].tolist()) for name in ("ladder", "ess", "acceptance"))
    if z.shape != shape or log_like.shape != shape[:1] or not np.all(np.isfinite(z)):
        raise ValueError("other worlds")
    way = ladder, ess, acceptance
    return Particles(z, log_like, None, int(evaluations), *way, unique, moved, whole > 0.5, evidence)


# The plan ----------------------------------------------------------------------------------------


def sized(intent: Intent, say: Say = quiet) -> Sized:
    """A plan's size, as `size` has it, unless it is kept."""
    name = cache_folder.name_of("size", repr(intent))
    method = _kept_method(intent, cache_folder.read(name))
    if method is None:
        say("Sizing the batch ...")
        found = size(intent)
        content = json.dumps(_of_method(found.method)).encode()
        if _kept_method(intent, content) == found.method:
            cache_folder.write(name, content)
        return found
    worlds = worlds_for(intent)
    return Sized(intent, method, forecast(intent, method, worlds), worlds)


def _of_method(method: Method) -> dict[str, Any]:
    """What sizing settles; the rest of a method follows from the wish."""
    return {
        "bill_kg": dict(method.bill_kg),
        "entry_pct_vol": method.entry_pct_vol,
        "counts": asdict(method.counts),
        "warm": {key: getattr(method, key) for key in ("water_l", "mash_water_c", "addition_water_c")},
    }


def _kept_method(intent: Intent, content: bytes | None) -> Method | None:
    if content is None:
        return None
    try:
        told = json.loads(content)
        bare = method_for(intent, told["bill_kg"], told["entry_pct_vol"], Counts(**told["counts"]))
        return replace(bare, **told["warm"])
    except _OTHER:
        return None
