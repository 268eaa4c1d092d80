"""The run sheet as a reader finds it: opened with pypdf, a general-purpose reader of PDF."""

from __future__ import annotations

import hashlib
import os
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf.generic import ContentStream, FloatObject, NumberObject

from caskward.errors import InputError
from caskward.services import Limit, Plan, words
from caskward.sheets import run_sheet, run_sheet_to
from caskward.sheets.run_sheet import run_sheet_pictures
from caskward.units.types import UnitSystem
from tests.sheets.conftest import NAMES, opened, page_texts, text_of

A4_PT = (595.28, 841.89)
"""210 by 297 mm: ISO 216, from memory."""
US_LETTER_PT = (612.0, 792.0)
"""8.5 by 11 in: ANSI Y14.1, from memory."""

HOSTILE = [
    '#panic("no")',
    "*bold* _slanted_ `raw`",
    "$x^2$ and <label> and @ref",
    "// not a comment /* nor this */",
    "C:\\rye\\u{41} \"quoted\" 'single' -- --- ...",
    "= heading",
    "- item",
    "[x] {y} ~ #sys.inputs",
    "Höhenbrand №5 “à la ferme” ½",
]


def test_it_holds_the_answer_first(plan: Plan) -> None:
    first = page_texts(plan)[0]
    before = first.partition(words.answer(plan))[0]
    assert words.answer(plan) in first
    assert words.sureness(plan) in first
    assert len(before) < 200, "only the title and the mark of an example stand before the answer"


def test_it_holds_every_stage_in_order_with_its_figures_notes_and_cautions(plan: Plan) -> None:
    text = text_of(plan)
    at = 0
    for number, card in enumerate(plan.stages, 1):
        at = text.index(f"{number} {card.title} done", at)
        for target in card.targets:
            assert words.target(target, plan.show) in text[at:], target
            assert target.words in text[at:], target
        for sentence in (*card.notes, *card.cautions):
            assert sentence in text[at:]
    assert text.count("Caution") == sum(bool(card.cautions) for card in plan.stages)


def test_it_holds_the_shopping_list_with_what_to_buy_and_what_it_costs(plan: Plan) -> None:
    text = text_of(plan)
    for line in plan.shopping:
        need = words.figure(line.need, line.unit, plan.show)
        row = re.compile(
            rf"{re.escape(line.name)} {re.escape(need)} \S+( kg)? {re.escape(words.buy(line, plan.show))}",
            re.IGNORECASE,
        )
        assert row.search(text), line
        if line.cost is not None:
            assert f"{line.cost:.2f} {plan.currency}" in text
    assert f"{plan.materials_cost:.2f} {plan.currency}" in text


@pytest.mark.parametrize("show", ["metric", "us"])
def test_what_a_label_says_stays_under_its_enzyme(plan: Plan, show: UnitSystem) -> None:
    shown = replace(plan, show=show)
    text = text_of(shown)
    for card in plan.stages:
        for n, dose in enumerate(card.targets):
            if dose.key.startswith("dose."):
                label = [f"{each.words} {words.target(each, show)}" for each in card.targets[n : n + 4]]
                assert " ".join(label) in text


def test_the_printed_account_adds_up_and_is_the_plans(plan: Plan) -> None:
    text = text_of(plan).partition("Where the alcohol goes")[2]
    printed: dict[str, list[int]] = {"in": [], "lost": [], "kept": []}
    for line in plan.account:
        row = re.search(rf"{re.escape(line.words)} (\d[\d ]*\d|\d)(?= [A-Z])", text, re.IGNORECASE)
        assert row, line
        printed[line.side].append(int(row[1].replace(" ", "")))
        assert printed[line.side][-1] == line.millilitres
    sums = re.search(r"Came in ([\d ]+) mL = lost ([\d ]+) mL \+ kept ([\d ]+) mL\.", text)
    assert sums
    came, lost, kept = (int(each.replace(" ", "")) for each in sums.groups())
    assert (came, lost, kept) == tuple(sum(printed[side]) for side in ("in", "lost", "kept"))
    assert came == lost + kept


def test_an_account_that_does_not_add_up_is_not_printed_as_if_it_did(rye: Plan) -> None:
    first, *others = rye.account
    text = text_of(replace(rye, account=(replace(first, millilitres=first.millilitres + 7), *others)))
    assert "does not add up: it is off by 7 mL" in text
    assert "Came in" not in text


def test_it_holds_what_binds_what_it_asks_and_the_law(plan: Plan) -> None:
    text = text_of(plan)
    for limit in plan.limits:
        assert words.limit(limit, plan.show).lower() in text.lower()
    for figure in (
        words.banded(plan.effort.energy_kwh, "kWh", plan.show),
        words.banded(plan.effort.cooling_water_l, "L", plan.show),
        words.hours(plan.effort.hands_on_h),
        words.hours(plan.effort.waiting_h),
        *plan.law,
        f"{plan.worlds} possible batches drawn, seed {plan.seed}",
    ):
        assert figure in text


