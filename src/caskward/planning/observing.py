"""What a reading of a batch would show in every world, from no more stages than lie before it."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.errors import NothingToRead
from caskward.pace import once
from caskward.planning.doubts import doubts
from caskward.planning.forecast import Chain, spirit_habits, still_of, strip_habits
from caskward.planning.log_slips import (
    FERMENT_WARMTH,
    MASH_PH,
    MASH_WARMTH,
    Log,
    Patterns,
    log_of,
    log_unknowns,
    patterns,
)
from caskward.planning.mash_forecast import mash_by_hours, mash_patterns, planned_rests
from caskward.planning.method import Method
from caskward.planning.readings import QUANTITIES, Reading, Stage, of_quantity
from caskward.planning.sizing import Sized
from caskward.planning.tub.brew import Brew, Kept, ferment_tub, pitch_of
from caskward.planning.tub.brew_doubts import course_doubts
from caskward.planning.tub.pitching import pitching_c
from caskward.planning.tub.schedule import MashSchedule
from caskward.planning.unknowns import Draw, Unknown, likely_world
from caskward.stages.distil import Stop, distil
from caskward.stages.iodine import starch_test_positive
from caskward.stages.mashing import MashCourse
from caskward.stages.stream import Stream, Worlds

_RUN_STEPS = 32
_STOOD_H, _SAME, _MOVED, _FASTER = 12.0, 2.0, 3.0, 2.0
"""Hours apart, errors of two gravities within which they are the same and beyond which they differ, and how
many times as fast one falls that moves again; *common practice, no source*."""


class Settings:
    """What is the same in every world, for it was settled by the plan: the mash's rests, where to pitch."""

    def __init__(self, sized: Sized) -> None:
        self.sized = sized
        self._tub_c: dict[tuple[float, ...], Worlds] = {}

    @once
    def rests(self) -> MashSchedule | None:
        """The mash's rests; None without starch."""
        return planned_rests(self.sized.intent, self.sized.method)

    @once
    def pitch_c(self) -> float:
        """Where the plan pitches a tub that is left to itself [°C]."""
        intent, method = self.sized.intent, self.sized.method
        return pitching_c(intent, method, Kept(intent.site.room_c), rests=self.rests)

    def tub_c(self, at_h: tuple[float, ...]) -> Worlds:
        """How warm the likely tub is at some hours that is pitched and left as planned [°C]."""
        if at_h not in self._tub_c:
            sized, likely = self.sized, likely_world(unknowns_of(self.sized))
            chain = Chain(sized.intent, sized.method, likely, self.rests)
            wash, kept = chain.mash.tub.scaled(1.0 / sized.method.ferments), Kept(sized.intent.site.room_c)
            pitch = pitch_of(sized, likely, wash, self.pitch_c)
            brew = ferment_tub(sized.intent, likely, wash, pitch, kept, max(at_h), at_h, 6.0)
            on_grid = np.argmin(np.abs(brew.hours[:, None] - np.array(at_h)), axis=0)
            self._tub_c[at_h] = brew.temp_c[on_grid, 0]
        return self._tub_c[at_h]


