"""What the Bench says to do next: the stage at hand, its deed ready to be pressed, its clock, what is due."""

from __future__ import annotations

import html
import re
import shlex
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from caskward.desk import act_parts, wall_clock
from caskward.planning.plan import Band
from caskward.planning.readings import QUANTITIES, STAGES
from caskward.services import batch_answers
from caskward.services.book import (
    at_hand,
    batch_follow,
    batch_record,
    batch_work,
    next_act,
    ready_deeds,
    to_cask,
    verbs,
)
from caskward.services.book.asked import Asked
from caskward.services.plan_doubt import Possible
from tests.desk.conftest import Desk
from tests.desk.test_batches import MAUD, planned, text_of

NOW = datetime.now().astimezone().replace(microsecond=0)
STORES = ("100 kg rye", "50 kg oats", '50 kg "malted barley"', "1 kg yeast")


class Batch:
    """A planned batch over a book with stores, whose deeds are of moments some hours ago."""

    def __init__(self, desk: Desk) -> None:
        self.book = desk.house.book.to_write()
        self.do("declare", '"mash tub" 600 L', 300.0, batch="")
        for goods in STORES:
            self.do("receive", f'{goods} from "Hill Farm"', 300.0, batch="")
        of = self.record()
        self.cards = batch_work.by_key(batch_follow.cards_of(batch_follow.opened(self.book, of)))

    def record(self):
        return batch_record.record_of(self.book, "rye 5")

    def do(self, verb: str, words: str, ago_h: float = 0.0, batch: str = "rye 5") -> None:
        parts = (words,) if verb == "measure" else tuple(shlex.split(words))
        at = (NOW - timedelta(hours=ago_h)).isoformat()
        verbs.done_in(self.book, Asked(verb, parts), replace(MAUD, batch=batch, at=at))

    def act(self, ago_h: float = 0.0, system="metric"):
        return next_act.next_act(self.record(), self.cards, NOW - timedelta(hours=ago_h), system)

    def ready(self, system="metric"):
        of = self.record()
        work = batch_work.work_at(of, self.cards, NOW)
        around = ready_deeds.around(self.book, at_hand.read(self.book))
        return ready_deeds.ready(around, of, self.cards, work, system, NOW)


@pytest.fixture
def batch(make_desk) -> Batch:
    return Batch(planned(make_desk))


def test_every_cook_is_said_with_its_kilos_and_pressed_until_the_yeast_is_in(batch) -> None:
    buttons, ago_h = [], 100.0
    while (ready := batch.ready()) is not None:
        title = batch.act(ago_h).title
        buttons.append((title, ready.button))
        batch.do(ready.verb, ready.words, ago_h)
        ago_h -= 2.0
    assert buttons[:4] == [(f"Cook {n} of 4", f"Cook {n} is in the tub") for n in (1, 2, 3, 4)]
    assert [button for _, button in buttons[4:]] == ["All is together in the tub", "The yeast is in"]
    book = batch.book.balances("vessel/mash tub")["vessel/mash tub"]["bulk"] / 1e6
    tub = batch_work.figure_of(batch.cards["pitch"], "volume")
    assert book == pytest.approx(tub.mid, rel=0.03), "what was pressed adds up to the plan's tub"
    assert batch.act().work.key == "ferment"
    assert batch.act().begun == NOW - timedelta(hours=ago_h + 2.0), "its clock counts from the yeast"


def test_a_tub_with_another_batch_in_it_is_said_and_its_litres_are_not_counted(batch) -> None:
    alone = batch.ready()
    batch.do("begin", "rye 6", batch="")
    batch.do("mash", '20 kg rye into "mash tub" 100 L', 5.0, batch="rye 6")
    taken = batch.ready()
    assert taken.words == alone.words
    assert taken.taken == (
        "In mash tub the book still has 100 L, of something else: empty it first, or name another tub."
    )
    batch.do("declare", '"second tub" 600 L', batch="")
    other = batch.ready()
    assert other.words == alone.words.replace("mash tub", "second tub"), "an empty one is taken"
    assert other.taken == ""
    batch.do(other.verb, other.words, 4.0)
    assert batch.ready().taken == "", "what is in it now is its own"


