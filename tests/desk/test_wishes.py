"""A new batch at the desk: its beginnings, answers while one types, one press, who may; a plan, an end."""

from __future__ import annotations

import html
import re
import time

import pytest

from caskward.services.book import plan_kept
from tests.desk.test_batches import planned, text_of

FIRST = "/batches/new?start=rye"
PATIENCE_S = 120


def fields_of(page) -> dict[str, str]:
    """Every field of the form of a new batch, as a browser would send it."""
    form = re.search(r'<form id="wish".*?</form>', page.text, re.DOTALL)
    assert form
    found = {}
    for tag in re.findall(r"<input([^>]*)>", form[0]):
        given = dict(re.findall(r'([\w-]+)="([^"]*)"', tag))
        found[given["name"]] = html.unescape(given.get("value", ""))
    for name, options in re.findall(r'<select[^>]*name="([^"]*)"[^>]*>(.*?)</select>', form[0], re.DOTALL):
        chosen = re.search(r'value="([^"]*)" selected', options) or re.search(r'value="([^"]*)"', options)
        assert chosen
        found[name] = html.unescape(chosen[1])
    return {name: value for name, value in found.items() if name != "token"}


def answered(desk, fields: dict[str, str]) -> str:
    """The answer part, once it is whole."""
    part = desk.send("/batches/new/answer", fields)
    until = time.monotonic() + PATIENCE_S
    while (again := re.search(r'hx-get="([^"]+)"', part.text)) and "Ways out" not in part.text:
        assert time.monotonic() < until
        time.sleep(0.1)
        part = desk.browser.get(html.unescape(again[1]))
    assert part.status_code == 200
    return text_of(part)


@pytest.fixture
def wish(desk):
    """A desk, and the fields of a new batch begun from rye."""
    return desk, fields_of(desk.browser.get(FIRST))


def test_there_is_much_to_begin_from(make_desk) -> None:
    desk = make_desk()
    said = text_of(desk.browser.get("/batches/new"))
    assert "Rye, malt and oats 25 L: 55 % rye" in said
    assert "No batch of the book has a plan yet." in text_of(desk.browser.get("/batches/new?past=1"))
    for start in ("start=pears", "blank=1", "start=rye&to=rye 4"):
        assert desk.browser.get(f"/batches/new?{start}").status_code == 200
    assert desk.browser.get("/batches/new?start=gin").status_code == 422
    assert desk.browser.get("/batches/new?batch=rye 4").status_code == 404
    assert 'href="/batches/new"' in desk.browser.get("/batches").text


def test_without_a_book_a_batch_can_be_planned_and_begun(make_desk) -> None:
    desk = make_desk(empty=True)
    assert desk.browser.get("/batches/new").status_code == 200
    fields = fields_of(desk.browser.get(FIRST))
    assert "invented" not in fields["source"]
    assert desk.send("/batches/new/begin", {**fields, "batch": "rye 1"}).status_code == 303
    assert "rye 1" in text_of(desk.browser.get("/batches"))


def test_it_answers_with_shopping_work_and_what_binds(wish) -> None:
    desk, fields = wish
    said = answered(desk, {**fields, "day": "2026-11-30"})
    for words in ("The cask fills with 8 in 10 confidence", "Mash ", "needed in store to buy", "What binds",
                  "Hands on", "Waiting for the yeast", "Mashed from Mon 30 Nov", "local law"):  # fmt: skip
        assert words in said
    assert "caskward " not in said


def test_what_is_typed_in_us_units_is_answered_in_them(wish) -> None:
    desk, fields = wish
    said = answered(desk, {**fields, "show": "us", "capacity": "5 gal"})
    assert re.search(r"Expect [\d.]+ gal", said)
    assert re.search(r"Mash \d+ lb", said)


WRONG = [
    ("capacity", "big", "How large the cask is"),
    ("capacity", "", "“How large the cask is” is still empty"),
    ("bill-0-material", "ryee", "Did you mean 'rye'?"),
    ("bill-0-share", "55", "Write 55 % or 0.55"),
    ("bill-0-share", "5 %", "50 %"),
    ("ratio", "thick", "Litres of water to the kilogram"),
    ("still_power", "", "“Heat of the still” is still empty"),
    ("tub_volume", "5 kg", "is a mass"),
    ("enzyme-0-window", "hot", "low and high"),
    ("strength", "", "“Strength” is still empty"),
    ("sure", "perhaps", "perhaps"),
]


