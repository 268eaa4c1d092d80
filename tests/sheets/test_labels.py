"""Labels on paper, read again by pypdf."""

from __future__ import annotations

import io
from dataclasses import replace
from xml.etree import ElementTree as ET

import pytest
from pypdf import PdfReader

from caskward.services.book.labels import Label
from caskward.sheets import labels

LABEL = Label(
    account="cask/12",
    title="cask 12",
    lines=(("Batch", "rye 5"), ("Filled with", "24.2 L"), ("Strength", "63.0 %vol")),
    plain="cask 12\nBatch: rye 5",
    notes=(),
    paper="a4",
    mark="Every figure is invented.",
)


def pages(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf), strict=True).pages]


def test_a_cask_has_one_label_with_every_line() -> None:
    (page,) = pages(labels.pdf(LABEL, "", "cask"))
    for words in ("cask 12", "Batch rye 5", "Filled with 24.2 L", "Strength 63.0 %vol", LABEL.mark):
        assert words in page
    box = PdfReader(io.BytesIO(labels.pdf(LABEL, "", "cask"))).pages[0].mediabox
    assert (round(box.width / 72 * 25.4), round(box.height / 72 * 25.4)) == (148, 105), "half a postcard"


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_bottles_have_a_sheet_of_eight(paper) -> None:
    (page,) = pages(labels.pdf(replace(LABEL, paper=paper), "", "bottles"))
    assert page.count("63.0 %vol") == 8


def test_text_is_never_markup() -> None:
    hostile = '#panic("no") $x$ *bold* ] }'
    (page,) = pages(labels.pdf(replace(LABEL, title=hostile, lines=(("Batch", hostile),)), "", "cask"))
    assert page.count("#panic(") == 2


def test_it_says_what_its_code_does() -> None:
    assert "opens its page" in pages(labels.pdf(LABEL, "http://shed.local:8080/casks/12", "cask"))[0]
    assert "says the same" in pages(labels.pdf(LABEL, "", "cask"))[0]


def test_a_code_is_a_picture_whatever_is_in_it() -> None:
    short, long = (ET.fromstring(labels.code(text)) for text in ("cask 12", "é" * 3000))
    assert short.tag.endswith("svg")
    assert int(long.get("width")) > int(short.get("width")), "more text takes a finer code"
    assert labels.code("é" * 3000) == labels.code("é" * 400), "a text too long is cut between letters"
    assert labels.code("cask 1") != labels.code("cask 2")
