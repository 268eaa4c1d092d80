"""`caskward card`: writes one page, says what stands on it, and where it is."""

from __future__ import annotations

import io
import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from .test_wrong_inputs import is_one_line


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    return tmp_path


def test_it_writes_a_card(ask, here):
    code, out, err = ask("card", "shed.pdf", "--meter", "oiml-2", "--name", "Still house")
    assert (code, err) == (0, "")
    assert out.startswith("It shows 60 % in a sample at 26 °C: that is 57.9 %vol.")
    assert out.rstrip().endswith("shed.pdf")
    (page,) = PdfReader(io.BytesIO((here / "shed.pdf").read_bytes()), strict=True).pages
    assert "Still house" in page.extract_text()


def test_without_a_name_it_takes_the_usual_one(ask, here):
    assert ask("card", "--meter", "proof-wide").code == 0
    assert (here / "correction-card.pdf").exists()


def test_as_json_it_writes_a_file_only_if_one_is_named(ask, here):
    code, out, err = ask("card", "--json", "--marks", "45 to 65", "--temps", "5 to 35 C")
    assert (code, err) == (0, "")
    assert json.loads(out)["marks"][0] == 45.0
    assert not list(here.iterdir())
    named = ask("card", "a.pdf", "--json")
    assert json.loads(named.out)["unit"] == "%vol"
    assert "a.pdf" in named.err
    assert (here / "a.pdf").exists()


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["card.txt"], ".pdf"),
        (["--paper", "a5"], "a4, letter"),
        (["nowhere/card.pdf"], "cannot be written"),
        (["--meter", "oiml-9"], "Did you mean"),
        (["--meter", "refractometer"], "alcoholmeter or hydrometer"),
        (["--marks", "40 to 140"], "between 0 and 100"),
        (["--temps", "10 to 90 C"], "between -20 and 40"),
        (["--show", "furlongs"], "metric, us"),
        (["--calibrated", "20L"], "20L"),
    ],
)
def test_what_is_typed_wrong_gets_one_sentence(ask, here, words, says):
    code, out, err = ask("card", *words)
    assert (code, out) == (2, "")
    assert says in err
    assert is_one_line(err), err
    assert not list(here.iterdir())