@pytest.mark.parametrize(("field", "typed", "said"), WRONG)
def test_what_is_wrong_is_said_in_the_words_of_the_form(wish, field: str, typed: str, said: str) -> None:
    desk, fields = wish
    answer = text_of(desk.send("/batches/new/answer", {**fields, field: typed})).partition("The plan's file")[
        0
    ]
    assert said in answer
    for unfit in ("caskward ", "TOML", "[cask]", "[bill", "in quotes", " = "):
        assert unfit not in answer


def test_what_is_wrong_does_not_look_like_an_answer_at_the_foot(wish) -> None:
    desk, fields = wish
    wrong = desk.send("/batches/new/answer", {**fields, "bill-0-share": "70 %"})
    assert 'class="brief no"' in wrong.text
    assert "add up to 115 %; they must add up to 100 %. Take 15 % off one of them." in text_of(wrong)
    assert "Add 15 % to one of them." in text_of(
        desk.send("/batches/new/answer", {**fields, "bill-0-share": "40 %"})
    )
    assert 'class="brief"' in desk.send("/batches/new/answer", fields).text


def test_a_refusal_has_ways_out_and_each_is_a_button(wish) -> None:
    desk, fields = wish
    said = answered(desk, {**fields, "tub_volume": "200 L"})
    assert "This cannot be done as it stands. The tub binds" in said
    page = desk.send("/batches/new", {**fields, "tub_volume": "200 L"})
    part = desk.browser.get(html.unescape(re.search(r'hx-get="([^"]+answers[^"]+)"', page.text)[1]))
    until = time.monotonic() + PATIENCE_S
    while 'value="way"' not in part.text and time.monotonic() < until:
        time.sleep(0.2)
        part = desk.browser.get(html.unescape(re.search(r'hx-get="([^"]+)"', part.text)[1]))
    file = html.unescape(re.search(r'name="file" value="([^"]*)"', part.text)[1])
    taken = desk.send("/batches/new", {"act": "way", "file": file, "key": "k", "batch": "rye 5"})
    assert fields_of(taken)["batch"] == "rye 5"
    assert "The cask fills with" in answered(desk, fields_of(taken))
    begun = desk.send("/batches/new/begin", {**fields, "tub_volume": "200 L", "batch": "rye 5"})
    assert begun.status_code == 422
    assert desk.house.book.newest() == 240, "nothing was begun"


def test_rows_come_and_go_without_script(wish) -> None:
    desk, fields = wish
    more = fields_of(desk.send("/batches/new", {**fields, "act": "add-bill"}))
    assert more["bill-3-material"] == ""
    fewer = fields_of(desk.send("/batches/new", {**fields, "act": "drop-bill-2"}))
    assert "bill-2-material" not in fewer
    held = fields_of(desk.send("/batches/new", {**fields, "act": "stores"}))
    assert held["spirit-1-kind"] == "feints"


def test_one_press_begins_it_with_its_plan_and_sent_again_changes_nothing(wish) -> None:
    desk, fields = wish
    sent = {**fields, "batch": "rye 5"}
    for _ in range(2):
        answer = desk.send("/batches/new/begin", sent)
        assert (answer.status_code, answer.headers["location"]) == (303, "/batches/rye%205")
    assert desk.house.book.newest() == 242
    kept = plan_kept.kept_plan(desk.house.book.to_read(), "rye 5")
    assert desk.browser.get("/batches/rye 5/plan.toml").text == kept.intent == fields["source"]
    for name, said in (("", "needs a name"), ("rye 4", "already")):
        answer = desk.send("/batches/new/begin", {**fields, "batch": name, "key": f"k{name}"})
        assert (answer.status_code, said in text_of(answer)) == (422, True)