def test_a_cook_is_said_as_the_plan_has_it(batch) -> None:
    act, card = batch.act(), batch.cards["cook"]
    for key, unit in (("kg.rye", "kg rye"), ("kg.oats", "kg oats"), ("water", "L water")):
        found = batch_work.figure_of(card, key)
        assert f"{found.mid:.3g} {unit}" in act.do
    assert act.do.endswith("heat to 85.0 °C, hold 45 min.")
    assert act.due == ()
    us = batch.act(system="us")
    assert "lb rye" in us.do
    assert "gal water" in us.do
    assert "185.0 °F" in us.do


def test_units_of_the_maker_are_understood_when_they_are_pressed(batch) -> None:
    ready = batch.ready("us")
    assert "lb rye" in ready.words
    batch.do(ready.verb, ready.words, 10.0)
    assert batch.act().title == "Cook 2 of 4"


def stand(batch: Batch, ago_h: float) -> None:
    """All in the tub so long ago."""
    batch.do("mash", '40 kg rye, 20 kg oats, 30 kg "malted barley" into "mash tub" 470 L', ago_h)
    batch.do("measure", "mash 0 min: 62 C", ago_h)


def test_cooks_told_at_once_are_counted_by_their_kilos(batch) -> None:
    batch.do("mash", '32 kg rye, 11.8 kg oats into "mash tub" 180 L', 10.0)
    assert batch.act().title == "Cook 3 of 4"
    batch.do("mash", '32 kg rye, 11.8 kg oats into "mash tub" 360 L', 9.0)
    assert batch.act().title == "Bring the mash together"


def test_what_is_due_is_said_before_and_after(batch) -> None:
    stand(batch, 10.0)
    assert batch.act(9.9).due == ()
    assert batch.act(9.6).due == ("The starch test is due in 6 min.",)
    assert batch.act(9.0).due == ("The starch test was due 30 min ago.",)
    assert batch.act(8.0).due == ("Its hold ended 30 min ago.", "The starch test was due 1 h 30 min ago.")
    batch.do("measure", "mash 35 min: starch blue", 9.4)
    assert batch.act(9.0).due == ()
    batch.do("measure", "mash 90 min: starch clear", 8.5)
    assert batch.act(8.0).title == "Pitch"


def test_no_yeast_is_offered_to_a_mash_that_rests_hot(batch) -> None:
    stand(batch, 0.5)
    assert batch.act().title == "The mash rests"
    assert batch.ready() is None
    batch.do("measure", "mash 25 min: starch clear")
    assert batch.act().do.startswith("Cool to ")
    assert batch.ready().button.startswith(("The yeast is in", "All is in"))


def test_a_ferment_that_should_be_dry_is_asked_after(batch) -> None:
    stand(batch, 250.0)
    batch.do("add", '200 g yeast to "mash tub"', 240.0)
    assert batch.act(230.0).due == ()
    assert "may be dry" in batch.act(180.0).due[0]
    assert "should be dry" in batch.act(0.0).due[0]
    batch.do("measure", "ferment 60 h: 1.047, 22 C", 180.0)
    assert batch.act(179.0).due == ("It was not dry when you read it last: its Tub says what now.",)
    assert "may be dry" in batch.act(167.0).due[0]
    batch.do("measure", "ferment 9 d: 0.998, 22 C", 10.0)
    assert batch.act().title.startswith("Take the wash off")


def test_strips_are_counted_and_then_the_charge(batch) -> None:
    batch.do("measure", "wash: 8.4 %, 330 L")
    assert batch.act().title == "Strip 1 of 4"
    batch.do("measure", "strip: 110 L, 26 %")
    assert batch.act().title == "Make up the charge"
    batch.do("measure", "charge: 119 L, 26 %")
    assert batch.act().title.startswith("Spirit run")
    batch.do("measure", "heart: 22 L, 70 %")
    assert batch.act() is None, "the way from heart to cask leads on"


