"""Methanol that a material's pectin may bring, beside what laws allow; it never replaces a laboratory."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from caskward.catalogue.kinds import Material
from caskward.catalogue.load import load
from caskward.catalogue.traces import LegalLimit
from caskward.errors import MissingValue, NotUnderstood
from caskward.planning.methanol import (
    CUTS_DO_NOT_REMOVE_METHANOL,
    TEST_THE_SPIRIT,
    Verdict,
    against_limit,
    methanol_g_per_hl,
)
from caskward.planning.plan import Band, band
from caskward.stages.stream import Worlds
from caskward.units import parse

WORLDS = 512
POMACE = ("grape-pomace",)
"""Materials of the style fruit that are asked for by their own name."""
PECTIN_STYLES = ("fruit", "agave")
"""Styles whose material holds pectin, and whose run shows methanol without being asked."""
_KG = re.compile(r"(?:(?P<amount>\d[\d.,]*\s*[a-z]+)\s+(?:of\s+)?)?(?P<name>[a-z][\w '-]*)", re.IGNORECASE)


@dataclass(frozen=True)
class LimitLine:
    """A legal limit on methanol, in its own words and in g/hL, and how the band stands to it.

    said: the figure in the rule's own unit.
    """

    jurisdiction: str
    product: str
    words: str
    said: str
    limit_g_hl: float
    from_memory: bool
    standing: str


@dataclass(frozen=True)
class MethanolReport:
    """Methanol a bill may bring [g/hL of pure alcohol], and the limits on what could be sold of it.

    bill: what it is reckoned from. from_pectin: from the pectin of a material, not from what such washes
    hold. measured: the band is a laboratory's figure for the charge. sentences: what holds whatever the
    figures say. bottled_pct_vol: for limits on the spirit itself.
    """

    bill: str
    from_pectin: bool
    g_hl: Band
    limits: tuple[LimitLine, ...]
    sentences: tuple[str, ...]
    bottled_pct_vol: float
    worlds: int
    seed: int
    measured: bool = False


def style_of(word: str) -> tuple[str, str]:
    """A style, and the bill that a material given as style stands for: `pomace` is fruit."""
    key = word.casefold() or "grain"
    return ("fruit", "grape pomace") if key in ("pomace", "marc", "grape pomace") else (key, "")


def methanol(
    bill: str = "",
    style: str = "",
    bottled_pct_vol: float = 40.0,
    seed: int = 1,
    measured_g_hl: Worlds | None = None,
) -> MethanolReport:
    """What methanol a bill may bring; without one, what a style's materials with pectin or its washes bring.

    Args:
        bill: materials and kilograms, `60 kg pears, 20 kg apples`. style: how it is fermented; of the bill's
            heaviest material where it is left out. bottled_pct_vol: strength as sold [%vol, 1 to 96].
            measured_g_hl: a laboratory's figure over worlds, which goes before any forecast.

    Raises:
        InputError: one sentence about what cannot be read. NothingFerments: a bill without alcohol.
        MissingValue: neither a bill nor a style.
    """
    if not bill.strip() and not style:
        raise MissingValue("still methanol", "what the batch is made of", EXAMPLE)
    if bill.strip():
        called, rows, worlds = _of_bill(bill, style, seed)
        sold = [tuple(material for material, _ in rows)]
    else:
        called, rows, worlds = _of_style(style, seed)
        sold = [(material,) for material, _ in rows]
    if measured_g_hl is not None:
        worlds = np.asarray(measured_g_hl)
    limits = [one for one in load().legal_limits.values() if _applies(one, sold)]
    return MethanolReport(
        called,
        any(material.pectin.likely > 0.0 for material, _ in rows),
        band(worlds),
        tuple(_line(against_limit(worlds, one, bottled_pct_vol)) for one in limits),
        (CUTS_DO_NOT_REMOVE_METHANOL, TEST_THE_SPIRIT),
        bottled_pct_vol,
        WORLDS if measured_g_hl is None else int(np.size(measured_g_hl)),
        seed,
        measured_g_hl is not None,
    )


EXAMPLE = 'caskward still methanol "60 kg pears, 20 kg apples", or --style sugar'
Rows = list[tuple[Material, float]]


def _of_bill(bill: str, style: str, seed: int) -> tuple[str, Rows, Worlds]:
    catalogue, rows = load(), _bill(bill)
    usual = max(rows, key=lambda row: row[1])[0].usual_style
    worlds = methanol_g_per_hl(rows, catalogue.practice(style or usual), catalogue, WORLDS, seed)
    return bill.strip(), rows, worlds


def _of_style(style: str, seed: int) -> tuple[str, Rows, Worlds]:
    """Of a style whose materials hold pectin each of them by itself, of another what its washes hold."""
    catalogue = load()
    practice = catalogue.practice(style)
    own = [m for m in catalogue.materials.values() if m.usual_style == practice.key and m.key not in POMACE]
    if practice.key not in PECTIN_STYLES:
        rows = [(m, 100.0) for m in own if m.pectin.likely <= 0.0]
        worlds = methanol_g_per_hl(rows[:1], practice, catalogue, WORLDS, seed)
        return f"a usual {practice.key} wash", rows, worlds
    rows = [(m, 100.0) for m in own if m.pectin.likely > 0.0]
    each = [methanol_g_per_hl([row], practice, catalogue, WORLDS, seed) for row in rows]
    called = f"any of {len(rows)} kinds of {practice.key}" if len(rows) > 1 else rows[0][0].plural.lower()
    return called, rows, np.concatenate(each)


def _line(v: Verdict) -> LimitLine:
    assert v.limit_g_per_hl is not None, "a limit on methanol has a unit that can be compared"
    of = v.limit
    said = f"{of.value.likely:g} {of.unit}"
    return LimitLine(
        of.jurisdiction, of.product, of.words, said, v.limit_g_per_hl, of.from_memory, v.standing
    )


def _applies(limit: LegalLimit, sold: list[tuple[Material, ...]]) -> bool:
    """True for limits on methanol in what the spirit of any of these bills could be sold as."""
    return limit.quantity == "methanol" and any(_holds_for(limit, bill) for bill in sold)


def _holds_for(limit: LegalLimit, bill: tuple[Material, ...]) -> bool:
    if not _names(limit, bill):
        return False
    others = (one for one in load().legal_limits.values() if one.made_of and not one.otherwise)
    return not limit.otherwise or not any(
        _names(one, bill)
        for one in others
        if one.jurisdiction == limit.jurisdiction and one.quantity == limit.quantity
    )


def _names(limit: LegalLimit, bill: tuple[Material, ...]) -> bool:
    return not limit.made_of or all({m.key, m.kind} & set(limit.made_of) for m in bill)


def _bill(given: str) -> list[tuple[Material, float]]:
    """Materials and kilograms from `60 kg pears, 20 kg apples`; one alone needs no mass."""
    found = []
    parts = [part.strip() for part in re.split(r"\s*,\s+|\s+and\s+|\s*;\s*", given.strip()) if part.strip()]
    for part in parts:
        row = _KG.fullmatch(part)
        if not row or (row["amount"] is None and len(parts) > 1):
            raise NotUnderstood("a bill", part, '"60 kg pears, 20 kg apples" or "pears" alone')
        kg = parse.mass_kg(row["amount"], what=f"the {row['name']}") if row["amount"] else 100.0
        found.append((load().material(row["name"]), kg))
    return found
