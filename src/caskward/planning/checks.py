"""What is wrong with a wish before anything is solved: impossible physics and missing parts."""

from __future__ import annotations

from caskward.catalogue.kinds import Material
from caskward.errors import (
    CannotDissolve,
    MissingValue,
    NoCookPot,
    NoEnzymes,
    NothingFerments,
    NothingHeatsTheWater,
    OutOfRange,
    SharesDoNotAddUp,
    TooStrongForStill,
    TwiceInTheBill,
    TwoStrengths,
)
from caskward.planning.intent import Intent, StillGear
from caskward.properties import vle
from caskward.stages.distil import strongest_spout_pct_vol

LEAST_DIASTATIC_LINTNER = 30.0
"""Power of the whole grist below which malt alone does not convert it; *common practice, no source*."""
_LITTLE_STARCH = 0.05
STRONGEST_CHARGE_PCT_VOL = 40.0
"""Strongest charge without a site's own rule: its vapour lights at 26 °C; *common practice, no source*."""


def checked(intent: Intent) -> Intent:
    """The intent itself, if nothing about it is impossible.

    Raises:
        InputError: one sentence about the first thing that is.
    """
    _check_bill(intent)
    _check_cask(intent)
    _check_enzymes(intent)
    _check_gear(intent)
    _check_stock(intent)
    _check_conversion(intent)
    _check_cuts(intent)
    _check_strength(intent)
    return intent


def _within(name: str, value: float, unit: str, low: float, high: float, hint: str = "") -> None:
    if not low <= value <= high:
        raise OutOfRange(name, value, unit, low, high, hint)


def _check_bill(intent: Intent) -> None:
    if not intent.bill:
        raise MissingValue(
            "The file", "a bill of materials", '[[bill]] with material = "rye" and share = "55 %"'
        )
    total = sum(item.share for item in intent.bill)
    if abs(total - 1.0) > 5e-3:
        raise SharesDoNotAddUp(total)
    for item in intent.bill:
        _within(
            f"The share of {item.material.name}",
            item.share * 100.0,
            "%",
            0.1,
            100.0,
            "Leave out what is not used.",
        )
    names = [item.material.key for item in intent.bill]
    for item in intent.bill:
        if names.count(item.material.key) > 1:
            raise TwiceInTheBill(item.material.name)
        _check_material(item.material)
    if all(_fermentable(item.material) == 0.0 for item in intent.bill):
        raise NothingFerments(", ".join(item.material.name for item in intent.bill))


def _check_material(material: Material) -> None:
    """An own analysis may say anything; what no material can be is refused."""
    name = material.name
    _within(f"Water for {name}", material.water_l_per_kg.likely, "L/kg", 0.0, 20.0)
    if material.prepare in ("dissolve", "crush") and material.starch_dry.likely > _LITTLE_STARCH:
        raise CannotDissolve(name)
    if material.cook_c is not None:
        _within(f"The cooking temperature of {name}", material.cook_c.likely, "C", 40.0, 110.0)
    if material.cook_hold_min is not None:
        _within(f"The cooking time of {name}", material.cook_hold_min.likely, "min", 0.0, 600.0)
    _within(f"Diastatic power of {name}", material.diastatic_power_lintner.likely, "°Lintner", 0.0, 500.0)


def _check_enzymes(intent: Intent) -> None:
    for label in intent.enzymes:
        low_c, high_c = label.window_c
        _within(f"The window of {label.name}", low_c, "C", 0.0, 100.0)
        _within(f"The window of {label.name}", high_c, "C", 0.0, 110.0)
        hint = "A label says drops, not jugs: 0.1 to 2 mL or g for each kilogram is usual."
        _within(f"The dose of {label.name}", label.dose.value, "mL or g", 0.0005, 10.0, hint)
        _within(f"The hold of {label.name}", label.hold_h, "h", 0.0, 72.0)


def _fermentable(material: object) -> float:
    return sum(float(getattr(material, part).high) for part in ("starch_dry", "sugars_dry", "dextrin_dry"))


def _check_cask(intent: Intent) -> None:
    cask = intent.cask
    _within("The cask's capacity", cask.capacity_l, "L", 1.0, 1000.0)
    _within(
        "The cask's fill", cask.fill_share * 100.0, "%", 20.0, 100.0, "A cask cannot hold more than it does."
    )
    _within(
        "The wanted confidence",
        intent.confidence * 10.0,
        "in 10",
        5.0,
        9.9,
        "5 in 10 is as likely as not; no forecast is certain.",
    )
    if (cask.entry_pct_vol is None) == (cask.settle_pct_vol is None):
        raise TwoStrengths(given=cask.entry_pct_vol is not None)