def test_a_plan_is_read_printed_and_taken_away(wish) -> None:
    desk, fields = wish
    desk.send("/batches/new/begin", {**fields, "batch": "rye 5"})
    said = text_of(desk.browser.get("/batches/rye 5/plan?wait=1"))
    assert re.search(r"Cooks, one after the other \d", said)
    assert re.search(r"Rye in each [\d.]+ kg [\d.]+ lb", said), "both systems side by side"
    for answer in (
        desk.browser.get("/batches/rye 5/run-sheet.pdf"),
        desk.send("/batches/new/run-sheet.pdf", fields),
    ):
        assert answer.content.startswith(b"%PDF-")
    assert desk.send("/batches/new/sheet", fields).status_code == 200
    assert desk.send("/batches/new/plan.toml", fields).text == fields["source"]
    assert desk.browser.get("/batches/rye 4/plan").status_code == 404


def test_a_file_that_is_pasted_is_kept_to_the_letter(desk) -> None:
    text = desk.browser.get(FIRST)
    source = f"# my own words\n{fields_of(text)['source']}"
    page = desk.send("/batches/new", {"act": "paste", "file": source.replace("\n", "\r\n")})
    assert fields_of(page)["source"] == source
    assert desk.send("/batches/new/plan.toml", fields_of(page)).text == source
    refused = desk.send("/batches/new", {"act": "paste", "file": "cask ="})
    assert refused.status_code == 422
    assert "cask =" in refused.text


HOSTILE = (
    "<script>alert(1)</script>",
    "{{ 7*7 }}",
    "\0",
    "9" * 3000,
    'x"]\n[cask]\ncapacity = "1 L',
    "../../etc/passwd",
)


@pytest.mark.parametrize("words", HOSTILE)
def test_nothing_that_is_typed_breaks_or_runs(wish, words: str) -> None:
    desk, fields = wish
    for field in ("capacity", "title", "bill-0-material", "enzyme-0-name", "batch", "day", "of", "show"):
        answer = desk.send("/batches/new/answer", {**fields, field: words})
        assert answer.status_code == 200
        assert "<script>alert" not in answer.text
    page = desk.send("/batches/new", {"act": "paste", "file": words})
    assert page.status_code in (200, 422)
    assert desk.browser.get("/batches/new/answers/none").status_code == 404


def test_a_plans_file_names_no_file_of_this_machine(wish, tmp_path) -> None:
    desk, fields = wish
    (tmp_path / "mine.toml").write_text("secret = 1")
    fields = {**fields, "source": f'learned = "{tmp_path}/mine.toml"\n{fields["source"]}', "batch": "rye 5"}
    for path in ("/batches/new/answer", "/batches/new/begin"):
        assert "secret" not in text_of(desk.send(path, fields)).partition("The plan's file")[0]
    assert desk.house.book.newest() == 240


def test_only_a_maker_plans_and_closes(lan_desk) -> None:
    for who in ("Wren", "Jory"):
        lan_desk.sign_in(who)
        assert lan_desk.browser.get("/batches/new").status_code == 403
        assert lan_desk.browser.get("/batches/rye 4/close").status_code == 403
        for path in ("/batches/new", "/batches/new/answer", "/batches/new/begin", "/batches/rye 4/close"):
            assert lan_desk.send(path, {}).status_code == 403
        assert "/batches/new" not in lan_desk.browser.get("/batches").text
    lan_desk.sign_in("Maud")
    assert lan_desk.browser.get("/batches/new").status_code == 200


def test_an_open_batch_is_given_a_plan_on_its_page_and_closed(desk) -> None:
    assert "/batches/new?to=rye%204" in desk.browser.get("/batches/rye 4").text
    fields = fields_of(desk.browser.get(f"{FIRST}&to=rye 4"))
    assert desk.send("/batches/new/begin", fields).headers["location"] == "/batches/rye%204"
    assert "/batches/rye%204/plan" in desk.browser.get("/batches/rye 4").text
    assert desk.send("/batches/rye 4/close", {"key": "end"}).status_code == 303
    assert "rye 4 is closed" in text_of(desk.browser.get("/batches/rye 4/close"))
    assert desk.send("/batches/rye 4/close", {"key": "again"}).status_code == 422


def test_what_a_batch_taught_is_shown(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    said = text_of(desk.browser.get("/batches/rye 5/close?wait=1"))
    assert re.search(r"Learned from 1 closed batch, \d+ readings", said)
    assert "default with you batches" in said
    assert "one batch moves little" in said
    assert "caskward" in desk.browser.get("/batches/rye 5/taught.toml").text