def test_cooks_and_malt_that_the_book_lacks_are_said_once_it_ferments(batch) -> None:
    batch.do("mash", '16 kg rye, 5.9 kg oats into "mash tub" 90 L', 30.0)
    batch.do("mash", '29 kg "malted barley" into "mash tub" 120 L', 29.0)
    batch.do("add", '200 g yeast to "mash tub"', 20.0)
    assert batch.act().title == "It ferments"
    said = "1 of 4 cooks is in the book; record the others if they are in the tub."
    assert said in batch.act().more
    batch.do("mash", '16 kg rye, 5.9 kg oats into "mash tub" 210 L', 28.0)
    batch.do("mash", '16 kg rye, 5.9 kg oats into "mash tub" 300 L', 27.0)
    said = "3 of 4 cooks are in the book; record the fourth if it is in the tub."
    assert said in batch.act().more
    batch.do("mash", '16 kg rye, 5.9 kg oats into "mash tub" 390 L', 26.0)
    assert not any("in the book" in one for one in batch.act().more)


def test_malt_that_the_book_lacks_is_said_once_it_ferments(batch) -> None:
    batch.do("mash", '64 kg rye, 23.6 kg oats into "mash tub" 400 L', 30.0)
    batch.do("add", '200 g yeast to "mash tub"', 20.0)
    said = "Nothing of the malted barley is in the book; record it if it is in the tub."
    assert batch.act().more[-1] == said
    batch.do("mash", '29 kg "malted barley" into "mash tub" 480 L', 25.0)
    assert said not in batch.act().more
    assert not any("cooks" in one for one in batch.act().more)


def test_a_mash_that_was_only_read_lacks_nothing(batch) -> None:
    batch.do("measure", "mash 0 min: 62 C", 30.0)
    batch.do("add", '200 g yeast to "mash tub"', 20.0)
    assert batch.act().title == "It ferments"
    assert not any("in the book" in one for one in batch.act().more)


def test_an_enzyme_is_no_cook(batch) -> None:
    batch.do("receive", '200 g "thinning enzyme" from "Hill Farm"', 300.0, batch="")
    batch.do("mash", '16 kg rye, 5.9 kg oats into "mash tub" 90 L', 30.0)
    batch.do("add", '20 g "thinning enzyme" to "mash tub"', 29.0)
    assert batch.act().title == "Cook 2 of 4"


# Several spirit runs -----------------------------------------------------------------------------

RUN_1 = ("begins: run 1", "jar 1: 5 L, 70 %", "jar 2: 6 L, 68 %", "jar 3: 4 L, 62 %")


def after_run_1(batch: Batch) -> None:
    """Run 1 of two in the accounts, and its own heart chosen; half of the low wines wait."""
    for words in ('"low wines" 150 L', "still 150 L", "spirit 60 L"):
        batch.do("declare", words, 60.0, batch="")
    batch.do("receive", '120 L 26 % at 20 C into "low wines" from "Old Mill"', 60.0, batch="")
    batch.do("move", '"low wines" to still 60 L', 50.0)
    for row in RUN_1:
        batch.do("measure", row, 48.0)
    into = '"jar 1" 5 L 70 % at 20 C, "jar 2" 6 L 68 % at 20 C, "jar 3" 4 L 62 % at 20 C'
    batch.do("distil", f"still into {into}, left 44 L 10.2 % at 20 C", 46.0)
    batch.do("measure", "run 1 taken: jar 1, jar 2", 45.0)
    batch.do("measure", "run 1 heart: 11 L, 68.9 %", 45.0)


def to_the_cask(batch: Batch):
    return to_cask.step_of(batch.book, batch.record(), "metric")


def test_the_second_spirit_run_comes_before_the_cask(batch) -> None:
    after_run_1(batch)
    assert batch.act().title == "Spirit run 2 of 2"
    assert to_the_cask(batch) is None
    assert not any("not in the accounts" in one for one in batch.act().more)
    batch.do("vat", '"jar 1" all, "jar 2" all into spirit', 44.0)
    assert batch.act().title == "Spirit run 2 of 2", "jars are emptied for the next run"
    assert to_the_cask(batch) is None
    batch.do("measure", "begins: run 2", 30.0)
    assert batch.act().title == "Spirit run 2 of 2 goes on"
    batch.do("measure", "run 2 jar 4: 6 L, 70 %", 29.0)
    batch.do("measure", "run 2 taken: jar 4", 28.0)
    assert batch.act() is None, "both are chosen"
    assert to_the_cask(batch).kind == "reduce"


