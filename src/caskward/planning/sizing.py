"""Sizing: backward from the cask, by root-finding over the forecast. There is no second formula."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from caskward.errors import FillOutOfReach
from caskward.planning.doubts import doubts
from caskward.planning.forecast import Course, forecast
from caskward.planning.intent import Intent
from caskward.planning.mash_forecast import forecast_mash
from caskward.planning.method import Counts, Method, bill_of, method_for
from caskward.planning.solve import NoRoot, rising_root
from caskward.planning.unknowns import Draw, draw, likely_world
from caskward.planning.warmth import with_water_temperatures
from caskward.properties import alcohol
from caskward.stages.mature import Cask, FillUnknowns, fill
from caskward.stages.stream import Stream, Worlds
from caskward.units.show import round_to_weigh

NEARLY_ALL = 0.95
"""Share of worlds in which a vessel must hold what comes."""
_HEART_SHARE_GUESS = 0.4
"""Part of what the bill could give that ends up in the heart: only a place to start looking."""
_SPAN = 64.0
"""How far from the first guess the scale is looked for, both ways."""
_MOST_COUNTINGS = 3
_FEW = 256
"""Worlds of the first look, which only says where to look with all of them."""
_LOOKS = 3
_MOST_AT_ONCE = 4.0
_NEAR = 1.02
"""First step away from a guess that a look has made."""
WITHIN = 1e-3
"""Relative width to which the mass is solved; finer than a scale, and the rounding comes after."""


@dataclass(frozen=True)
class Sized:
    """A method that fills the cask with the wanted confidence, and what it leads to."""

    intent: Intent
    method: Method
    course: Course
    worlds: Draw

    @property
    def chance(self) -> float:
        """Share of worlds in which the cask fills at entry strength."""
        return chance_of_fill(self.course, self.method)


def chance_of_fill(course: Course, method: Method) -> float:
    """Share of worlds with enough spirit at entry strength (to a millilitre)."""
    return float(np.mean(course.available_l >= method.fill_l - 1e-3))


def worlds_for(intent: Intent) -> Draw:
    """The worlds of an intent, by its own count and seed."""
    return draw(doubts(intent), intent.worlds, intent.seed)


def size(intent: Intent, worlds: Draw | None = None, within: float = WITHIN) -> Sized:
    """Solve for the bill's mass so that the cask fills with the wanted confidence.

    The figure that is brought to the wanted fill is the one reached or passed in the wanted share of
    worlds. Kilograms are then rounded up to what a person can weigh, pots and runs are counted, and the
    method forecast as it will be done. Where the counts cost spirit (more moves, more water in more
    charges), the mass is solved once more with them. A wider `within` (relative) is a first look.
    """
    worlds = worlds or worlds_for(intent)
    entry_pct_vol = entry_strength(intent, worlds)
    guess_kg, counts = _first_look(intent, entry_pct_vol, _few(worlds))
    for _ in range(_MOST_COUNTINGS):
        total_kg = _solved_kg(intent, entry_pct_vol, counts, guess_kg, worlds, within)
        bill_kg = {key: round_to_weigh(kg, intent.show) for key, kg in bill_of(intent, total_kg).items()}
        found, course = _counted(
            intent, _warm(intent, method_for(intent, bill_kg, entry_pct_vol, counts)), worlds
        )
        sized = Sized(intent, found, course or forecast(intent, found, worlds), worlds)
        if within > WITHIN or found.counts == counts or sized.chance >= intent.confidence:
            return sized
        guess_kg, counts = total_kg, found.counts
    return sized


def size_roughly(intent: Intent) -> Sized:
    """About what `size` finds, by a few worlds and a few looks: for an answer while somebody types.

    Its kilograms lie within some percent of the solved ones; counts are those of a mass near it.
    """
    few = _few(worlds_for(replace(intent, worlds=_FEW)))
    entry_pct_vol = entry_strength(intent, few)
    kg, counts = _first_look(intent, entry_pct_vol, few)
    method = _warm(intent, method_for(intent, bill_of(intent, kg), entry_pct_vol, counts))
    found, course = _counted(intent, method, few)
    return Sized(intent, found, course or forecast(intent, found, few), few)


def _few(worlds: Draw) -> Draw:
    """The first worlds of a draw."""
    count = min(_FEW, worlds.count)
    values, deviates = (
        {name: row[:count] for name, row in rows.items()} for rows in (worlds.values, worlds.deviates)
    )
    return Draw(worlds.seed, count, values, deviates)


def _first_look(intent: Intent, entry_pct_vol: float, few: Draw) -> tuple[float, Counts]:
    """About what mass, and how many pots and runs, by a few worlds: spirit goes nearly as the mass does."""
    kg, counts = _first_guess_kg(intent, entry_pct_vol), Counts()
    least_kg, most_kg = kg / _SPAN, kg * _SPAN
    for _ in range(_LOOKS):
        method = _warm(intent, method_for(intent, bill_of(intent, kg), entry_pct_vol, counts))
        found, course = _counted(intent, method, few)
        filled_l = _surely_l(intent, course or forecast(intent, found, few))
        if filled_l <= 0.0 and kg < most_kg:  # too weak for the cask, as it mostly is at any mass
            kg = most_kg
            continue
        if filled_l <= 0.0:
            raise FillOutOfReach(intent.cask.fill_l)
        times = intent.cask.fill_l / max(filled_l, 1e-9)
        kg = min(max(kg * min(max(times, 1.0 / _MOST_AT_ONCE), _MOST_AT_ONCE), least_kg), most_kg)
        counts = found.counts
    return kg, counts


def _surely_l(intent: Intent, course: Course) -> float:
    """The fill that is reached or passed in the wanted share of worlds [L]."""
    return float(np.quantile(course.available_l, 1.0 - intent.confidence, method="inverted_cdf"))


def _solved_kg(
    intent: Intent, entry_pct_vol: float, counts: Counts, guess_kg: float, worlds: Draw, within: float
) -> float:
    wanted_l = intent.cask.fill_l
    # Water temperatures follow from the ratios of the bill, not from its mass: found once for all masses.
    warm = _warm(intent, method_for(intent, bill_of(intent, guess_kg), entry_pct_vol, counts))

    def beyond_l(total_kg: float) -> float:
        bill_kg = bill_of(intent, total_kg)
        water_l = warm.water_l * total_kg / guess_kg
        method = replace(warm, bill_kg=bill_kg, water_l=water_l)
        return _surely_l(intent, forecast(intent, method, worlds)) - wanted_l

    try:
        return rising_root(beyond_l, guess_kg, guess_kg / _SPAN, guess_kg * _SPAN, within, _NEAR)
    except NoRoot as none:
        if not none.above:
            raise FillOutOfReach(wanted_l) from None
        return guess_kg / _SPAN


def _warm(intent: Intent, method: Method) -> Method:
    """The method with its water as warm as the mash needs it."""
    return with_water_temperatures(intent, method, likely_world(doubts(intent)))


def entry_strength(intent: Intent, worlds: Draw) -> float:
    """Strength to fill at: as asked, or such that the cask settles where it should in the middle world."""
    cask = intent.cask
    if cask.entry_pct_vol is not None:
        return cask.entry_pct_vol
    settle_pct_vol = cask.settle_pct_vol
    assert settle_pct_vol is not None, "checked when the intent was read"
    wood = Cask(cask.capacity_l, worlds["wood.area_m2"], cask.soaked)
    unknowns = FillUnknowns(
        worlds["wood.water_l_m2"], worlds["wood.mixes_at_once"], worlds["wood.indrink_l_m2"]
    )

    def short_by(entry_pct_vol: float) -> float:
        settled = fill(_spirit(cask.fill_l, entry_pct_vol, worlds.count), wood, unknowns)[1].settled_pct_vol
        return float(np.median(settled)) - settle_pct_vol

    try:
        exact = rising_root(
            short_by, min(settle_pct_vol + 3.0, 95.0), settle_pct_vol - 0.01, 96.0, within=1e-4
        )
    except NoRoot:
        raise FillOutOfReach(cask.fill_l) from None
    return math.ceil(exact * 10.0 - 1e-6) / 10.0


def _counted(intent: Intent, method: Method, worlds: Draw) -> tuple[Method, Course | None]:
    """The method with as many cooks, ferments, strips and runs as nearly every world needs.

    And its course, where the counts were right already.
    """
    course = forecast(intent, method, worlds)
    gear, mash = intent.gear, course.mash
    ferments = times_needed(mash.tub.volume_l, gear.tub.working_l)
    cooks = 1
    if mash.cook is not None and gear.cook_pot is not None:
        cooks = times_needed(mash.cook.pot_volume_l * method.counts.cooks, gear.cook_pot.working_volume_l)
    counts = Counts(
        cooks=-(-cooks // ferments) * ferments,
        ferments=ferments,
        strips=times_needed(course.wash.volume_l, gear.strip_still.charge_limit_l),
        spirit_runs=times_needed(course.charge_record.unfilled_l, gear.spirit_still.charge_limit_l),
    )
    if counts == method.counts:
        return method, course
    return _warm(intent, replace(method, counts=counts)), None


def counted_again(intent: Intent, method: Method, worlds: Draw) -> Method:
    """The method of other kilograms: water as warm, and vessels filled as often, as these need."""
    return _counted(intent, _warm(intent, method), worlds)[0]


def times_needed(volume_l: Worlds, vessel_l: float) -> int:
    """How often a vessel is filled, in nearly every world."""
    return max(math.ceil(float(np.quantile(volume_l, NEARLY_ALL)) / vessel_l - 1e-9), 1)


def _first_guess_kg(intent: Intent, entry_pct_vol: float) -> float:
    likely = likely_world(doubts(intent))
    one_kg = forecast_mash(intent, method_for(intent, bill_of(intent, 1.0), entry_pct_vol), likely)
    lpa_per_kg = float(alcohol.litres_pure_alcohol(one_kg.potential_ethanol_kg[0]))
    return intent.cask.fill_l * entry_pct_vol / 100.0 / (lpa_per_kg * _HEART_SHARE_GUESS)


def _spirit(volume_l: float, pct_vol: float, count: int) -> Stream:
    mass_fraction = float(alcohol.mass_fraction(pct_vol))
    kg = volume_l * float(alcohol.density(mass_fraction, 20.0)) / 1000.0
    ethanol = np.full(count, kg * mass_fraction)
    return Stream.of(ethanol_kg=ethanol, water_kg=kg - ethanol)
