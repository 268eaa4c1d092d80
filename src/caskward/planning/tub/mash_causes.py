"""What can go wrong in a mash, what is not known of a sound one, and the looks that tell one from another.

Weights say how often a cause is met against the others when a maker asks, for something looks off; the
bands say how bad it is when it is met: a sack forgotten, a dead bottle, a sample read hot, beyond what lots
and hands vary by themselves. All are *common practice, no source*.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from caskward.planning.doubts import PRACTICE
from caskward.planning.tub.explain import Cause, Check
from caskward.planning.unknowns import Owner, Scale, Unknown


def unknown(
    name: str, words: str, owner: Owner, scale: Scale, low: float, likely: float, high: float
) -> Unknown:
    """An unknown of a mash or a ferment, by common practice."""
    return Unknown(name, words, owner, scale, low, likely, high, PRACTICE)


WARMER: Final = "mash.warmer_k"
THERMOMETER: Final = "mash.thermometer_k"
SOURER: Final = "mash.ph_shift"
WARMTH_MISREAD: Final = "mash.warmth_misread"
PH_MISREAD: Final = "mash.ph_misread"
"""1 where the mash is as planned and all that its log is off by is the instrument's; 0 in a sound tub."""
SWOLLEN: Final = "mash.swollen"
STARCH: Final = "mash.starch"
WATER: Final = "mash.water"
HYDROMETER: Final = "mash.hydrometer"
ACCESSIBLE: Final = "mash.accessible"
FERMENTABLE: Final = "mash.fermentable"

_TUB: Final = (
    unknown(WARMER, "how warm the mash is kept", "method", "real", -1.5, 0.0, 1.5),
    unknown(THERMOMETER, "what the thermometer shows too much", "reading", "real", -0.5, 0.0, 0.5),
    unknown(SOURER, "how far its pH lies from the plan's", "method", "real", -0.25, 0.0, 0.25),
    unknown(WARMTH_MISREAD, "whether its thermometer misleads", "reading", "real", 0.0, 0.0, 0.0),
    unknown(PH_MISREAD, "whether its pH meter misleads", "reading", "real", 0.0, 0.0, 0.0),
    unknown(SWOLLEN, "how well the grain is cooked through", "method", "share", 0.97, 0.995, 0.999),
    unknown(STARCH, "starch in the bill over the plan's", "material", "positive", 0.97, 1.0, 1.03),
    unknown(WATER, "water in the tub over the plan's", "method", "positive", 0.98, 1.0, 1.02),
    unknown(HYDROMETER, "error of the gravity", "reading", "real", -0.0015, 0.0, 0.0015),
)


_OF_PLAN: Final = (("convert.conversion", ACCESSIBLE), ("convert.fermentable_share", FERMENTABLE))


def lively(product: str) -> str:
    """Name of the unknown: how lively a product is."""
    return f"enzyme.{product}.lively"


def window(product: str) -> str:
    """Name of the unknown: how far a product's true window lies above its label's."""
    return f"enzyme.{product}.window_k"


def base(products: Sequence[str], malt: str | None, planned: Sequence[Unknown]) -> tuple[Unknown, ...]:
    """Unknowns of a sound mash: the tub's, the plan's own of its starch, and of every product and the malt.

    planned: the plan's doubts; how much of the starch is in reach and how much of it can become sugar are
    theirs, as earlier batches left them.
    """
    own = {u.name: u for u in planned}
    of_starch = tuple(replace(own[name], name=here) for name, here in _OF_PLAN)
    of_products = [
        each
        for name in products
        for each in (
            unknown(lively(name), f"how lively {name} is", "material", "positive", 0.75, 1.0, 1.25),
            unknown(window(name), f"where {name}'s window truly lies", "material", "real", -1.5, 0.0, 1.5),
        )
    ]
    if malt is not None:
        words = "how lively the malt's enzymes are"
        of_products.append(unknown(lively(malt), words, "material", "positive", 0.7, 1.0, 1.3))
    return (*_TUB, *of_starch, *of_products)


def _changed(name: str, low: float, likely: float, high: float) -> tuple[Unknown, ...]:
    known = next(u for u in _TUB if u.name == name)
    return (replace(known, low=low, likely=likely, high=high),)


def _misled(kept: str, misread: str, low: float, likely: float, high: float) -> tuple[Unknown, ...]:
    """An instrument that is off while the mash is as planned: only what is logged is off."""
    return _changed(kept, low, likely, high) + _changed(misread, 1.0, 1.0, 1.0)


