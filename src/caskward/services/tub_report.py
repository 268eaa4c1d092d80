"""One tub of a plan as plain figures: what the answer of a simulation consists of.

Bands are low, middle and high (8 in 10); a figure that is not reached is None. Units stand in the names.
"""

from __future__ import annotations

from dataclasses import dataclass

from caskward.planning.plan import Band
from caskward.units.types import UnitSystem


@dataclass(frozen=True)
class OpenBand:
    """A band some of whose ends may never come: those are None."""

    low: float | None
    mid: float | None
    high: float | None


@dataclass(frozen=True)
class Dosed:
    """A product: how much, from when [h], in the pot or the tub, and its label's windows."""

    name: str
    amount: float
    unit: str
    at_h: float
    in_pot: bool
    window_c: tuple[float, float]
    window_ph: tuple[float, float]


@dataclass(frozen=True)
class PotRow:
    """One pot in turn, and the tub before and after it is poured in; hours from the first pot's start."""

    number: int
    heat_up_h: Band
    hot_l: Band
    boil_off_l: Band
    before_c: Band | None
    after_c: Band
    after_l: Band
    poured_at_h: Band


@dataclass(frozen=True)
class CookPart:
    """One tub's cook, pot by pot; fits: share of possible pots that stay in what the pot works with."""

    grains_kg: tuple[tuple[str, float], ...]
    water_l: float
    water_c: float
    cook_c: float
    hold_h: float
    working_l: float
    fits: float
    gelatinised: Band
    energy_kwh: Band
    thinning: tuple[Dosed, ...]
    pots: tuple[PotRow, ...]


@dataclass(frozen=True)
class Ways:
    """Each way, taken alone, from where the tub is down to a temperature; None where it never gets there.

    spare_l: what may still be poured in, its headspace and all that goes in later kept free [L].
    later_l: cold water that goes in later anyhow, with sugar or fruit [L].
    """

    to_c: float
    heat_kwh: Band
    lid_on_h: OpenBand
    cold_water_l: OpenBand
    ice_kg: Band
    coil_water_l: Band
    spare_l: float
    later_l: float


@dataclass(frozen=True)
class LandingPart:
    """What is stirred in, where that lands, and how it is brought to its rest in the next window.

    logged_at_h: when the mash was logged in its first rest; `lies_c` is then as it was logged, and what is
    said of the window is said of that.
    """

    stirred_in: tuple[tuple[str, float, float], ...]
    water_c: float
    together_c: Band
    together_l: Band
    logged_at_h: float | None
    lies_c: Band
    whose: str
    window_c: tuple[float, float]
    in_window: float
    ways: Ways
    hot_water_l: OpenBand


@dataclass(frozen=True)
class RestRow:
    """A rest: from and to [h since all is together], its temperature at the start, its pH."""

    words: str
    from_h: float
    to_h: float
    temp_c: float
    ph: float


@dataclass(frozen=True)
class CooledPart:
    """A step down before a later rest: from when [h], from [°C], how much is there, and the ways."""

    words: str
    at_h: float
    from_c: Band
    volume_l: Band
    ways: Ways


@dataclass(frozen=True)
class FadingPart:
    """A product's rest that falls under its label's window, when, and what keeps it or brings it back."""

    name: str
    low_c: float
    rest_c: float
    at_h: float
    end_c: float
    loss_kw: Band
    hot_water_l: OpenBand


@dataclass(frozen=True)
class MashRow:
    """The mash at an hour; shares of all that is or was starch, and of each dose what is alive."""

    at_h: float
    temp_c: Band
    long_starch: Band
    dextrin: Band
    sugar: Band
    gravity: Band
    alive: tuple[Band, ...]


@dataclass(frozen=True)
class MashPart:
    """The mash by the hour, and when to take a drop for the starch test (None: not within these hours).

    raw: share of all starch that is raw at the end, and `swells_c` where what is not cooked swells.
    """

    rests: tuple[RestRow, ...]
    doses: tuple[Dosed, ...]
    enzymes: tuple[str, ...]
    rows: tuple[MashRow, ...]
    cooled: tuple[CooledPart, ...]
    fading: tuple[FadingPart, ...]
    raw: Band
    swells_c: tuple[float, float] | None
    test_from_h: float | None
    test_sure_h: float | None
    spent_h: float | None
    converted: Band
    gravity: Band
    calcium_chloride_g: float
    driven: bool