def test_every_page_is_named_numbered_and_marked(plan: Plan) -> None:
    pages = page_texts(plan)
    assert 2 <= len(pages) <= 6
    for number, text in enumerate(pages, 1):
        assert text.startswith(f"{plan.name} · {plan.place} invented figures page {number} of {len(pages)}")


def test_only_an_invented_plan_is_marked_so(rye: Plan) -> None:
    assert "invented" not in text_of(replace(rye, invented=False)).lower()


def test_a_name_is_printed_as_it_is_written(rye: Plan) -> None:
    shopping = tuple(replace(rye.shopping[0], name=f"A{name}") for name in HOSTILE)
    account = tuple(replace(line, words=f"B{HOSTILE[0]} {line.words}") for line in rye.account)
    stages = tuple(
        replace(card, title=f"C{name}", notes=(f"D{name}",))
        for card, name in zip(rye.stages, HOSTILE, strict=False)
    )
    limits = tuple(replace(rye.limits[0], what=f"E{name}") for name in HOSTILE)
    named = replace(
        rye,
        name=" ".join(HOSTILE),
        place=HOSTILE[0],
        shopping=shopping,
        stages=stages,
        limits=limits,
        account=account,
    )
    text = _unspaced(text_of(named))
    assert _unspaced(" ".join(HOSTILE)) in text
    for name in HOSTILE:
        for mark in "ACDE":
            assert _unspaced(mark + name) in text
    assert text.count(f"B{HOSTILE[0]}") == len(account) - 1, "the cask is called what the river calls it"
    assert f"…·{HOSTILE[0]}invented" in text


def _unspaced(text: str) -> str:
    """Without spaces, as a long name may be broken after any of its signs."""
    return "".join(text.split())


def test_signs_that_cannot_be_printed_become_a_space(rye: Plan) -> None:
    named = replace(rye, name="Rye\x00of\nthe\u202e farm\u2028", place="")
    assert page_texts(named)[0].startswith("Rye of the farm invented figures")


def test_a_us_maker_gets_letter_paper_and_us_units(plan: Plan) -> None:
    reader = opened(replace(plan, show="us"))
    text = text_of(replace(plan, show="us"))
    for sentence in {each for card in plan.stages for each in card.cautions}:
        text = text.replace(sentence, "")
    for page in reader.pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(US_LETTER_PT)
    assert len(reader.pages) <= 6
    assert {"°F", "gal", "lb", "proof"} <= set(re.findall(r"°F|gal|lb|proof", text))
    assert "°C" not in text
    assert " kg" not in text


def test_everyone_else_gets_a4(plan: Plan) -> None:
    for page in opened(plan).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(A4_PT, abs=0.01)


def test_the_same_plan_gives_the_same_bytes_here_and_in_another_process(rye: Plan) -> None:
    pages = run_sheet(rye)
    assert run_sheet(rye) == pages
    code = (
        "import hashlib; from caskward.services import plans; from caskward.sheets import run_sheet; "
        "print(hashlib.sha256(run_sheet(plans.plan_text(plans.starting_point('rye')))).hexdigest())"
    )
    elsewhere = {**os.environ, "TZ": "Pacific/Auckland", "PYTHONHASHSEED": "7", "LC_ALL": "C"}
    said = subprocess.run(
        [sys.executable, "-c", code], env=elsewhere, capture_output=True, text=True, check=True
    )
    assert said.stdout.strip() == hashlib.sha256(pages).hexdigest()


def test_it_says_its_title_and_language_and_carries_only_its_own_typeface(plan: Plan) -> None:
    reader = opened(plan)
    assert reader.metadata is not None
    assert reader.metadata.title == plan.name
    assert reader.metadata.creation_date is None
    assert reader.trailer["/Root"]["/Lang"] == "en"
    fonts = {
        font.get_object()["/BaseFont"]
        for page in reader.pages
        for font in page["/Resources"]["/Font"].values()
    }
    assert {str(font).partition("+")[2] for font in fonts} == {
        "AtkinsonHyperlegible-Regular",
        "AtkinsonHyperlegible-Bold",
    }


def test_no_text_is_small_and_none_leaves_the_paper(plan: Plan) -> None:
    for page in opened(plan).pages:
        for size, x, y in _placed(page):
            assert size >= 10.5
            assert 0 < x < float(page.mediabox.width)
            assert 20 < y < float(page.mediabox.height), "5 mm and more are left for the printer's edge"


def _placed(page: object) -> list[tuple[float, float, float]]:
    found: list[tuple[float, float, float]] = []

    def visit(text: str, cm: list[float], tm: list[float], _font: object, size: float) -> None:
        if text.strip():
            y = cm[1] * tm[4] + cm[3] * tm[5] + cm[5]
            found.append((size * abs(tm[3] * cm[3]), cm[0] * tm[4] + cm[2] * tm[5] + cm[4], y))

    page.extract_text(visitor_text=visit)  # type: ignore[attr-defined]
    return found