def causes(products: Sequence[str], malt: str | None, cooks: bool) -> tuple[Cause, ...]:
    """Every cause of a mash: of products by name, of malt where it is counted on, of grain that is cooked."""
    found = [
        Cause("time", "nothing is wrong: it only needs its time", 0.12),
        Cause("cold", "the mash is colder than planned", 0.12, _changed(WARMER, -14.0, -8.0, -4.5)),
        Cause("hot", "the mash is hotter than planned", 0.05, _changed(WARMER, 4.5, 8.0, 12.0)),
        Cause("thermometer", "the thermometer shows too much", 0.05, _changed(THERMOMETER, 5.0, 8.0, 12.0)),
        Cause("alkaline", "the mash is not sour enough", 0.08, _changed(SOURER, 0.8, 1.2, 1.8)),
        Cause("sour", "the mash is too sour", 0.05, _changed(SOURER, -1.8, -1.2, -0.8)),
        Cause(
            "false cold", "the mash is as planned: its thermometer shows too little", 0.03,
            _misled(WARMER, WARMTH_MISREAD, -12.0, -8.0, -5.0),
        ),
        Cause(
            "ph too high", "the mash is as planned: its pH meter shows too much", 0.03,
            _misled(SOURER, PH_MISREAD, 0.8, 1.2, 1.8),
        ),
        Cause(
            "ph too low", "the mash is as planned: its pH meter shows too little", 0.03,
            _misled(SOURER, PH_MISREAD, -1.8, -1.2, -0.8),
        ),
        Cause("less starch", "the bill brought less starch", 0.06, _changed(STARCH, 0.65, 0.75, 0.84)),
        Cause("more water", "more water is in the tub than planned", 0.06, _changed(WATER, 1.1, 1.18, 1.3)),
        Cause(
            "hydrometer", "the gravity was read wrong: hot, or through grains", 0.05,
            _changed(HYDROMETER, -0.016, -0.011, -0.007),
        ),
    ]  # fmt: skip
    if cooks:
        raw = _changed(SWOLLEN, 0.45, 0.65, 0.8)
        found.append(Cause("raw", "the grain is not cooked through: raw, coarse or in lumps", 0.12, raw))
    for name in products:
        found += _of_product(name)
    if malt is not None:
        weak = unknown(
            lively(malt), "how lively the malt's enzymes are", "material", "positive", 0.03, 0.12, 0.28
        )
        found.append(
            Cause("weak malt", "the malt's enzymes are weak, or heat has killed them", 0.08, (weak,))
        )
    return tuple(found)


def _of_product(name: str) -> tuple[Cause, Cause]:
    high = unknown(window(name), f"where {name}'s window truly lies", "material", "real", 7.0, 10.0, 14.0)
    weak = unknown(lively(name), f"how lively {name} is", "material", "positive", 0.01, 0.05, 0.15)
    return (
        Cause(f"window/{name}", f"the true window of {name} lies higher than the one entered", 0.08, (high,)),
        Cause(f"weak/{name}", f"{name} is too little, old, forgotten, or killed by heat", 0.10, (weak,)),
    )


def checks(with_products: bool) -> tuple[Check, ...]:
    """Looks at a mash; at the labels where products went in."""
    labels = ("label_thin", "label_sweeten") if with_products else ()
    meanwhile = (
        "; while it cools, read both labels again: are their windows the ones entered?" if labels else "?"
    )
    sample = Check(
        "sample",
        "draw a litre: a second thermometer in it; strain and cool it, read its gravity again; hold a "
        "glucose strip into some of it, thinned 1 to 20, and a pH strip; rub the grain in the strainer: hard "
        f"white bits, or lumps{meanwhile}",
        ("second_thermometer", "gravity_checked", "grits", "glucose", "ph_checked", *labels),
        20.0,
    )
    words = "read both labels again: are their windows the ones entered?"
    return (*_CHECKS, *((Check("labels", words, labels, 4.0),) if labels else ()), sample)


_CHECKS: Final = (
    Check("thermometer", "hold a second thermometer in three places", ("second_thermometer",), 5.0),
    Check("ph", "measure the pH of a cooled sample by strips, or by a meter set anew", ("ph_checked",), 5.0),
    Check("grits", "rub a spoonful of grain: hard white bits, or lumps?", ("grits",), 4.0),
    Check("gravity", "strain and cool a sample, and read its gravity again", ("gravity_checked",), 15.0),
    Check("volume", "dip the tub: how much is in it?", ("volume",), 5.0),
    Check(
        "jars",
        "keep two jars of it for 20 minutes, one 10 °C warmer, one with three times the dose; test both",
        ("jar_warmer", "jar_dosed"),
        30.0,
    ),
    Check("starch", "test for starch", ("starch",), 4.0),
    Check("glucose", "hold a glucose strip into a sample, thinned 1 to 20 with water", ("glucose",), 6.0),
)
