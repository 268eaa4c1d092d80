"""How much methanol a bill will bring, and what a law says to that or to any other congener.

Pectin p [kg/kg] sets free y kg of methanol per kg, and the material gives a [L/kg] of pure alcohol, so the
spirit holds 1e5 p y / a grams per hectolitre of pure alcohol. In a pot methanol runs with the alcohol, a
little behind it from a weak charge: what the cuts leave out they leave out of both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import Material, Practice
from caskward.catalogue.load import Catalogue
from caskward.catalogue.traces import LegalLimit
from caskward.errors import NothingFerments, OutOfRange
from caskward.planning.plan import Band, band
from caskward.planning.unknowns import Unknown, draw
from caskward.stages.stream import Worlds

METHANOL_KG_M3 = 791.4
"""Density of methanol at 20 °C; source methanol-density (from memory)."""
G_HL_PER_KG_L = 1e5

CUTS_DO_NOT_REMOVE_METHANOL = "Cuts do not remove methanol: it runs with the heart."
TEST_THE_SPIRIT = (
    "Only a laboratory test of this spirit tells: have it tested before anyone drinks or sells it."
)
NO_FORECAST = "Caskward makes no forecast of it."

Standing = Literal["under", "in doubt", "over"]


def methanol_g_per_hl(
    bill: Sequence[tuple[Material, float]],
    practice: Practice,
    catalogue: Catalogue,
    worlds: int = 512,
    seed: int = 1,
) -> Worlds:
    """Methanol that a bill brings into its wash [g/hL of pure alcohol], over worlds.

    From the pectin where a material holds any, else as washes of its usual style hold it.

    Args:
        bill: materials and kilograms [kg]. practice: its yield of alcohol. catalogue: levels of washes.
        worlds: a power of two. seed: the same seed gives the same worlds.

    Raises:
        NothingFerments: a bill that gives no alcohol.
    """
    lpa = [kg * material.potential_lpa_per_kg for material, kg in bill]
    if sum(lpa) <= 0.0:
        raise NothingFerments(", ".join(material.name for material, _ in bill) or "empty")
    sources = [_methanol_of(material, catalogue) for material, _ in bill]
    unknowns = [
        _unknown("pectin.methanol", catalogue.pectin_methanol),
        _unknown("yield", practice.ferment_yield),
        *(_unknown(f"{k}.source", fact) for k, (fact, _) in enumerate(sources)),
    ]
    drawn = draw(unknowns, worlds, seed)
    total_g = np.zeros(worlds)
    for k, ((_, kg), (_, from_pectin), litres) in enumerate(zip(bill, sources, lpa, strict=True)):
        each = drawn[f"{k}.source"]
        if from_pectin:
            total_g += 1000.0 * kg * each * drawn["pectin.methanol"]
        else:
            total_g += each / 100.0 * litres * drawn["yield"]
    return np.asarray(100.0 * total_g / (sum(lpa) * drawn["yield"]))


def _methanol_of(material: Material, catalogue: Catalogue) -> tuple[Fact, bool]:
    """Share of pectin, or the usual level of a wash [g/hL], and whether it is pectin."""
    if material.pectin.likely > 0.0:
        return material.pectin, True
    return catalogue.wash(material.usual_style).g_per_hl("methanol"), False


def _unknown(name: str, fact: Fact) -> Unknown:
    return Unknown(name, name, "material", "positive", fact.low, fact.likely, fact.high, fact.source)


@dataclass(frozen=True)
class Verdict:
    """A forecast beside a legal limit, both in g/hL of pure alcohol, and what to say about it.

    standing: "under" where 9 worlds in 10 keep it, "over" where 9 break it, else "in doubt".
    chance_broken: share of worlds that break it; None where only a band was given, or nothing is forecast.
    """

    limit: LegalLimit
    limit_g_per_hl: float | None
    forecast: Band | None
    chance_broken: float | None
    standing: Standing
    sentences: tuple[str, ...]


def limit_in_g_per_hl(limit: LegalLimit, bottled_pct_vol: float = 40.0) -> float | None:
    """A limit in grams per hectolitre of pure alcohol; None for a unit that cannot be (µg/kg).

    "g/L" of pure alcohol times 100; "% vol" of methanol in a spirit of `bottled_pct_vol` [%vol, 1 to 96] by
    its density. Outside: raises `OutOfRange`.
    """
    if not 1.0 <= bottled_pct_vol <= 96.0:
        raise OutOfRange("The strength in the bottle", bottled_pct_vol, "%vol", 1.0, 96.0)
    per_g_hl = {
        "g/hL": 1.0,
        "g/L": 100.0,
        "% vol": METHANOL_KG_M3 / bottled_pct_vol * 100.0,
    }
    factor = per_g_hl.get(limit.unit)
    return None if factor is None else limit.value.likely * factor


def against_limit(
    forecast_g_per_hl: Worlds | Band | None, limit: LegalLimit, bottled_pct_vol: float = 40.0
) -> Verdict:
    """Hold a forecast [g/hL of pure alcohol] against a legal limit; it never replaces a laboratory test.

    forecast_g_per_hl: over worlds, as a band, or None where there is none. bottled_pct_vol: strength of the
    spirit as sold, for limits on the spirit itself [%vol].
    """
    allowed = limit_in_g_per_hl(limit, bottled_pct_vol)
    if forecast_g_per_hl is None or allowed is None:
        words = (f"{limit.words}.", f"{_named(limit)} is not in the forecast. {NO_FORECAST}", *_always(limit))
        return Verdict(limit, allowed, None, None, "in doubt", words)
    sign = 1.0 if limit.bound == "most" else -1.0
    if isinstance(forecast_g_per_hl, Band):
        seen, chance = forecast_g_per_hl, None
        wrong_low, wrong_high = (sign * (edge - allowed) > 0.0 for edge in (seen.low, seen.high))
        sides = {(False, False): 0.0, (True, True): 1.0}
        broken = sides.get((wrong_low, wrong_high), 0.5)
    else:
        seen = band(forecast_g_per_hl)
        chance = broken = float(np.mean(sign * (np.asarray(forecast_g_per_hl) - allowed) > 0.0))
    standing: Standing = "under" if broken <= 0.1 else "over" if broken >= 0.9 else "in doubt"
    return Verdict(limit, allowed, seen, chance, standing, _sentences(limit, allowed, seen, standing))


def _sentences(limit: LegalLimit, allowed: float, seen: Band, standing: Standing) -> tuple[str, ...]:
    verdict = {
        "under": "The forecast keeps this limit",
        "in doubt": "The forecast may break this limit",
        "over": "The forecast breaks this limit"
        if limit.bound == "most"
        else "The forecast falls short of it",
    }
    figures = f"{_shown(seen.low)} to {_shown(seen.high)} g/hL of pure alcohol in 8 worlds of 10"
    return (f"{limit.words}.", f"{verdict[standing]}: {figures}, limit {_shown(allowed)}.", *_always(limit))


def _shown(g_per_hl: float) -> str:
    return f"{g_per_hl:.0f}" if g_per_hl >= 20.0 else f"{g_per_hl:.2g}"


def _always(limit: LegalLimit) -> tuple[str, ...]:
    """What is said whatever the forecast is."""
    cuts = (CUTS_DO_NOT_REMOVE_METHANOL,) if limit.quantity == "methanol" else ()
    return (*cuts, TEST_THE_SPIRIT)


def _named(limit: LegalLimit) -> str:
    return limit.quantity[:1].upper() + limit.quantity[1:]