def test_it_is_black_and_grey_only(rye: Plan) -> None:
    reader = opened(rye)
    painted = [
        (operator, operands)
        for page in reader.pages
        for operands, operator in ContentStream(page.get_contents(), reader).operations
        if operator in (b"rg", b"RG", b"k", b"K", b"scn", b"SCN", b"sc", b"SC")
    ]
    assert painted
    for operator, operands in painted:
        assert operator in (b"scn", b"SCN", b"sc", b"SC")
        assert sum(isinstance(each, FloatObject | NumberObject) for each in operands) <= 1


# Plans that are harder to print ------------------------------------------------------------------


def _long_names(plan: Plan) -> Plan:
    long = "Heritage winter rye from the upper field behind the orchard, second cut"
    return replace(
        plan,
        name="The batch with the very long name that nobody could ever write on the head of a cask " * 2,
        place="The old threshing barn behind the upper orchard, on the left of the mill stream",
        shopping=tuple(replace(line, name=f"{long}, {line.name}") for line in plan.shopping),
        account=tuple(replace(line, words=f"{long}: {line.words}") for line in plan.account),
    )


def _many_materials(plan: Plan) -> Plan:
    return replace(plan, shopping=plan.shopping * 4)


def _no_prices(plan: Plan) -> Plan:
    effort = replace(plan.effort, energy_cost=None)
    shopping = tuple(replace(line, cost=None) for line in plan.shopping)
    return replace(plan, shopping=shopping, materials_cost=None, effort=effort, currency="")


def _a_long_card(plan: Plan) -> Plan:
    first, *others = plan.stages
    return replace(plan, stages=(replace(first, targets=first.targets * 12), *others))


def _bare(plan: Plan) -> Plan:
    stages = tuple(replace(card, targets=card.targets[:1], notes=(), cautions=()) for card in plan.stages[:1])
    return replace(plan, stages=stages, limits=(), law=(), shopping=(), name="", place="")


@pytest.mark.parametrize("harder", [_long_names, _many_materials, _no_prices, _a_long_card, _bare])
@pytest.mark.parametrize("show", ["metric", "us"])
def test_a_harder_plan_still_prints_whole(rye: Plan, harder: Callable[[Plan], Plan], show: str) -> None:
    plan = harder(replace(rye, show=show))
    text = text_of(plan)
    assert words.answer(plan) in text
    for line in plan.shopping:
        assert line.name in text.replace(line.name.capitalize(), line.name)
    for card in plan.stages:
        assert card.title in text
    assert "Came in" in text
    for page in opened(plan).pages:
        assert all(0 < x < float(page.mediabox.width) and y > 20 for _, x, y in _placed(page))


def test_without_prices_no_sum_is_claimed(rye: Plan) -> None:
    text = text_of(_no_prices(rye))
    assert "Together" not in text
    assert "EUR" not in text


def test_a_limit_far_over_still_has_a_bar_on_the_page(rye: Plan) -> None:
    wide = Limit("tub", "tub in one ferment", 5000.0, 510.0, "L")
    assert "980 %" in text_of(replace(rye, limits=(wide, *rye.limits)))


# Files -------------------------------------------------------------------------------------------


def test_it_is_written_to_a_file(rye: Plan, tmp_path: Path) -> None:
    run_sheet_to(rye, tmp_path / "sheet.pdf")
    assert (tmp_path / "sheet.pdf").read_bytes() == run_sheet(rye)


@pytest.mark.parametrize("where", ["no-such-folder/sheet.pdf", ""])
def test_a_place_that_cannot_be_written_is_said_in_a_sentence(rye: Plan, tmp_path: Path, where: str) -> None:
    path = tmp_path / where
    with pytest.raises(InputError) as said:
        run_sheet_to(rye, path)
    assert said.value.exit_code == 2
    assert str(said.value).startswith(f"{path} cannot be written: ")
    assert "Name a file in a folder that exists" in str(said.value)


def test_the_pages_as_pictures(rye: Plan) -> None:
    pictures = run_sheet_pictures(rye, pixels_per_inch=40.0)
    assert len(pictures) == len(opened(rye).pages)
    for picture in pictures:
        assert picture.startswith(b"\x89PNG\r\n\x1a\n")
        assert int.from_bytes(picture[16:20], "big") == pytest.approx(A4_PT[0] / 72.0 * 40.0, abs=1.0)


def test_the_typeface_is_the_one_whose_licence_lies_beside_it() -> None:
    folder = Path(sys.modules["caskward.sheets"].__path__[0]) / "fonts"
    said = dict(
        re.findall(r"^([0-9a-f]{64})  (\S+\.\S+)$", (folder / "VENDORED.txt").read_text("utf-8"), re.M)
    )
    held = {path.name for path in folder.iterdir()} - {"VENDORED.txt"}
    assert set(said.values()) == held
    for digest, name in said.items():
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest
    assert "SIL OPEN FONT LICENSE" in (folder / "LICENSE.txt").read_text("utf-8")


def test_all_starting_points_are_printed_here() -> None:
    from caskward.services import plans

    assert set(plans.starting_points()) == set(NAMES)


def test_a_sheet_never_prints_over_the_maker_s_own_file(rye: Plan, tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    mine.write_text('name = "mine"')
    with pytest.raises(InputError, match="already"):
        run_sheet_to(rye, mine)
    assert mine.read_text() == 'name = "mine"'