class Watched:
    """A batch in worlds, as its readings drive it: the chain of stages, and its courses in time.

    probes: moments at which it is looked at without having been read; their values say nothing.
    """

    def __init__(
        self,
        sized: Sized,
        worlds: Draw,
        readings: Sequence[Reading],
        settings: Settings | None = None,
        probes: Sequence[Reading] = (),
    ) -> None:
        self.sized, self.worlds, self.readings = sized, worlds, tuple(readings)
        self.probes = tuple(probes)
        self.settings = settings or Settings(sized)
        self.chain = Chain(sized.intent, driven(sized, readings), worlds, self.settings.rests)

    @once
    def mash(self) -> MashCourse:
        """The mash with points at every moment it was read."""
        chain, schedule = self.chain, self.settings.rests
        if schedule is None:
            raise NothingToRead("mash")
        moments = self._hours("mash")
        hours = schedule.grid(0.5, max(moments, default=0.0), moments)
        return mash_by_hours(chain.intent, chain.method, self.worlds, chain.brought, schedule, hours)

    @once
    def brew(self) -> Brew:
        """One tub's ferment with points at every moment it was read."""
        wash = self.chain.mash.tub.scaled(1.0 / self.chain.method.ferments)
        hours = self._hours("ferment")
        logged = FERMENT_WARMTH.rows(self.readings)
        kept = Kept(
            self.sized.intent.site.room_c,
            logged=tuple((row.at_h, row.value) for row in logged),
            moved_on_h=self.chain.method.ferment_moved_on_h,
            followed=self._followed(FERMENT_WARMTH) if logged else None,
        )
        # Where it was pitched hangs on the log or the plan, never on which worlds are looked at.
        pitch = pitch_of(self.sized, self.worlds, wash, self.settings.pitch_c)
        return ferment_tub(
            self.sized.intent, self.worlds, wash, pitch, kept, max(hours, default=6.0), hours, 6.0
        )

    def patterns(self, of: Log) -> Patterns:
        """Which rows of a log may be followed, and how likely that is by the plan alone.

        Raises:
            NothingToRead: a mash's, where nothing is mashed.
        """
        if of is FERMENT_WARMTH:
            rows = of.rows(self.readings)
            own_c = self.settings.tub_c(tuple(row.at_h for row in rows)).tolist()
            off = tuple(row.value - c for row, c in zip(rows, own_c, strict=True))
            return patterns(of, rows, off, off)
        if self.settings.rests is None:
            raise NothingToRead("mash")
        return mash_patterns(of, self.chain.method, self.settings.rests)

    def _followed(self, of: Log) -> NDArray[np.bool_]:
        """Which rows of a log are followed, (rows, worlds)."""
        found = self.patterns(of)
        return np.asarray(found.followed[found.of(of.name, self.worlds)].T)

    def wrong(self, reading: Reading) -> NDArray[np.bool_]:
        """Worlds in which a row of a log is simply wrong, and not followed."""
        of = log_of(reading)
        if of is None:
            raise NothingToRead(reading.stage, QUANTITIES[reading.quantity].words)
        row = of.rows(self.readings).index(of.row(reading))
        return np.asarray(~self._followed(of)[row])

    def _hours(self, stage: Stage) -> list[float]:
        return sorted({r.at_h for r in (*self.readings, *self.probes) if r.stage == stage})

    def expected(self, reading: Reading) -> Worlds:
        """What an instrument would show; of a yes or no, the chance of a yes.

        Raises:
            NothingToRead: a stage that this batch does not have, or a quantity that no model tells there.
        """
        shows = _SHOWS.get((reading.stage, reading.quantity))
        if shows is None:
            raise NothingToRead(reading.stage, QUANTITIES[reading.quantity].words)
        return np.broadcast_to(shows(self, reading), (self.worlds.count,))


def driven(sized: Sized, readings: Sequence[Reading]) -> Method:
    """The method with what was logged of the mash's warmth and pH, and that a ferment went on again."""
    return replace(
        sized.method,
        mash_log=MASH_WARMTH.rows(readings),
        mash_ph_log=MASH_PH.rows(readings),
        ferment_moved_on_h=moved_on_h(readings),
    )


def moved_on_h(readings: Sequence[Reading]) -> float | None:
    """The last hour at which a ferment was read to stand that was read to move again later [h].

    It stood where two gravities half a day or more apart are the same within their errors, and it moved where
    a later one, not only the next, is lower by more than errors explain. Read often, a slow fall looks like a
    stand from row to row: one that stood falls at most half as fast as it did later. A slow ferment may pass
    for one that stood, and it does no harm: only in worlds in which the yeast stopped does it matter when it
    went on.
    """
    told = (r for r in readings if r.stage == "ferment" and not r.bound)
    own = of_quantity(told, "gravity", "gravity_checked")
    found = None
    for k, at in enumerate(own):
        before = next((r for r in reversed(own[:k]) if at.at_h - r.at_h >= _STOOD_H), None)
        if before is None or abs(at.value - before.value) > _SAME * _error(at, before):
            continue
        if any(_moved(before, at, later) for later in own[k + 1 :] if later.at_h > at.at_h):
            found = at.at_h
    return found


def _moved(before: Reading, at: Reading, later: Reading) -> bool:
    """True where it fell from one gravity to a later one, and more than twice as fast as until then."""
    fell = at.value - later.value
    stood_per_h = (before.value - at.value) / (at.at_h - before.at_h)
    return fell > _MOVED * _error(at, later) and fell > _FASTER * stood_per_h * (later.at_h - at.at_h)


def _error(one: Reading, other: Reading) -> float:
    return float(np.hypot(one.sd, other.sd))


def drives(reading: Reading) -> bool:
    """True for a reading that is followed unless it is wrong: a mash's warmth and pH, a ferment's warmth."""
    return log_of(reading) is not None


def tells(reading: Reading) -> bool:
    """True for a reading that is followed or judged; false where no model knows what it should show."""
    return drives(reading) or (reading.stage, reading.quantity) in _SHOWS


Shows = Callable[[Watched, Reading], Worlds]


def _mash_at(watched: Watched, reading: Reading) -> int:
    return int(np.argmin(np.abs(watched.mash.hours - reading.at_h)))