@dataclass(frozen=True)
class AddedPart:
    """Sugar or fruit stirred in, and what that does to the tub; water as the plan counts it."""

    name: str
    kg: float
    water_l: float
    water_c: float
    dissolves_in_l: Band | None
    temp_c: Band
    volume_l: Band
    gravity_before: Band | None
    gravity: Band
    sugar_g_l: Band
    too_sweet: float
    unfermentable_rise: Band | None
    nitrogen_brought_g: float
    nitrogen_needed_g: Band


@dataclass(frozen=True)
class PitchPart:
    """Yeast, its water and steps, its food, and enzymes that work on fruit while it ferments.

    past: the ferment was read, so the yeast is in. logged: its temperature then was read, too.
    """

    yeast: str
    yeast_g: float
    temp_c: float
    past: bool
    logged: bool
    window_c: tuple[float, float]
    million_cells_ml: Band
    rehydrate_l: float
    rehydrate_c: float
    rehydrate_min: float
    most_step_k: float
    steps: int
    volume_l: Band
    gravity: Band
    doses: tuple[Dosed, ...]
    needs_mg_l: Band
    given_mg_l: Band
    dap_of_plan_g: float
    dap_full_g: Band
    cool_from_c: Band
    ways: Ways


@dataclass(frozen=True)
class FermentRow:
    """The ferment at an hour since pitching."""

    at_h: float
    temp_c: Band
    gravity: Band
    strength_pct_vol: Band
    sugar_g_l: Band
    co2_m3: Band


@dataclass(frozen=True)
class FitRow:
    """A reading, what was expected before any, and after all of them; of a yes or no the chance of a yes."""

    said: str
    stage: str
    words: str
    at_h: float
    value: float
    unit: str
    before: Band
    after: Band
    badly: bool


@dataclass(frozen=True)
class FermentPart:
    """The ferment by the hour; with readings, rows and figures are after them and `*_before` are without.

    on_grain: nothing is strained. of_grain: there is grain in it.
    logged_from_h: the first temperature that was logged. dry_share: of possible ferments, those dry by the
    last hour followed. fresh_air_m3_h: what keeps the room under 0.5 % carbon dioxide at the peak.
    worlds_fit: how many possible ferments the readings leave.
    """

    on_grain: bool
    of_grain: bool
    room_c: float
    set_point_c: float | None
    driven: bool
    logged_from_h: float | None
    rows: tuple[FermentRow, ...]
    rows_before: tuple[FermentRow, ...]
    dry_d: OpenBand
    dry_before_d: OpenBand
    dry_share: float
    followed_d: float
    final_gravity: Band
    strength_pct_vol: Band
    peak_c: Band
    over_window: float
    co2_kg: Band
    co2_m3: Band
    co2_peak_m3_h: Band
    fresh_air_m3_h: float
    stuck: float
    fits: tuple[FitRow, ...]
    worlds_fit: float


@dataclass(frozen=True)
class RinsePart:
    """One rinse with as much water as the solids hold: what it wins and costs over doing without."""

    water_l: float
    gained_lpa: Band
    extra_wash_l: Band
    extra_kwh: Band
    kwh_per_lpa: float | None
    strength_before_pct_vol: Band
    strength_pct_vol: Band


@dataclass(frozen=True)
class SeparatePart:
    """One tub parted: what runs off, is pressed, stays; rinse is None where nothing is strained.

    behind_l: what of it does not come to the still: on the lees, in hoses and vessels.
    """

    way: str
    note: str
    strains: bool
    presses: bool
    run_off_l: Band
    pressed_l: Band
    held_l: Band
    held_lpa: Band
    wet_solids_kg: Band
    hands_h: Band
    behind_l: Band
    wash_l: Band
    wash_pct_vol: Band
    rinse: RinsePart | None


@dataclass(frozen=True)
class TubReport:
    """One tub of a plan, whole; parts that a bill does without are None, and `left_out` says why."""

    name: str
    place: str
    invented: bool
    show: UnitSystem
    tub: str
    ferments: int
    bill_kg: tuple[tuple[str, float], ...]
    cook: CookPart | None
    landing: LandingPart | None
    mash: MashPart | None
    additions: tuple[AddedPart, ...]
    pitch: PitchPart
    ferment: FermentPart
    separate: SeparatePart
    left_out: tuple[str, ...]
    minds: tuple[str, ...]
    unused: tuple[str, ...]
    cautions: dict[str, tuple[str, ...]]
    worlds: int
    seed: int