def _check_gear(intent: Intent) -> None:
    gear, site = intent.gear, intent.site
    cooked = [item.material.name for item in intent.bill if item.material.prepare == "cook"]
    if cooked and gear.cook_pot is None:
        raise NoCookPot(" and ".join(cooked))
    mashed = [i.material.name for i in intent.bill if i.material.prepare == "mash"]
    if mashed and gear.cook_pot is None:
        raise NothingHeatsTheWater(" and ".join(mashed))
    if gear.cook_pot is not None:
        _within("The cook pot's working volume", gear.cook_pot.working_volume_l, "L", 2.0, 20000.0)
        _within("The cook pot's power", gear.cook_pot.power_kw, "kW", 0.3, 2000.0)
    _within("The tub's volume", gear.tub.volume_l, "L", 5.0, 100000.0)
    hint = "A ferment foams: rye and oats most of all."
    _within("The tub's headspace", gear.tub.headspace_share * 100.0, "%", 5.0, 60.0, hint)
    for still in (gear.strip_still, gear.spirit_still):
        _check_still(still)
    hint = "A condenser fed with warmer water lets vapour through."
    _within("The water's temperature", site.water_c, "C", 0.5, 35.0, hint)
    _within("The room's temperature", site.room_c, "C", -10.0, 45.0)
    _within(
        "The altitude",
        site.altitude_m,
        "m",
        0.0,
        4500.0,
        "Air pressure above that is outside the boiling model.",
    )


def _check_stock(intent: Intent) -> None:
    for stock in intent.stock.spirits:
        what = f"the {stock.kind} in store"
        _within(f"The strength of {what}", stock.pct_vol, "%vol", 1.0, 90.0, "Gauge it again.")
        _within(f"The volume of {what}", stock.volume_l, "L", 0.05, 20000.0)


def _check_still(still: StillGear) -> None:
    _within(f"The charge limit of the {still.name}", still.charge_limit_l, "L", 1.0, 20000.0)
    _within(f"The power of the {still.name}", still.power_kw, "kW", 0.2, 5000.0)
    hint = "The least charge, which covers the element, must be well under the most."
    _within(
        f"The minimum charge of the {still.name}",
        still.minimum_charge_l,
        "L",
        0.0,
        0.9 * still.charge_limit_l,
        hint,
    )
    for reflux in (still.reflux_strip, still.reflux_spirit):
        _within(
            f"Head reflux of the {still.name}",
            reflux.likely * 100.0,
            "%",
            0.0,
            40.0,
            "A bare pot's head returns 5-15 %.",
        )


def _check_conversion(intent: Intent) -> None:
    if intent.has_enzymes:
        return
    starchy = [i for i in intent.bill if i.material.starch_dry.likely > 0.02]
    if not starchy:
        return
    grist = sum(i.share for i in starchy)
    power = sum(i.share * i.material.diastatic_power_lintner.likely for i in starchy) / grist
    if power < LEAST_DIASTATIC_LINTNER:
        names = " and ".join(
            i.material.name for i in starchy if i.material.diastatic_power_lintner.likely == 0
        )
        raise NoEnzymes(names or starchy[0].material.name, power, LEAST_DIASTATIC_LINTNER)


def _check_cuts(intent: Intent) -> None:
    cuts = intent.cuts
    _within("The strip's stop", cuts.strip_stop_pct_vol, "%vol", 0.3, 30.0)
    most = 60.0 if cuts.site_rule else STRONGEST_CHARGE_PCT_VOL
    hint = "A stronger charge burns far worse; a licensed site names its own rule as site_rule in [cuts]."
    _within("The charge's strength limit", cuts.charge_limit_pct_vol, "%vol", 10.0, most, hint)
    _within("Foreshots", cuts.foreshots_share * 100.0, "% of the charge's alcohol", 0.1, 10.0)
    _within("Heads", cuts.heads_share * 100.0, "% of the charge's alcohol", 0.0, 40.0)
    _within("The heart's end", cuts.heart_end_pct_vol, "%vol", 30.0, 85.0)
    _within(
        "The tails' stop",
        cuts.tails_stop_pct_vol,
        "%vol",
        0.3,
        cuts.heart_end_pct_vol,
        "Tails run after the heart.",
    )
    _within("A jar", cuts.jar_l, "L", 0.1, 200.0)


def _check_strength(intent: Intent) -> None:
    cask = intent.cask
    asked = cask.entry_pct_vol if cask.entry_pct_vol is not None else cask.settle_pct_vol
    assert asked is not None, "one of the two is given, checked above"
    _within("The cask's strength", asked, "%vol", 20.0, 95.0)
    charge_pct_vol = intent.cuts.charge_limit_pct_vol
    kpa = float(vle.pressure_at_altitude(intent.site.altitude_m))
    most = strongest_spout_pct_vol(charge_pct_vol, intent.gear.spirit_still.reflux_spirit.high, kpa)
    if asked >= most:
        raise TooStrongForStill(asked, most, charge_pct_vol)
