"""A run's page: its forecast, receivers, what a choice does, and what is recorded from it."""

from __future__ import annotations

import html
import os
import re
import shlex
from collections.abc import Iterator

import pytest

from caskward.desk.thoughts import Thoughts
from caskward.services.book import batch_follow, batch_record, verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.demo_today import write_today
from tests.desk.conftest import ORIGIN, Desk
from tests.desk.test_batches import planned, text_of
from tests.services.book.test_run_deed import CHARGED
from tests.services.book.test_run_deed import done as book_done

PAGE = "/batches/rye 5/run"
BEFORE = ("wash: 7.6 %, 330 L", "strip: 110 L, 26 %", "charge: 119 L, 26 %")
RUN = (
    *BEFORE,
    "begins: run 1",
    "foreshots: 0.3 L, 77 %",
    "jar: 1 L, 76.8 %, -1, glue",
    "jar: 1 L",
    "can: 5 L, 73.6 %, +1, bread",
    "run 7.3 L: 71.9 %, head 86.8 C",
)


@pytest.fixture(autouse=True, scope="module")
def beliefs_kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """What is believed of the same rows is worked out once for all tests of this file."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CASKWARD_CACHE", str(tmp_path_factory.mktemp("beliefs")))
        yield


@pytest.fixture
def running(make_desk) -> Desk:
    """A desk over a batch whose first spirit run is under way, its forecast worked out."""
    desk = planned(make_desk, *RUN)
    assert desk.browser.get(f"{PAGE}?wait=1").status_code == 200
    return desk


def part(desk: Desk, name: str, **asked: object):
    return desk.browser.get(f"{PAGE}/{name}", params={"of": "run-1", **asked})


def rows_of(desk: Desk) -> tuple[str, ...]:
    return batch_record.record_of(desk.house.book.to_read(), "rye 5").rows


def send(desk: Desk, words: str, before: str = "", key: str = "k"):
    fields = {"verb": "measure", "words": words, "before": before, "batch": "rye 5", "key": key}
    return desk.send("/record", fields, accept="application/json")


# What it shows -----------------------------------------------------------------------------------


def test_the_page_says_where_the_run_is_and_draws_it(running) -> None:
    page = running.browser.get(PAGE)
    said = text_of(page)
    assert re.search(r"7\.30 L over: heart, [\d.]+ L \([\d.–]+\) to go\.", said)
    assert "71.9 %vol spout at 7.30 L" in said.replace(
        "spout at 7.30 L 71.9 %vol", "71.9 %vol spout at 7.30 L"
    )
    assert "86.8 °C" in said
    assert page.text.count('<svg viewBox="0 0 340 210"') == 2
    assert page.text.count('class="read" cx=') == 2 + 1, "one dot in each chart, one in the key"
    assert page.text.count('class="caught"') == 3 + 1, "three receivers whose strength was read"
    assert "leave it alone" in said
    assert "style=" not in page.text


def test_the_chart_has_its_figures_in_a_table(running) -> None:
    table = re.search(r"The run, as it comes over.*?</table>", part(running, "chart").text, re.DOTALL)
    assert table
    cells = text_of(type("Page", (), {"text": table[0]}))
    assert "7.30 L" in cells
    assert "71.9 %vol" in cells
    assert "86.8 °C" in cells


def test_jars_stand_on_a_shelf_filled_with_marks_and_estimates(running) -> None:
    page = part(running, "shelf").text
    names = re.findall(r'name="in" value="([^"]+)"( checked)?( disabled)?', page)
    assert names == [
        ("foreshots", "", " disabled"),
        ("jar 1", "", ""),
        ("jar 2", " checked", ""),
        ("can 3", " checked", ""),
    ]
    said = html.unescape(page).replace("\u00a0", " ")
    assert "about 7" in said, "not read, so as it is expected"
    assert "-1, glue" in said
    assert "In g/hL of pure alcohol" in said


def test_a_tap_is_answered_with_the_cask(running) -> None:
    shown = "foreshots,jar 1,jar 2,can 3"
    few = text_of(part(running, "choice", chosen=1, seen=shown, **{"in": ["can 3"]}))
    more = text_of(part(running, "choice", chosen=1, seen=shown, **{"in": ["jar 1", "jar 2", "can 3"]}))
    litres = [float(re.search(r"What is in makes ([\d.]+) L", said)[1]) for said in (few, more)]  # type: ignore[index]
    assert litres == [5.0, 7.0]
    for said in (few, more):
        assert re.search(r"it is [\d.]+ L \([\d.–]+\) for the cask, which takes 24.2 L from 2 runs", said)
        assert "feints, next batch" in said


def test_a_jar_that_came_after_the_tap_is_judged_by_its_marks(running) -> None:
    page = part(running, "shelf", chosen=1, seen="foreshots,jar 1", **{"in": ["jar 1"]}).text
    assert re.findall(r'value="([^"]+)" checked', page) == ["jar 1", "jar 2", "can 3"]


@pytest.mark.parametrize("way", ["cut", "free"])
def test_the_best_choice_comes_on_request_and_says_how_near(running, way: str) -> None:
    said = text_of(part(running, "shelf", best=way))
    assert "comes to at most" in said, "two spirit runs are planned, and this is the first"
    assert "The nearest to it is taken in below." in said


def test_without_script_a_form_works_the_choice_out(running) -> None:
    answer = running.browser.get(f"{PAGE}?of=run-1&chosen=1&seen=foreshots,jar 1,jar 2,can 3&in=jar 1")
    assert "What is in makes 1.00 L" in text_of(answer)
    assert '<noscript><button class="alt">Work it out' in answer.text


def test_a_page_waits_for_no_forecast(make_desk, monkeypatch) -> None:
    monkeypatch.setattr(Thoughts, "_wake", lambda self: None)
    desk = planned(make_desk, *RUN)
    page = desk.browser.get(PAGE)
    assert page.status_code == 200
    assert "Working out how it may go" in page.text
    assert "No plan is kept" not in page.text
    forms = page.text.count('action="/record"')
    assert forms == 6, "first drop, receiver, reading, mark, choice, note"
    for name in ("now", "chart", "shelf"):
        assert "load delay" in part(desk, name).text


def test_the_forecast_of_before_is_shown_while_a_reading_is_thought_over(running, monkeypatch) -> None:
    monkeypatch.setattr(Thoughts, "of", lambda self, record: _never(record))
    send(running, "run 7.6 L: 71.5 %")
    said = part(running, "now").text
    assert "from before the last reading" in said
    assert "load delay" in said
    assert "to go" in said


def _never(record):
    from caskward.desk.thoughts import Thought

    return Thought(record)


def test_a_strip_has_its_own_page_without_a_choice(make_desk) -> None:
    desk = planned(make_desk, BEFORE[0], "begins: strip 1", "can: 20 L, 34 %", "strip 21 L: 9 %")
    page = desk.browser.get(f"{PAGE}?wait=1")
    said = text_of(page)
    assert "Strip 1 of 4" in said
    assert re.search(r"21\.0 L over; [\d.]+ L \([\d.–]+\) to the stop", said)
    assert "can 1" in said
    assert 'name="in"' not in page.text
    assert "Record this choice" not in said


def test_a_batch_without_a_plan_still_records_its_run(desk) -> None:
    desk.send("/record", {"verb": "measure", "words": "run 1 jar: 1 L, 70 %", "batch": "rye 4", "key": "a"})
    said = text_of(desk.browser.get("/batches/rye 4/run?of=run-1"))
    assert "1.00 L over." in said
    assert "What is in makes 1.00 L" in said
    assert "No plan is kept with this batch" in said
    assert "Against the forecast" in said


def test_gallons_and_proof_for_who_counts_so(running) -> None:
    running.browser.cookies.set("caskward-units", "us")
    said = text_of(running.browser.get(PAGE))
    assert "1.93 gal over" in said
    assert "Strength at the spout, proof, against gallons over" in said
    assert re.search(r"it is [\d.]+ gal \([\d.–]+\) for the cask", said)
    assert "run 1 at 1.928 gal" in running.browser.get(PAGE).text


# What is recorded from it ------------------------------------------------------------------------


def test_the_receiver_is_changed_by_one_press(running) -> None:
    answer = send(running, "1 L", "jar")
    assert answer.json()["said"][0].endswith("measured jar 4: 1 L.")
    assert send(running, "1 L", "jar").json()["repeated"], "sent twice, it is one jar"
    assert rows_of(running)[-1] == "jar 4: 1 L"
    assert 'value="jar 4"' in part(running, "shelf").text


def test_a_reading_goes_to_the_litres_that_stood_there_or_to_its_own(running) -> None:
    page = part(running, "at").text
    assert 'value="run 1 at 7.3 L"' in page
    send(running, "71.0 % at 24 C, head 87.0 C", "run 1 at 8 L", "a")
    send(running, "9 L: 70 %", "run 1 at 8 L", "b")
    assert rows_of(running)[-2:] == ("run 1 at 8 L: 71.0 % at 24 C, head 87.0 C", "run 1 at 9 L: 70 %")
    assert "9.00 L over" in text_of(part(running, "now"))


def form_of(page: str, name: str) -> tuple[str, ...]:
    """What a form's choice, or its hidden beginning, sends as the beginning of a row."""
    return tuple(re.findall(rf'<(?:option|input)[^>]*value="({name}[^"]*)"', page))


