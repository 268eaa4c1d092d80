"""Methanol that a material's pectin may bring, beside what laws allow; it never replaces a laboratory."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from caskward.catalogue.kinds import Material
from caskward.catalogue.load import load
from caskward.catalogue.traces import LegalLimit
from caskward.errors import NotUnderstood
from caskward.planning.methanol import (
    CUTS_DO_NOT_REMOVE_METHANOL,
    TEST_THE_SPIRIT,
    against_limit,
    methanol_g_per_hl,
)
from caskward.planning.plan import Band, band
from caskward.units import parse

WORLDS = 512
PECTIN_STYLES = ("fruit", "agave")
"""Styles whose material holds pectin, and whose run shows methanol without being asked."""
_KG = re.compile(r"(?:(?P<amount>\d[\d.,]*\s*[a-z]+)\s+(?:of\s+)?)?(?P<name>[a-z][\w '-]*)", re.IGNORECASE)


@dataclass(frozen=True)
class LimitLine:
    """A legal limit on methanol, in its own words and in g/hL, and how the band stands to it."""

    jurisdiction: str
    product: str
    words: str
    limit_g_hl: float
    from_memory: bool
    standing: str


@dataclass(frozen=True)
class MethanolReport:
    """Methanol a bill may bring [g/hL of pure alcohol], and every limit that is known beside it.

    bill: what it is reckoned from; sentences: what holds whatever the figures say.
    """

    bill: str
    g_hl: Band
    limits: tuple[LimitLine, ...]
    sentences: tuple[str, ...]
    worlds: int
    seed: int


def style_of(word: str) -> tuple[str, str]:
    """A style, and the bill that a material given as style stands for: `pomace` is fruit."""
    key = word.casefold() or "grain"
    return ("fruit", "grape pomace") if key in ("pomace", "marc", "grape pomace") else (key, "")


def methanol(
    bill: str = "", style: str = "fruit", bottled_pct_vol: float = 40.0, seed: int = 1
) -> MethanolReport:
    """What methanol a bill may bring; without one, all of the catalogue's materials of the style with pectin.

    Raises:
        InputError: one sentence about what cannot be read. NothingFerments: a bill without alcohol.
    """
    catalogue = load()
    practice = catalogue.practice(style)
    if bill.strip():
        rows = _bill(bill)
        worlds = methanol_g_per_hl(rows, practice, catalogue, WORLDS, seed)
        called = bill.strip()
    else:
        rows = [(m, 100.0) for m in catalogue.materials.values() if _brings(m, practice.key)]
        called = f"any of {len(rows)} materials with pectin" if rows else f"a usual {style} wash"
        each = [methanol_g_per_hl([row], practice, catalogue, WORLDS, seed) for row in rows]
        level = catalogue.wash(practice.key).g_per_hl("methanol")
        worlds = np.concatenate(each) if each else np.array([level.low, level.likely, level.high])
    limits = [one for one in catalogue.legal_limits.values() if _applies(one, practice.key)]
    verdicts = [against_limit(worlds, one, bottled_pct_vol) for one in limits]
    return MethanolReport(
        called,
        band(worlds),
        tuple(
            LimitLine(
                v.limit.jurisdiction,
                v.limit.product,
                v.limit.words,
                v.limit_g_per_hl,
                v.limit.from_memory,
                v.standing,
            )
            for v in verdicts
            if v.limit_g_per_hl is not None
        ),
        (CUTS_DO_NOT_REMOVE_METHANOL, TEST_THE_SPIRIT),
        WORLDS,
        seed,
    )


_OF_NEUTRAL_OR_GRAIN = ("vodka", "gin", "whisky", "agricultural")


def _applies(limit: LegalLimit, style: str) -> bool:
    """True for limits on methanol; for materials with pectin those on spirits of grain are left out."""
    if limit.quantity != "methanol":
        return False
    return style not in PECTIN_STYLES or not any(word in limit.product for word in _OF_NEUTRAL_OR_GRAIN)


def _brings(material: Material, style: str) -> bool:
    return material.usual_style == style and material.pectin.likely > 0.0


def _bill(given: str) -> list[tuple[Material, float]]:
    """Materials and kilograms from `60 kg pears, 20 kg apples`; one alone needs no mass."""
    found = []
    parts = [part.strip() for part in re.split(r"\s*,\s+|\s+and\s+|\s*;\s*", given.strip()) if part.strip()]
    for part in parts:
        row = _KG.fullmatch(part)
        if not row or (row["amount"] is None and len(parts) > 1):
            raise NotUnderstood("a bill", part, "60 kg pears, 20 kg apples; or pears alone")
        kg = parse.mass_kg(row["amount"], what=f"the {row['name']}") if row["amount"] else 100.0
        found.append((load().material(row["name"]), kg))
    return found