def test_a_run_whose_heart_is_chosen_goes_on_no_more(batch) -> None:
    for row in (*RUN_1, "run 1 taken: jar 1, jar 2"):
        batch.do("measure", row, 48.0)
    assert batch.act().title == "Spirit run 2 of 2"
    assert "Spirit run 1 is not in the accounts yet: Run day has the deed ready." in batch.act().more
    assert to_the_cask(batch) is None


@pytest.mark.parametrize("whole", ["taken: jar 1, jar 2", "heart: 11 L, 68.9 %"])
def test_a_maker_who_stops_after_one_run_says_so_by_the_whole_heart(batch, whole) -> None:
    after_run_1(batch)
    batch.do("measure", whole, 40.0)
    assert batch.act() is None
    assert to_the_cask(batch).kind == "vat"


def test_a_heart_that_is_brought_down_or_filled_is_whole(batch) -> None:
    after_run_1(batch)
    batch.do("vat", '"jar 1" all, "jar 2" all into spirit', 44.0)
    batch.do("reduce", "spirit 0.9 kg", 43.0)
    assert batch.act() is None
    assert to_the_cask(batch).kind == "reduce"
    batch.do("declare", '"cask 1" 25 L', 42.0, batch="")
    batch.do("fill", 'spirit "cask 1" all', 41.0)
    assert batch.act() is None
    assert to_the_cask(batch).kind == "filled"


def test_low_wines_brought_down_for_the_second_run_are_no_heart(batch) -> None:
    after_run_1(batch)
    batch.do("reduce", '"low wines" 2 kg', 43.0)
    assert batch.act().title == "Spirit run 2 of 2"


def test_how_to_stop_early_is_said_in_the_makers_units(batch) -> None:
    after_run_1(batch)
    for system in ("metric", "us"):
        said = batch.act(system=system).more[-1]
        row = re.fullmatch(
            r"To stop after run 1, record the whole heart instead, such as (heart: .*)\.", said
        )
        assert row
        assert [one.stage for one in batch_record.readings_in(row[1])] == ["heart", "heart"]


# On the pages ------------------------------------------------------------------------------------


def form_of(page: str, name: str) -> dict[str, str]:
    """Fields of a page's form, by how its id begins."""
    form = re.search(rf'<form id="{name}-.*?</form>', page, re.DOTALL)
    assert form
    fields = dict(re.findall(r'<input [^>]*?name="(\w+)" value="([^"]*)"', form[0]))
    fields |= dict(re.findall(r'<textarea [^>]*?name="(\w+)"[^>]*>([^<]*)</textarea>', form[0]))
    return {key: html.unescape(value) for key, value in fields.items()}


@pytest.mark.parametrize("path", ["/", "/batches/rye 5"])
def test_a_cook_is_recorded_by_its_button(make_desk, path) -> None:
    desk = planned(make_desk)
    Batch(desk)
    desk.browser.get("/batches/rye 5?wait=1")
    page = desk.browser.get(path)
    assert "Cook 1 of 4" in text_of(page)
    assert "Cook 1 is in the tub" in text_of(page)
    fields = form_of(page.text, "deed")
    assert fields["words"].endswith("at 85.0 C")
    answer = desk.send("/record", fields, accept="application/json")
    assert answer.status_code == 200
    assert "Cook 2 is in the tub" in text_of(desk.browser.get(path))


@pytest.mark.parametrize("path", ["/", "/batches/rye 5"])
def test_the_pages_name_the_second_spirit_run_and_no_cask(make_desk, path) -> None:
    desk = planned(make_desk)
    after_run_1(Batch(desk))
    desk.browser.get("/batches/rye 5?wait=1")
    said = text_of(desk.browser.get(path))
    assert "Do next Spirit run 2 of 2" in said
    assert "Into the cask" not in said


def test_the_bench_says_how_sure_it_is_and_what_a_record_changed(make_desk) -> None:
    desk = planned(make_desk)
    desk.browser.get("/batches/rye 5?wait=1")
    before = re.search(
        r"The cask fills with (\d+ in \d+|\w[\w ]*?) confidence\.", text_of(desk.browser.get("/"))
    )
    assert before
    fields = {
        "verb": "measure",
        "batch": "rye 5",
        "words": "wash: 5.1 %, 300 L",
        "key": "k" * 24,
        "meant": "1",
    }
    assert desk.send("/record", fields, accept="application/json").status_code == 200
    desk.browser.get("/batches/rye 5?wait=1")
    said = text_of(desk.browser.get("/"))
    assert f"was {before[1]} before the last record" in said