def test_two_phones_on_two_runs_do_not_spoil_each_others_log(make_desk) -> None:
    desk = planned(make_desk, BEFORE[0], "strip 3 can: 20 L, 34 %", "heart: 5 L, 70 %")
    strip = desk.browser.get(f"{PAGE}?of=strip-3").text
    spirit = desk.browser.get(f"{PAGE}?of=run-1").text
    assert form_of(strip, "strip 3 ")[:2] == ("strip 3 can", "strip 3 jar")
    assert form_of(spirit, "run 1 [jcf]")[:3] == ("run 1 jar", "run 1 can", "run 1 foreshots")
    for key, (before, words) in enumerate(
        [
            ("strip 3 can", "21 L"),
            ("run 1 jar", "1 L"),
            ("strip 3 at 41 L", "9 %"),
            ("strip 3 can", "can 9: 2 L"),
        ]
    ):
        assert send(desk, words, before, f"k{key}").status_code == 200
    log = batch_record.record_of(desk.house.book.to_read(), "rye 5").runs
    assert [one.name for one in log.of_run(("strip", 3))] == ["can 1", "can 2", "can 9"]
    assert [one.name for one in log.of_run(("run", 1))] == ["jar 1"]
    assert log.spouts[-1].of == ("strip", 3)


def test_strips_that_the_book_has_are_counted(make_desk) -> None:
    desk = make_desk(empty=True)
    write_today(os.environ["CASKWARD_BOOK"])
    said = text_of(desk.browser.get(PAGE))
    assert said.startswith("Strip 3"), "two stand in the book"
    assert "Strip 1 in the book Strip 2 in the book Strip 3 here Strip 4 to come" in said
    assert "Strip 1 is over: it stands in the book." in text_of(desk.browser.get(f"{PAGE}?of=strip-1"))
    send(desk, "strip: 60 L, 26 %")
    send(desk, "20 L, 34 %", "strip 3 can", "c")
    log = batch_record.record_of(desk.house.book.to_read(), "rye 5").runs
    assert [one.of for one in log.receivers] == [("strip", 3)]
    assert text_of(desk.browser.get(PAGE)).startswith("Strip 3")


