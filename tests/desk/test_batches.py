"""Batches and the Bench: what the book has, what its plan makes of it, and what a reading would do."""

from __future__ import annotations

import html
import re
from dataclasses import replace
from threading import Event

import pytest

from caskward.desk import thoughts
from caskward.desk.thoughts import Thoughts
from caskward.services import plans
from caskward.services.book import batch_record, batches, plan_kept, verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.units import show
from tests.desk.conftest import ORIGIN, Desk

RYE = f"worlds = 256\n{plans.starting_point('rye')}"
MAUD = Doing(by="Maud")
PAGE = "/batches/rye 5"


def planned(make_desk, *rows: str) -> Desk:
    """A desk over a book with one batch that has a plan, and these rows."""
    opened = make_desk(empty=True)
    book = opened.house.book.to_write()
    batches.begin(book, Asked("begin", ("rye 5",)), MAUD, (RYE, None))
    for row in rows:
        verbs.done_in(book, Asked("measure", (row,)), replace(MAUD, batch="rye 5"))
    return opened


def text_of(answer) -> str:
    """A page's words, without tags and unbreakable spaces."""
    words = html.unescape(re.sub(r"<[^>]*>", " ", answer.text)).replace("\u00a0", " ")
    return " ".join(words.split())


def test_an_open_page_asks_every_minute_what_fell_due_and_hears_only_what_is_new(make_desk) -> None:
    desk = planned(make_desk)
    found = re.search(
        r'id="part-act-[^>]*hx-get="([^"]+)\?was=(\w+)" hx-trigger="([^"]+)"',
        desk.browser.get(f"{PAGE}?wait=1").text,
    )
    assert found
    assert "every 60s" in found[3]
    assert desk.browser.get(f"{found[1]}?was={found[2]}").status_code == 204
    assert "Do next" in desk.browser.get(f"{found[1]}?was=another").text


# A batch with a plan -----------------------------------------------------------------------------


