"""No page tells anybody to type a command: every sentence that does is said with the page's own places."""

from __future__ import annotations

import ast
import re
import shutil
from pathlib import Path

import pytest

import caskward
from caskward.desk.spoken import spoken
from caskward.errors import book

HOUSE = Path(caskward.__file__).parent
COMMAND = re.compile(
    r"caskward (?:plan|still|tub|gauge|proof|card|materials|book)|\(--|book correct|mine\.toml"
)
ELSEWHERE = ("RowNotQuoted", "NewGoesToTheScreen", "BookAlreadyThere")
"""Errors of a command's own words."""


def _text(node: ast.AST) -> str:
    if isinstance(node, ast.JoinedStr):
        return "".join(str(v.value) if isinstance(v, ast.Constant) else "X 1" for v in node.values)
    return str(node.value) if isinstance(node, ast.Constant) else ""


def _sentences() -> list[str]:
    """Every text in the errors that advises a command."""
    found = []
    for file in (HOUSE / "errors").glob("*.py"):
        for known in ast.walk(ast.parse(file.read_text("utf-8"))):
            if not isinstance(known, ast.FunctionDef) or known.name != "__init__":
                continue
            inner = {id(v) for n in ast.walk(known) if isinstance(n, ast.JoinedStr) for v in n.values}
            texts = [_text(n) for n in ast.walk(known) if id(n) not in inner]
            found += [
                one for one in texts if COMMAND.search(one) and "--new" not in one and "One file's" not in one
            ]
    return found


def test_there_are_sentences_to_look_at() -> None:
    assert len(_sentences()) > 15


@pytest.mark.parametrize("sentence", _sentences())
def test_no_error_sends_a_page_to_the_terminal(sentence: str) -> None:
    assert not COMMAND.search(spoken(sentence))


@pytest.mark.parametrize(
    ("sentence", "said"),
    [
        ('None is open: caskward book begin "rye 5"', 'None is open: “Begin a batch” with "rye 5"'),
        ("What there is: caskward book balances", "What there is stands in the Book, under Accounts."),
        ("The lid was left open -- overnight.", "The lid was left open -- overnight."),
        ("It works (--limit). And more.", "It works. And more."),
        (
            'book receive needs who it came from. Add, for example: from "Hill Farm"',
            '“Receive” needs who it came from. Add, for example: from "Hill Farm"',
        ),
        (
            "'20 x 700 mL' names no lot for the bottles. Put its name first: caskward book bottle "
            '"cask 3" to L26-1 20 x 700 mL',
            "'20 x 700 mL' names no lot for the bottles. Put its name first, like: L26-1 20 x 700 mL",
        ),
    ],
)
def test_what_is_said_instead(sentence: str, said: str) -> None:
    assert spoken(sentence) == said


WRONG = (
    ("mash", "35 kg triticale into tub 180 L at 64 C", ""),
    ("mash", "1 kg rye into tub", ""),
    ("move", "tub 9 to still 10 L 8 %", ""),
    ("receive", '2 L 40 % vodka from "Old Mill"', ""),
    ("reduce", "reserve 40 %", ""),
    ("gauge", "cask 2 all", ""),
    ("measure", "wash: 8 %", "rye 9"),
    ("convert", "tub 178 L 8.1 % at 24 C", ""),
    ("explain", "cask 1 evaporation", ""),
    ("bottle", "vat 40 x 500 mL 46 %", ""),
    ("lose", "jar 7 200 mL", ""),
    ("close", "rye 9", ""),
    ("distil", "still into jar 1 1.010 at 20 C", ""),
)


@pytest.mark.parametrize(("verb", "words", "batch"), WRONG)
@pytest.mark.parametrize("in_json", [False, True])
def test_what_is_typed_wrong_is_answered_in_the_words_of_a_page(desk, verb, words, batch, in_json) -> None:
    headers = {"accept": "application/json"} if in_json else {}
    answer = desk.send("/record", {"verb": verb, "words": words, "batch": batch, "key": "k"}, **headers)
    assert answer.status_code in (303, 200, 422)
    assert not COMMAND.search(answer.text)


PLACES = (
    "/book/period?q=2025",
    "/book/accounts",
    "/gauging?q=0.990 at 20 C",
    "/book/entries/9999",
    "/casks/none",
)


@pytest.mark.parametrize("path", PLACES)
def test_no_page_sends_anybody_to_the_terminal(desk, path: str) -> None:
    assert not COMMAND.search(desk.browser.get(path).text)


@pytest.mark.parametrize(
    ("error", "says"),
    [
        (book.MoreThanIsHeld("cask/3", "liquid", "99 L", "23.25 L"), "cannot be taken from cask 3: the book"),
        (book.MoreThanIsHeld("cask/3", "liquid", "99 L", "23.25 L"), "gauge cask 3 first."),
        (book.NothingInIt("vessel/spirit", "liquid"), "no liquid in spirit. Check"),
        (book.NothingInIt("vessel/mash tub 2", "liquid"), "no liquid in mash tub 2. Check"),
        (book.IntoItself("jar/7"), "jar 7 is both where"),
    ],
)
def test_a_page_calls_a_place_by_its_name(error: Exception, says: str) -> None:
    assert says in spoken(str(error))
    assert "/" not in spoken(str(error))


@pytest.mark.parametrize("account", ["cask/3", "vessel/mash tub 2", "lot/rye/1", "jar/the old one"])
def test_an_account_by_itself_stays_one(account: str) -> None:
    """Forms and links carry it to the letter."""
    assert spoken(account) == account


@pytest.mark.parametrize(("typed", "says"), [("-5 kg rye", "-5"), ("5 kg rye", "who it came from")])
def test_what_is_wrong_is_said_before_what_is_missing(make_desk, typed: str, says: str) -> None:
    desk = make_desk(empty=True)
    found = desk.send("/record", {"verb": "receive", "words": typed}, accept="application/json")
    assert says in found.json()["error"]
    assert "book receive" not in found.json()["error"]


def test_no_reader_is_told_to_use_a_form_that_is_not_there(make_desk, people_file) -> None:
    desk = make_desk(lan=True, empty=True)
    shutil.copy(people_file, desk.house.settings.folder)
    desk.sign_in("Wren")
    assert "with the form" not in desk.browser.get("/stores").text
    assert "--lan" not in desk.browser.get("/stores").text


def test_examples_are_in_the_makers_units(make_desk) -> None:
    desk = make_desk()
    desk.browser.cookies.set("caskward-units", "us")
    for path in ("/stores", "/gear", "/book", "/batches/rye 4"):
        page = desk.browser.get(path).text
        examples = re.findall(r'data-example="([^"]*)"|class="example">([^<]*)<', page)
        metric = [one for pair in examples for one in pair if re.search(r"\d (?:L|kg|C)\b", one)]
        assert metric == [], path
