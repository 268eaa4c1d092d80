"""A correction card for one instrument: one page to print, laminate and hang where the readings are taken."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Literal

from caskward.services.gauging_card import Card, Reduction
from caskward.services.gauging_figures import decimals_for, plain
from caskward.services.gauging_phrases import NO_ADVICE
from caskward.sheets.press import printed, written

Paper = Literal["a4", "us-letter"]
NOWHERE = "–"
_TEMPLATE = "correction_card.typ"
_UNITS = {"kg/m3": "kg/m³", "%vol": "%", "%mass": "%mass"}


@dataclass(frozen=True)
class Row:
    """What the instrument shows, what that is at each temperature, what to take off a volume."""

    mark: str
    strengths: tuple[str, ...]
    take_off: str


@dataclass(frozen=True)
class WaterRow:
    """A strength, and for each target the water for a unit of mass and a unit of volume."""

    start: str
    water: tuple[tuple[str, str], ...]


@dataclass(frozen=True)
class Page:
    """Everything the card's template prints."""

    paper: Paper
    name: str
    instrument: str
    made_for: str
    example: str
    example_at: tuple[int, int]
    unit: str
    true_unit: str
    degree: str
    temps: tuple[str, ...]
    plain_column: int
    rows: tuple[Row, ...]
    off_head: str
    off_note: str
    targets: tuple[str, ...]
    target_unit: str
    heads: tuple[str, str]
    water: tuple[WaterRow, ...]
    water_note: str
    doubt: str
    doubt_share: float
    doubt_ends: tuple[str, str]
    caution: str
    law: str


def correction_card(card: Card, name: str = "", paper: Paper | None = None) -> bytes:
    """The card as PDF, A4 or US Letter; the same card gives the same bytes."""
    return printed(_TEMPLATE, asdict(page_of(card, name, paper)), "pdf")[0]


def correction_card_to(card: Card, path: Path, name: str = "", paper: Paper | None = None) -> None:
    """Write the card to a file.

    Raises:
        InputError: the file cannot be written there.
    """
    written(correction_card(card, name, paper), path)


def correction_card_picture(card: Card, name: str = "", paper: Paper | None = None) -> bytes:
    """The card as PNG."""
    return printed(_TEMPLATE, asdict(page_of(card, name, paper)), "png", 110.0)[0]


def page_of(card: Card, name: str = "", paper: Paper | None = None) -> Page:
    """What the template prints for a card."""
    us = card.system == "us"
    reach = 2.0 if us else 1.0
    while reach < card.half_width:
        reach *= 2.0
    return Page(
        paper=paper or ("us-letter" if us else "a4"),
        name=" ".join(name.split())[:60],
        instrument=card.instrument.name,
        made_for=f"{plain(card.calibrated_at, 2).removesuffix('0').removesuffix('.0')} {_degree(card)}",
        example=_example(card),
        example_at=_example_at(card) or (-1, -1),
        unit=_UNITS.get(card.unit, card.unit),
        true_unit="proof at 60 °F" if us else "%vol at 20 °C",
        degree=_degree(card),
        temps=tuple(_short(temp) for temp in card.temps),
        plain_column=_plain_column(card),
        rows=tuple(_row(card, index) for index in range(len(card.marks))),
        off_head="off 100 gal, per °F" if us else "off 100 L, per °C",
        off_note=_off_note(card),
        targets=tuple(_short(one) for one in card.targets),
        target_unit="proof" if us else "%",
        heads=("1 lb", "1 gal") if us else ("1 kg", "1 L"),
        water=tuple(_water_row(one, us) for one in card.reductions),
        water_note=_water_note(us),
        doubt=_doubt(card),
        doubt_share=card.half_width / reach,
        doubt_ends=(f"−{_short(reach)}", f"+{_short(reach)} {'proof' if us else '%vol'}"),
        caution="Never read a hot sample: cool it to near room temperature first, covered. No spark and no "
        "flame near spirit.",
        law=NO_ADVICE,
    )


def _degree(card: Card) -> str:
    return "°F" if card.system == "us" else "°C"


def _short(value: float) -> str:
    return f"{value:.4g}"


def _row(card: Card, index: int) -> Row:
    off = card.take_off[index]
    return Row(
        mark=_short(card.marks[index]),
        strengths=tuple(NOWHERE if one is None else plain(one, 1) for one in card.strength[index]),
        take_off=NOWHERE if off is None else plain(off, 3),
    )


def _plain_column(card: Card) -> int:
    """The column in which the scale needs no correction, or -1."""
    near = [n for n, temp in enumerate(card.temps) if abs(temp - card.calibrated_at) < 0.05]
    return near[0] if near and card.unit in ("%vol", "proof") and _is_own_basis(card) else -1


def _is_own_basis(card: Card) -> bool:
    """Whether the scale and the card count strength in the same way, and at the same temperature."""
    if card.system == "us":
        return card.unit == "proof" and abs(card.calibrated_at - 60.0) < 0.05
    return card.unit == "%vol" and abs(card.calibrated_at - 20.0) < 0.05


def _example_at(card: Card) -> tuple[int, int] | None:
    """Row and column of a warm reading near the middle of the card."""
    column = max(0, round(0.8 * (len(card.temps) - 1)))
    known = [n for n, row in enumerate(card.strength) if row[column] is not None]
    return (known[len(known) // 2], column) if known else None


def _example(card: Card) -> str:
    """One reading read off, in words."""
    at = _example_at(card)
    if at is None:
        return ""
    true = card.strength[at[0]][at[1]] or 0.0
    shown = f"{_short(card.marks[at[0]])} {_UNITS.get(card.unit, card.unit)}"
    really = f"{plain(true, 1)} {'proof' if card.system == 'us' else '%vol'}"
    return f"It shows {shown} in a sample at {_short(card.temps[at[1]])} {_degree(card)}: that is {really}."


def _off_note(card: Card) -> str:
    base, volume = ("60 °F", "100 gal") if card.system == "us" else ("20 °C", "100 L")
    return (
        f"Volume: measured warm, {volume} take up less at {base}. Take off the last column for each degree "
        f"over {base}; below it, add."
    )


def _water_note(us: bool) -> str:
    if us:
        return "Pounds of water for 1 lb of spirit on a scale · gallons of water for 1 gal, both at 60 °F."
    return "Grams of water for 1 kg of spirit on a scale · millilitres of water for 1 L, both at 20 °C."


def _water_row(one: Reduction, us: bool) -> WaterRow:
    pairs = zip(one.by_mass, one.by_volume, strict=True)
    return WaterRow(_short(one.start), tuple((_water(m, us), _water(v, us)) for m, v in pairs))


def _water(amount: float | None, us: bool) -> str:
    if amount is None:
        return NOWHERE
    return plain(amount, 3) if us else plain(1000.0 * amount, 0)


def _doubt(card: Card) -> str:
    unit = "proof" if card.system == "us" else "%vol"
    half = plain(card.half_width, decimals_for(card.half_width, 2))
    return (
        f"95 times in 100 the truth lies within ± {half} {unit} of these figures, "
        f"with a {card.thermometer.name}."
    )