def _brew_at(watched: Watched, reading: Reading) -> int:
    return int(np.argmin(np.abs(watched.brew.hours - reading.at_h)))


def _mash_volume(watched: Watched, reading: Reading) -> Worlds:
    """As hot as it is dipped."""
    i = _mash_at(watched, reading)
    volume_l = watched.mash.stream(i).volume_at(watched.mash.temp_c[i])
    return np.asarray(volume_l / watched.chain.method.ferments)


def _spout(watched: Watched, reading: Reading) -> Worlds:
    """Strength at the spout when so much of one charge has come over."""
    chain = watched.chain
    if reading.stage == "strip":
        charge = chain.rinsed[0].scaled(1.0 / chain.method.strips)
        still, habits = still_of(chain.intent, chain.intent.gear.strip_still), strip_habits(chain.worlds)
    else:
        charge = chain.run[0].scaled(1.0 / chain.method.spirit_runs)
        still, habits = still_of(chain.intent, chain.intent.gear.spirit_still), spirit_habits(chain.worlds)
    profile = distil(charge, still, Stop("volume_l", reading.at_l), habits, _RUN_STEPS)
    return np.asarray(profile.spout_pct_vol[-1])


def _of(part: Callable[[Chain], Stream], what: str) -> Shows:
    """Volume or strength of a stream of the chain."""
    return lambda watched, _: np.asarray(getattr(part(watched.chain), what))


_SHOWS: Final[Mapping[tuple[Stage, str], Shows]] = {
    ("mash", "gravity"): lambda w, r: w.mash.stream(_mash_at(w, r)).specific_gravity,
    ("mash", "gravity_checked"): lambda w, r: w.mash.stream(_mash_at(w, r)).specific_gravity,
    ("mash", "volume"): _mash_volume,
    ("mash", "temperature"): lambda w, r: w.mash.temp_c[_mash_at(w, r)],
    ("mash", "second_thermometer"): lambda w, r: w.mash.temp_c[_mash_at(w, r)],
    ("mash", "ph"): lambda w, r: w.mash.ph[_mash_at(w, r)],
    ("mash", "ph_checked"): lambda w, r: w.mash.ph[_mash_at(w, r)],
    ("mash", "starch"): lambda w, r: np.asarray(starch_test_positive(w.mash.showing_share[_mash_at(w, r)])),
    ("ferment", "gravity"): lambda w, r: w.brew.specific_gravity[_brew_at(w, r)],
    ("ferment", "gravity_checked"): lambda w, r: w.brew.specific_gravity[_brew_at(w, r)],
    ("ferment", "temperature"): lambda w, r: w.brew.temp_c[_brew_at(w, r)],
    ("ferment", "second_thermometer"): lambda w, r: w.brew.temp_c[_brew_at(w, r)],
    ("ferment", "strength"): lambda w, r: w.brew.strength_pct_vol[_brew_at(w, r)],
    ("ferment", "volume"): lambda w, _: w.chain.mash.tub.volume_l / w.chain.method.ferments,
    ("wash", "gravity"): lambda w, _: w.chain.wash[0].specific_gravity,
    ("wash", "volume"): _of(lambda chain: chain.wash[0], "volume_l"),
    ("wash", "strength"): _of(lambda chain: chain.wash[0], "strength_pct_vol"),
    ("strip", "spout"): _spout,
    ("strip", "volume"): _of(lambda chain: chain.low_wines[0], "volume_l"),
    ("strip", "strength"): _of(lambda chain: chain.low_wines[0], "strength_pct_vol"),
    ("charge", "volume"): _of(lambda chain: chain.run[0], "volume_l"),
    ("charge", "strength"): _of(lambda chain: chain.run[0], "strength_pct_vol"),
    ("run", "spout"): _spout,
    ("heart", "volume"): _of(lambda chain: chain.run[2], "volume_l"),
    ("heart", "strength"): _of(lambda chain: chain.run[2], "strength_pct_vol"),
    ("cask", "volume"): lambda w, r: w.chain.cask_by(r.at_h / 24.0).settled_level_l,
    ("cask", "strength"): lambda w, r: w.chain.cask_by(r.at_h / 24.0).settled_pct_vol,
}
"""What each reading would show. Volumes and strengths are those at 20 °C, but a mash's volume is
hot, as it is dipped; strips are all of them together; a cask is as far settled as its wood is by then."""


def unknowns_of(sized: Sized, readings: Sequence[Reading] = ()) -> tuple[Unknown, ...]:
    """Everything not known of a batch: its plan, its tub's course, and which rows of its logs hold."""
    return (*doubts(sized.intent), *course_doubts(sized.intent), *log_unknowns(readings))