def test_a_page_says_what_the_forecast_says(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    report = batches.forecast(desk.house.book.to_read(), "rye 5")
    said = text_of(desk.browser.get(f"{PAGE}?wait=1"))
    assert f"The cask fills with {show.in_ten(report.chance_now)} confidence." in said
    for heading in ("Measure next", "Most of the doubt", "To be surer", "Where the alcohol goes", "Stages"):
        assert heading in said
    assert "Working" not in said
    assert "25.1 L recorded" in said, "7.6 %vol of 330 L"


def test_a_page_waits_for_no_thought(make_desk, monkeypatch) -> None:
    monkeypatch.setattr(Thoughts, "_wake", lambda self: None)
    desk = planned(make_desk)
    page = desk.browser.get(PAGE)
    assert page.status_code == 200
    assert "Working out how sure the cask fills" in page.text
    assert 'action="/record"' in page.text, "a reading can be recorded meanwhile"
    part = desk.browser.get(f"{PAGE}/parts/sure", headers={"HX-Request": "true"})
    assert "load delay" in part.text, "it asks again"
    bench = desk.browser.get("/")
    assert (bench.status_code, 'action="/record"' in bench.text) == (200, True)


def test_a_part_that_is_known_asks_only_when_the_book_moves_on(make_desk) -> None:
    desk = planned(make_desk)
    desk.browser.get(f"{PAGE}?wait=1")
    for name in ("sure", "next", "doubt", "surer", "river", "stages"):
        part = desk.browser.get(f"{PAGE}/parts/{name}")
        assert part.status_code == 200
        assert "book-moved-on" in part.text
        assert "load delay" not in part.text
    assert desk.browser.get(f"{PAGE}/parts/nothing").status_code == 404
    assert desk.browser.get("/batches/no such/parts/sure").status_code == 404


def test_rows_that_cannot_be_are_said_once_and_the_page_stays(make_desk) -> None:
    desk = planned(make_desk, "strip 300 L: 50 %")
    said = text_of(desk.browser.get(f"{PAGE}?wait=1"))
    assert said.count("300 L") >= 1
    assert len(re.findall(r"class=\"error\">[^<]", desk.browser.get(PAGE).text)) == 1
    assert "Stages" in said


def test_every_stage_has_its_figures_cautions_and_readings(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    page = desk.browser.get(f"{PAGE}?wait=1").text
    opened = re.search(r'<li class="is-now">.*?</li>', page, re.DOTALL)
    assert opened
    assert "Separate" in opened[0]
    assert "wash: 7.6 %, 330" in html.unescape(opened[0]).replace("\u00a0", " ")
    for link in re.findall(r'class="head" href="#([\w-]+)"', page):
        assert f'id="{link}"' in page, "every reach opens its stage"


def test_the_maker_reads_in_own_units(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    desk.browser.cookies.set("caskward-units", "us")
    said = text_of(desk.browser.get(f"{PAGE}?wait=1"))
    assert "6.63 gal recorded" in said
    assert re.search(r"Expect [\d.]+ gal", said)


# What a reading would do -------------------------------------------------------------------------


def foreseen(desk, words: str, before: str = "", page: str = PAGE) -> str:
    return text_of(desk.browser.get(f"{page}/foreseen", params={"words": words, "before": before}))


def test_a_reading_is_foreseen_before_it_is_recorded(make_desk) -> None:
    desk = planned(make_desk)
    desk.browser.get(f"{PAGE}?wait=1")
    said = foreseen(desk, "5.1 % at 31 C, 250 L", "wash")
    assert "Wash: strength" in said
    assert "%vol at 20 °C" in said
    assert "The cask would fill with" in said
    assert desk.house.book.newest() == 2, "nothing was recorded"
    assert foreseen(desk, "") == ""
    assert "The cask would fill" not in foreseen(desk, "run: 70 %"), "its litres are missing"
    assert foreseen(desk, "run: 70 %") != ""


def test_without_a_plan_only_the_corrected_figure_is_foreseen(desk) -> None:
    said = foreseen(desk, "26 % at 31 C", "strip", "/batches/rye 4")
    assert said == "Low wines: strength 21.9 %vol at 20 °C"


@pytest.mark.parametrize(
    ("words", "row"),
    [("26 % at 31 C, 110 L", "strip: 26 % at 31 C, 110 L"), ("wash: 8.4 %, 340 L", "wash: 8.4 %, 340 L")],
)
def test_what_is_typed_goes_to_what_stood_beside_the_field(desk, words: str, row: str) -> None:
    fields = {"verb": "measure", "words": words, "before": "strip", "batch": "rye 4", "key": "one"}
    assert desk.send("/record", fields).status_code == 303
    (entry,) = desk.house.book.to_read().newest(limit=1)
    assert entry.details["rows"] == (row,)


HOSTILE = (
    "<script>alert(1)</script>",
    "wash: " + "9" * 300 + " %",
    "\0",
    "a:b:c",
    "{{ 7*7 }}",
    "strip nan L: 5 %",
)


@pytest.mark.parametrize("words", HOSTILE)
def test_nothing_that_is_typed_breaks_or_runs(desk, words: str) -> None:
    answer = desk.browser.get("/batches/rye 4/foreseen", params={"words": words, "before": words})
    assert answer.status_code == 200
    assert "<script" not in answer.text
    assert "49" not in answer.text


# From the book alone -----------------------------------------------------------------------------


def test_the_recorded_river_is_what_the_accounts_say(desk) -> None:
    book = desk.house.book.to_read()
    found = batch_record.record_of(book, "rye 4").recorded
    made = -book.balances("made/fermentation/rye 4")["made/fermentation/rye 4"]["alcohol"] / 1e6
    solids = book.balances("lost/spent solids/rye 4")["lost/spent solids/rye 4"]["alcohol"] / 1e6
    assert found.reaches["tub"] == pytest.approx(made)
    assert found.sides["tub", "held by the spent solids", "lost"] == pytest.approx(solids)
    left = {key: litres for key, litres in found.sides.items() if key[0] == "charge"}
    # What measuring found more or less is asked about in the book; it is under a hundredth here.
    assert found.reaches["charge"] == pytest.approx(found.reaches["heart"] + sum(left.values()), rel=0.01)
    over = found.sides["heart", "spirit left over", "over"]
    assert found.reaches["heart"] == pytest.approx(found.reaches["cask"] + over)
    said = text_of(desk.browser.get("/batches/rye 4"))
    assert f"Tub, fermented {made:.1f} L recorded" in said


def test_a_whole_reading_stands_in_where_no_deed_says_it(desk) -> None:
    desk.send("/record", {"verb": "begin", "words": "rye 5", "key": "a"})
    row = {"verb": "measure", "words": "strip: 25 %, 110 L", "batch": "rye 5", "key": "b", "meant": "1"}
    desk.send("/record", row)
    assert "Low wines 27.5 L recorded" in text_of(desk.browser.get(PAGE))


def test_the_list_says_of_each_where_it_stands(desk) -> None:
    said = text_of(desk.browser.get("/batches"))
    assert re.search(r"Open rye 4 cask filled [\d.]+ L of pure alcohol went into cask 6\.", said)
    assert "Closed pears 1" in said


def test_closed_batches_come_a_page_at_a_time(make_desk) -> None:
    desk = make_desk(empty=True)
    book = desk.house.book.to_write()
    for n in range(20):
        verbs.done_in(book, Asked("begin", (f"rye {n:02}",)), MAUD)
        verbs.done_in(book, Asked("close", (f"rye {n:02}",)), MAUD)
    seen: list[str] = []
    path = "/batches"
    while path:
        page = desk.browser.get(path).text
        seen += re.findall(r'href="/batches/(rye%20\d\d)"', page)
        found = re.search(r'href="(/batches\?after=\d+)"', page)
        path = found[1] if found else ""
    assert seen == [f"rye%20{n:02}" for n in range(20)]
    assert desk.browser.get("/batches?after=what").status_code == 200


def test_what_is_entered_by_another_command_is_seen(desk) -> None:
    assert "strip: 25 %" not in text_of(desk.browser.get("/batches/rye 4"))
    before = text_of(desk.browser.get("/batches/rye 3"))
    book = desk.house.book.to_read()
    verbs.done_in(book, Asked("measure", ("strip: 25 %, 110 L",)), replace(MAUD, batch="rye 4"))
    assert "strip: 25 %" in text_of(desk.browser.get("/batches/rye 4"))
    assert text_of(desk.browser.get("/batches/rye 3")) == before


def test_the_bench_has_a_field_for_every_open_batch_with_its_cautions(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    assert plan_kept.kept_plan(desk.house.book.to_read(), "rye 5").number == 2
    desk.browser.get(f"{PAGE}?wait=1")
    page = desk.browser.get("/").text
    assert 'name="batch" value="rye 5"' in page
    assert re.search(r'name="before" value="(strip|wash|charge)', page)
    assert 'class="caution"' in page


def test_a_reader_sees_the_next_reading_and_no_field(lan_desk) -> None:
    lan_desk.sign_in("Wren")
    for path in ("/", "/batches/rye 4"):
        page = lan_desk.browser.get(path).text
        assert "<form" not in page or 'action="/record"' not in page
    assert lan_desk.browser.get("/batches/rye 4/foreseen?words=5").status_code == 200


def test_parts_need_a_sign_in(lan_desk) -> None:
    for path in ("/batches/rye 4/parts/river", "/batches/rye 4/foreseen?words=5"):
        answer = lan_desk.browser.get(path, headers={"HX-Request": "true", "origin": ORIGIN})
        assert answer.status_code == 401


def test_a_row_that_is_in_already_moves_nothing(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    desk.browser.get(f"{PAGE}?wait=1")
    chance = show.in_ten(batches.forecast(desk.house.book.to_read(), "rye 5").chance_now)
    said = foreseen(desk, "7.6 %, 330 L", "wash")
    assert f"The cask would fill with {chance} confidence, {chance} now" in said


def test_more_in_the_heart_is_foreseen_as_more_in_the_cask(make_desk) -> None:
    desk = planned(make_desk, "wash: 7.6 %, 330 L")
    desk.browser.get(f"{PAGE}?wait=1")
    said = [foreseen(desk, f"heart: {litres} L, 69 %") for litres in (20, 22, 24)]
    mids = [float(re.search(r"about ([\d.]+) L \(", one)[1]) for one in said]  # type: ignore[index]
    assert mids == sorted(mids)
    assert mids[0] < mids[2]


def test_what_the_hands_were_last_at_comes_first(desk) -> None:
    desk.send("/record", {"verb": "begin", "words": "rye 5", "key": "a"})
    first = [f'value="{name}"' for name in ("rye 5", "rye 4")]
    page = desk.browser.get("/").text
    assert page.index(first[0]) < page.index(first[1])
    desk.send("/record", {"verb": "measure", "words": "wash: 8 %", "batch": "rye 4", "key": "b"})
    page = desk.browser.get("/").text
    assert page.index(first[1]) < page.index(first[0])


# After a reading was recorded --------------------------------------------------------------------


def test_what_a_reading_does_is_shown_about_before_it_is_worked_out(make_desk, monkeypatch) -> None:
    desk = planned(make_desk, "mash 3 h: 1.062, 470 L")
    desk.browser.get(f"{PAGE}?wait=1")
    worked_out = text_of(desk.browser.get(f"{PAGE}/parts/sure"))
    # Nothing is worked out any more but the plan, which is known, and the first look.
    done = Event()
    monkeypatch.setitem(thoughts.WORK, "now", lambda _, of: done.wait(60.0))
    sent = desk.send(
        "/record",
        {"verb": "measure", "batch": "rye 5", "words": "wash: 6.2 %, 300 L", "key": "k", "meant": "1"},
    )
    assert sent.status_code == 303
    record = desk.house.records.of(desk.house.book.to_read(), "rye 5")
    assert desk.house.thoughts.of(record).part("first", 20.0)
    answer = desk.browser.get(f"{PAGE}/parts/sure")
    done.set()
    said = text_of(answer)
    assert "A first look" in said
    assert "load delay:900ms" in answer.text, "it asks again for the whole"
    chance = float(re.search(r"fills with about (?:under )?([\d.]+) in 10", said)[1])
    before = float(re.search(r"fills with ([\d.]+) in 10", worked_out)[1])
    assert chance < before, "a weak, short wash makes the cask less sure"
    assert f"It was {re.search(r'with (.*?) confidence', worked_out)[1]} before." in said