def test_when_the_book_has_every_strip_none_is_read_or_begun(make_desk) -> None:
    """A first drop on the run's page, and the strip itself as a deed: the deed says that it is over."""
    desk = make_desk(empty=True)
    write_today(os.environ["CASKWARD_BOOK"])
    assert batch_follow.come_to(rye_5(desk)) == "strip", "two of four stand in the book"
    send(desk, "begins: strip 3")
    book = desk.house.book.to_write()
    for _ in range(2):
        for verb, words in (
            ("move", "tub to still 70 L 8.6 % at 20 C"),
            ("distil", 'still into "low wines" 23 L 25.7 % at 20 C, left 46 L 0.2 % at 20 C'),
        ):
            verbs.done_in(book, Asked(verb, tuple(shlex.split(words))), Doing(by="Maud", batch="rye 5"))
    assert batch_follow.come_to(rye_5(desk)) == "charge"
    said = text_of(desk.browser.get(f"{PAGE}?of=run-1"))
    assert "Strip 3 in the book Strip 4 in the book Spirit run 1 here" in said


def rye_5(desk: Desk):
    return batch_record.record_of(desk.house.book.to_read(), "rye 5")


def test_the_mark_of_a_jar_moves_it_out(running) -> None:
    send(running, "out, soap", "can 3")
    said = part(running, "shelf").text
    assert 'value="can 3">' in said
    assert "out, soap" in html.unescape(said)


def chosen_in(desk: Desk, **asked: str) -> str:
    found = re.search(r'value="([^"]*)" selected', part(desk, "which", **asked).text)
    assert found
    return found[1]