def test_a_bare_reading_is_of_the_moment_that_the_clock_tells(make_desk, monkeypatch) -> None:
    desk = planned(make_desk)
    monkeypatch.setattr(wall_clock, "now", lambda: NOW)
    at = (NOW - timedelta(hours=2)).isoformat()
    book = desk.house.book.to_write()
    verbs.done_in(book, Asked("measure", ("mash 30 min: 64 C",)), replace(MAUD, batch="rye 5", at=at))
    desk.browser.get("/batches/rye 5?wait=1")
    for path in ("/", "/batches/rye 5"):
        fields = form_of(desk.browser.get(path).text, "reading")
        assert fields["before"] == "mash 2 h 30 min"


def test_once_the_yeast_is_in_the_ferment_is_read_and_no_mash(make_desk) -> None:
    desk = planned(make_desk, "mash 30 min: 64 C")
    thought = desk.house.thoughts.of(batch_record.record_of(desk.house.book.to_read(), "rye 5"))
    assert thought.part("next", 60.0) is not None
    assert next_said(desk).answer.stage == "mash"
    book = desk.house.book.to_write()
    for verb, words in (("receive", '1 kg yeast from "Hill Farm"'), ("declare", '"mash tub" 600 L')):
        verbs.done_in(book, Asked(verb, tuple(shlex.split(words))), replace(MAUD, batch=""))
    yeast = Asked("add", ("100", "g", "yeast", "to", "mash tub"))
    verbs.done_in(book, yeast, replace(MAUD, batch="rye 5", at=NOW.isoformat()))
    said = next_said(desk)
    assert said.answer.stage == "ferment"
    assert said.goes.before.startswith("ferment")
    for path in ("/", "/batches/rye 5"):
        fields = form_of(desk.browser.get(path).text, "reading")
        assert fields["before"].startswith("ferment"), path


def next_said(desk: Desk):
    of = batch_record.record_of(desk.house.book.to_read(), "rye 5")
    return act_parts.next_part(of, desk.house.thoughts.of(of), "metric")


def test_a_moment_that_the_book_does_not_tell_is_asked_for(make_desk) -> None:
    desk = planned(make_desk)
    page = desk.browser.get("/")
    assert form_of(page.text, "reading")["before"] == "mash"
    assert "add the time, such as mash 90 min" in text_of(page)


@pytest.mark.parametrize(
    "rows", [(), ("ferment 2 d: 1.010",), ("wash: 8.4 %, 330 L",), ("charge: 119 L, 26 %",)]
)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_before_anything_is_worked_out_the_example_is_taken_too(make_desk, monkeypatch, rows, system) -> None:
    from caskward.desk.thoughts import Thoughts

    monkeypatch.setattr(Thoughts, "_wake", lambda self: None)
    desk = planned(make_desk, *rows)
    of = batch_record.record_of(desk.house.book.to_read(), "rye 5")
    goes = act_parts.where_it_goes(of, None, system, NOW)
    before = f"{goes.before} 90 min" if goes.asks else goes.before
    assert batch_record.readings_in(batch_record.whole_row(before, goes.example))


@pytest.mark.parametrize("stage", STAGES)
@pytest.mark.parametrize("system", ["metric", "us"])
def test_every_example_is_read_as_what_it_is_an_example_of(stage, system) -> None:
    for kind in QUANTITIES.values():
        if stage not in kind.stages:
            continue
        middle = {"C": 62.0, "sg": 1.04, "": 5.4, "yes": 1.0, "pct_vol": 26.0}.get(kind.unit, 100.0)
        at_h = 2.0 if stage in ("mash", "ferment") else 0.0
        at_l = 12.0 if kind.key == "spout" or stage == "run" else 0.0
        one = Possible(
            stage, kind.key, kind.words, kind.unit, at_h, at_l, 1.0, 0.1, 1.0, 0.1,
            Band(middle, middle, middle), now=True,
        )  # fmt: skip
        row = f"{batch_answers.row_begin(one, system)}: {batch_answers._example(one, system)}"
        (read,) = batch_record.readings_in(row)
        assert (read.quantity, read.stage) == (kind.key, stage), row
