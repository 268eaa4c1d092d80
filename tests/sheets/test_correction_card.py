"""The correction card as a reader finds it: one page, every figure on it, readable at arm's length."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream, FloatObject, NumberObject

from caskward.errors import InputError
from caskward.services.gauging_card import Card, card
from caskward.services.gauging_card_asks import CardAsk
from caskward.sheets import correction_card, correction_card_to
from caskward.sheets.correction_card import Paper, correction_card_picture, page_of
from tests.sheets.test_run_sheet import A4_PT, HOSTILE, US_LETTER_PT, _placed

ASKS = {
    "usual": CardAsk(),
    "proof": CardAsk("proof-wide"),
    "15 degrees": CardAsk(
        "oiml-2", calibrated_at="15 C", marks="45 to 65", temps="5 to 35 C", targets="63, 46, 40"
    ),
    "density": CardAsk("density-hydrometer"),
    "percent for a US maker": CardAsk("glass-wide", system="us"),
    "all there is": CardAsk("glass-wide", marks="0 to 100", temps="-20 to 40 C"),
    "nothing to reduce": CardAsk(marks="1 to 10", targets="60 %"),
}
ARMS_LENGTH_PT = 12.0
"""Figures of 12 pt are 3 mm high: 16 minutes of arc at 65 cm, the least that ISO 9241-3 takes for reading
(from memory)."""


@pytest.fixture(params=ASKS.values(), ids=ASKS.keys())
def made(request: pytest.FixtureRequest) -> Card:
    return card(request.param)


def opened(of: Card, name: str = "", paper: Paper | None = None) -> PdfReader:
    return PdfReader(io.BytesIO(correction_card(of, name, paper)), strict=True)


def text_of(reader: PdfReader) -> str:
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_it_is_one_page_on_either_paper_and_nothing_leaves_it(made: Card, paper: Paper) -> None:
    reader = opened(made, "A place with a name as long as the card will ever take on its head", paper)
    (page,) = reader.pages
    wide, high = A4_PT if paper == "a4" else US_LETTER_PT
    assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx((wide, high), abs=0.01)
    for _, x, y in _placed(page):
        assert 20 < x < wide - 20
        assert 20 < y < high - 20
    assert "the law and its own instruments decide" in text_of(reader)


def test_a_us_instrument_gets_letter_paper() -> None:
    (page,) = opened(card(CardAsk("proof-wide"))).pages
    assert float(page.mediabox.width) == pytest.approx(US_LETTER_PT[0])
    (page,) = opened(card(CardAsk())).pages
    assert float(page.mediabox.width) == pytest.approx(A4_PT[0], abs=0.01)


def test_every_figure_is_on_it(made: Card) -> None:
    page, text = page_of(made), text_of(opened(made))
    for row in page.rows:
        assert " ".join((row.mark, *row.strengths, row.take_off)) in text
    for water in page.water:
        assert " ".join((water.start, *(part for pair in water.water for part in pair))) in text
    for temp in page.temps:
        assert f"{temp} {page.degree}" in text
    assert made.instrument.name in text
    assert page.doubt in text


def test_its_figures_are_those_of_the_card(made: Card) -> None:
    page = page_of(made)
    for row, mark, strengths in zip(page.rows, made.marks, made.strength, strict=True):
        assert float(row.mark) == pytest.approx(mark)
        for shown, true in zip(row.strengths, strengths, strict=True):
            assert (shown == "–") if true is None else float(shown) == pytest.approx(true, abs=0.0501)
    times = 1.0 if made.system == "us" else 1000.0
    for row, one in zip(page.water, made.reductions, strict=True):
        for (mass, volume), by_mass, by_volume in zip(row.water, one.by_mass, one.by_volume, strict=True):
            for shown, amount in ((mass, by_mass), (volume, by_volume)):
                half_digit = 0.00051 if made.system == "us" else 0.51
                assert (
                    (shown == "–")
                    if amount is None
                    else float(shown) == pytest.approx(times * amount, abs=half_digit)
                )


def test_the_example_can_be_read_off_the_table(made: Card) -> None:
    page = page_of(made)
    row, column = page.example_at
    assert page.rows[row].mark in page.example
    assert f"{page.temps[column]} {page.degree}" in page.example
    assert f"that is {page.rows[row].strengths[column]} " in page.example
    assert page.example in text_of(opened(made))


def test_figures_are_readable_at_arms_length(made: Card) -> None:
    """The strengths and the water; what only names them may be smaller."""
    page = page_of(made)
    figures = {text for row in page.rows for text in (row.mark, *row.strengths)}
    sizes: list[float] = []

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip() in figures:
            sizes.append(size * abs(tm[3] * cm[3]))

    (sheet,) = opened(made).pages
    sheet.extract_text(visitor_text=visit)
    assert len(sizes) >= len(made.marks)
    assert min(sizes) >= ARMS_LENGTH_PT


def test_the_column_without_correction_is_marked_where_there_is_one() -> None:
    assert page_of(card(CardAsk())).plain_column == 5
    assert page_of(card(CardAsk("proof-wide"))).plain_column == 2
    assert page_of(card(CardAsk(calibrated_at="15 C"))).plain_column == -1
    assert page_of(card(CardAsk("density-hydrometer"))).plain_column == -1


@pytest.mark.parametrize("name", HOSTILE)
def test_a_name_is_text_and_never_markup(name: str) -> None:
    assert " ".join(name.split()) in text_of(opened(card(CardAsk()), name))


def test_the_same_card_gives_the_same_bytes_in_its_own_typeface_in_black() -> None:
    made = card(CardAsk())
    assert correction_card(made) == correction_card(made)
    reader = opened(made)
    (page,) = reader.pages
    fonts = {
        str(font.get_object()["/BaseFont"]).partition("+")[2] for font in page["/Resources"]["/Font"].values()
    }
    assert fonts == {"AtkinsonHyperlegible-Regular", "AtkinsonHyperlegible-Bold"}
    painted = [
        operands
        for operands, operator in ContentStream(page.get_contents(), reader).operations
        if operator in (b"rg", b"RG", b"k", b"K", b"scn", b"SCN", b"sc", b"SC")
    ]
    assert painted
    assert all(sum(isinstance(each, FloatObject | NumberObject) for each in one) <= 1 for one in painted)


def test_it_is_written_to_a_file_or_says_why_not(tmp_path: Path) -> None:
    made = card(CardAsk())
    correction_card_to(made, tmp_path / "card.pdf", "Shed")
    assert (tmp_path / "card.pdf").read_bytes() == correction_card(made, "Shed")
    with pytest.raises(InputError, match="cannot be written"):
        correction_card_to(made, tmp_path / "nowhere" / "card.pdf")


def test_it_can_be_looked_at_as_a_picture() -> None:
    assert correction_card_picture(card(CardAsk())).startswith(b"\x89PNG\r\n\x1a\n")