def test_the_newest_jar_is_the_one_that_is_smelled(running) -> None:
    assert chosen_in(running) == "run 1 can 3"
    kept = {"before": "run 1 jar 1", "newest": "run 1 can 3"}
    assert chosen_in(running, **kept) == "run 1 jar 1", "nothing came meanwhile"
    send(running, "1 L", "run 1 jar")
    assert chosen_in(running, **kept) == "run 1 jar 4"
    assert chosen_in(running, words="+1, br", **kept) == "run 1 jar 1", "somebody types"
    send(running, "+1, bread", "run 1 jar 4", "m")
    assert batch_record.record_of(running.house.book.to_read(), "rye 5").runs.receivers[-1].smells == (
        "bread",
    )


def test_foreshots_are_never_smelled_by_default_and_stay_out(make_desk) -> None:
    desk = planned(make_desk, *BEFORE, "run 1 foreshots: 0.3 L, 77 %")
    assert chosen_in(desk) == "jar"
    answer = send(desk, "in", "run 1 foreshots")
    assert answer.status_code == 422
    assert answer.json()["error"].startswith("Foreshots stay out")
    send(desk, "1 L", "run 1 jar", "j")
    assert chosen_in(desk) == "run 1 jar 1"


def test_the_choice_becomes_the_record_once(running) -> None:
    found = part(running, "choice")
    assert "Recorded now, it is the heart of spirit run 1 of 2." in text_of(found)
    words = re.search(r'name="words" value="(run 1 taken[^"]+)"', found.text)
    assert words
    sure = text_of(running.browser.get("/batches/rye 5/parts/sure"))
    assert send(running, html.unescape(words[1])).status_code == 200
    assert rows_of(running)[-2] == "run 1 taken: jar 2, can 3"
    assert rows_of(running)[-1].startswith("run 1 heart: 6.00 L, 7")
    after = part(running, "choice")
    assert "Recorded as taken: jar 2, can 3" in text_of(after)
    assert 'name="words" value=""' in after.text
    assert text_of(running.browser.get("/batches/rye 5/parts/sure")) == sure, "it is no whole heart"


def test_the_last_run_adds_to_what_is_recorded_of_the_first(make_desk) -> None:
    of_1 = (
        "run 1 taken: jar 2, can 3",
        "run 1 heart: 6.00 L, 74 %",
        "begins: run 2",
        "run 2 jar: 1 L, 70 %, +1",
    )
    desk = planned(make_desk, *RUN, *of_1)
    assert 'value="taken' not in part(desk, "choice", of="run-2").text, (
        "a jar waits for what is expected of it"
    )
    desk.browser.get(f"{PAGE}?of=run-2&wait=1")
    shelf = part(
        desk, "shelf", of="run-2", chosen=1, seen="jar 1,jar 2,can 3,jar 4", **{"in": ["jar 1"]}
    ).text
    names = re.findall(r'name="in" value="([^"]+)"( checked)?( disabled)?', shelf)
    assert names == [
        ("foreshots", "", " disabled"),
        ("jar 1", "", " disabled"),
        ("jar 2", " checked", " disabled"),
        ("can 3", " checked", " disabled"),
        ("jar 4", "", ""),
    ]
    words = re.search(r'name="words" value="(taken[^"]+)"', part(desk, "choice", of="run-2").text)
    assert words
    assert html.unescape(words[1]).startswith("taken: jar 2, can 3, jar 4\nheart: 7.00 L")
    assert "Recorded as taken: jar 2, can 3." in text_of(part(desk, "choice", of="run-1"))


def test_the_batch_says_of_a_heart_from_jars_what_run_day_says(make_desk) -> None:
    runs = [
        (f"run {n} jar: 1 L, 76.8 %, -1", f"run {n} can: 9.5 L, 74 %, +1", f"run {n} can: 4 L, 60 %, -1")
        for n in (1, 2)
    ]
    heart = ("taken: can 2, can 5", "heart: 19.00 L, 74.0 %")
    desk = planned(make_desk, *BEFORE, *runs[0], *runs[1], *heart)
    page = text_of(desk.browser.get("/batches/rye 5?wait=1"))
    chosen = text_of(part(desk, "choice", of="run-2"))
    run_l = re.search(r"fills the cask to ([\d.]+) L .*? of 24.2 L, full with under 1 in 100", chosen)
    batch_l = re.search(r"fills with under 1 in 100 confidence. Expect ([\d.]+) L", page)
    assert run_l
    assert batch_l
    assert float(batch_l[1]) == pytest.approx(float(run_l[1]), abs=0.3), "what is left in pipes lies between"
    assert "Hard to believe" not in page


@pytest.mark.parametrize(
    "words",
    [
        "1",
        "99 %",
        "1 furlong",
        "<script>alert(1)</script>",
        "{{ 7*7 }} L",
        "1 L, 2 L",
        "jar jar: jar",
        "9" * 3000,
    ],
)
def test_what_cannot_be_is_refused_with_a_sentence_and_not_entered(running, words: str) -> None:
    newest = running.house.book.newest()
    answer = send(running, words, "jar 1")
    assert answer.status_code == 422
    assert len(answer.json()["error"]) > 20
    assert running.house.book.newest() == newest


def test_hostile_words_stay_words(running) -> None:
    send(running, "+1, <b onclick=x>&\"'", "jar 1")
    page = running.browser.get(PAGE).text
    assert "<b onclick" not in page


@pytest.mark.parametrize(
    "path",
    [f"{PAGE}?of=run-0", f"{PAGE}?of=mash-1", f"{PAGE}/nothing", f"{PAGE}?of=run-1%00", "/batches/none/run"],
)
def test_what_is_not_there_is_not_found(desk, path: str) -> None:
    desk.send("/record", {"verb": "begin", "words": "rye 5", "key": "a"})
    assert desk.browser.get(path).status_code in (200, 404) if "%00" in path else 404
    if "%00" not in path:
        assert desk.browser.get(path).status_code == 404


def test_odd_words_in_the_address_do_no_harm(running) -> None:
    for asked in ({"best": "x"}, {"chosen": "1", "in": ["nope"] * 200}, {"chosen": "1", "seen": "<script>"}):
        assert part(running, "shelf", **asked).status_code == 200
    assert part(running, "which", before="<script>", newest="<script>").text.count("<script") == 0


def test_every_run_of_the_plan_can_be_gone_to(running) -> None:
    said = text_of(part(running, "runs"))
    assert "Strip 4 not recorded here Spirit run 1 here Spirit run 2 to come" in said


# Who may, and how one comes there ----------------------------------------------------------------


def test_a_reader_looks_and_a_helper_records(lan_desk) -> None:
    book = lan_desk.house.book.to_write()
    verbs.done_in(book, Asked("measure", ("jar: 1 L, 70 %",)), Doing(by="Maud", batch="rye 4"))
    lan_desk.sign_in("Wren")
    page = lan_desk.browser.get("/batches/rye 4/run?of=run-1")
    assert page.status_code == 200
    assert 'action="/record"' not in page.text
    assert "What is in makes" in page.text
    fields = {"verb": "measure", "words": "jar: 1 L", "batch": "rye 4", "key": "a"}
    assert lan_desk.send("/record", fields).status_code == 403
    lan_desk.send("/sign-out", {})
    lan_desk.sign_in("Jory")
    assert 'action="/record"' in lan_desk.browser.get("/batches/rye 4/run?of=run-1").text
    assert lan_desk.send("/record", fields).status_code == 303


def test_parts_need_a_sign_in(lan_desk) -> None:
    for name in ("now", "shelf", "choice"):
        answer = lan_desk.browser.get(
            f"/batches/rye 4/run/{name}", headers={"HX-Request": "true", "origin": ORIGIN}
        )
        assert answer.status_code == 401


def test_the_batch_and_the_bench_lead_to_it_when_the_still_is_next(make_desk) -> None:
    desk = planned(make_desk, BEFORE[0])
    for path in ("/", "/batches/rye 5"):
        assert 'href="/batches/rye%205/run"' in desk.browser.get(path).text
    assert "Strip 1" in text_of(desk.browser.get(PAGE)), "a gauged wash goes to the still"


def test_a_batch_in_its_tub_has_no_way_to_the_still_yet(make_desk) -> None:
    desk = planned(make_desk, "mash 1 h: 61 C")
    assert "/run" not in re.findall(r'href="([^"]+)"', desk.browser.get("/").text)


def test_receivers_go_into_the_accounts_where_the_book_has_their_charge(make_desk) -> None:
    desk = make_desk(empty=True)
    book = desk.house.book.to_write()
    for verb, words in CHARGED:
        book_done(book, verb, words)
    for row in ("begins: run 1", "jar: 1 L, 76.8 %"):
        book_done(book, "measure", row)
    page = html.unescape(desk.browser.get(PAGE).text)
    words = re.search(r'<textarea[^>]*name="words"[^>]*>("pot still" into [^<]*)</textarea>', page)
    assert words
    fields = {"verb": "distil", "words": words[1], "batch": "rye 5", "key": "d"}
    assert desk.send("/record", fields).status_code == 303
    assert "in the accounts" not in desk.browser.get(PAGE).text, "the still is empty"
    assert book.balances("jar/")["jar/1"]["alcohol"] == pytest.approx(768_000, abs=1000)
