"""Every deed, asked for by every role, by every way into the book."""

from __future__ import annotations

import pytest

from caskward.errors.desk import NotYourRole
from caskward.services.book import batches, marks, marks_kept, verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.roles import NEEDED, ROLES, may_do, needed_for
from tests.desk.conftest import Desk

PEOPLE = {"reader": "Wren", "helper": "Jory", "maker": "Maud"}
OWN = {"declare", "begin", "close"}
"""What a helper does not do, as the how-to says it."""
WORDS = {"measure": "wash: 7 %, 300 L", "note": "a note", "declare": "tub 99 20 L", "begin": "rye 99"}


def by_form(desk: Desk, verb: str, **headers: str):
    fields = {
        "verb": verb,
        "words": WORDS.get(verb, "nothing of the kind"),
        "key": f"form-{verb}-{len(headers)}",
    }
    return desk.send("/record", fields, **headers)


def by_script(desk: Desk, verb: str):
    return by_form(desk, verb, accept="application/json")


def refused(desk: Desk) -> int:
    file = desk.house.settings.folder / "refused.log"
    return file.read_text().count("NotYourRole") if file.exists() else 0


@pytest.mark.parametrize("role", ROLES)
def test_every_deed_by_every_way(lan_desk, role) -> None:
    desk = lan_desk
    desk.sign_in(PEOPLE[role])
    token = {"authorization": f"Bearer {desk.house.tokens.add('shed', role)}"}
    for verb in verbs.MAKERS:
        allowed = role == "maker" or (role == "helper" and verb not in OWN)
        before, noted = desk.house.book.newest(), refused(desk)
        sent = {"verb": verb, "words": WORDS.get(verb, "nothing of the kind"), "key": f"program-{verb}"}
        form, script = by_form(desk, verb), by_script(desk, verb)
        program = desk.browser.post("/api/v1/deeds", json=sent, headers=token)
        if allowed:
            assert {form.status_code, script.status_code, program.status_code} <= {200, 201, 303, 404, 422}
            assert refused(desk) == noted, verb
        else:
            assert (form.status_code, program.status_code) == (403, 403), verb
            assert script.status_code == (422 if role == "helper" else 403)
            assert "may not do this: it needs a" in script.json()["error"]
            assert (desk.house.book.newest(), refused(desk)) == (before, noted + 3), verb


@pytest.mark.parametrize("role", ROLES)
def test_batches_begin_and_end_by_a_maker_alone(lan_desk, role) -> None:
    desk, good = lan_desk, role == "maker"
    desk.sign_in(PEOPLE[role])
    token = {"authorization": f"Bearer {desk.house.tokens.add('shed', role)}"}
    before = desk.house.book.newest()
    answers = [
        desk.browser.post("/api/v1/batches", json={"name": "rye 98", "key": "begin-98"}, headers=token),
        desk.browser.post("/api/v1/batches/rye 98/close", json={"key": "close-98"}, headers=token),
        desk.send("/record", {"verb": "begin", "words": "rye 97", "key": "begin-97"}),
        desk.send("/batches/rye 97/close", {"key": "close-97"}),
    ]
    assert [one.status_code for one in answers] == ([201, 201, 303, 303] if good else [403] * 4)
    assert desk.house.book.newest() == before + (4 if good else 0)


@pytest.mark.parametrize("role", ROLES)
def test_no_page_offers_what_is_refused(lan_desk, role) -> None:
    desk = lan_desk
    desk.sign_in(PEOPLE[role])
    for path in ("/", "/book", "/batches", "/gear", "/casks", "/casks/3", "/stores", "/batches/rye 4"):
        text = desk.browser.get(path).text
        for verb in OWN:
            offers = f'<option value="{verb}"' in text or f'name="verb" value="{verb}"' in text
            assert role == "maker" or not offers, (path, verb)
    offered = desk.browser.get("/book").text
    assert ('<option value="gauge"' in offered) == (role != "reader")
    assert ('<option value="begin"' in offered) == (role == "maker")


def test_the_services_ask_for_themselves(desk) -> None:
    """A way in that forgets to ask is refused all the same."""
    book, jory = desk.house.book.to_write(), Doing(by="Jory", role="helper")
    for do in (
        lambda: batches.begin(book, Asked("begin", ("rye 96",)), jory),
        lambda: verbs.done_in(book, Asked("close", ("rye 4",)), jory),
        lambda: marks_kept.set_marks(book, marks.Marks(), Asked("marks"), jory),
        lambda: verbs.put_right(1, Asked("", ()), jory, "a slip"),
    ):
        with pytest.raises(NotYourRole, match="Jory may not"):
            do()
    assert desk.house.book.newest() == 240
    verbs.done_in(book, Asked("note", ("by Jory",)), jory)
    with pytest.raises(NotYourRole):
        verbs.done_in(book, Asked("note", ("by Wren",)), Doing(by="Wren", role="reader"))


def test_the_table_is_of_deeds_that_there_are() -> None:
    assert set(NEEDED) - {"plan", "correct", "marks"} == OWN <= set(verbs.MAKERS)
    assert needed_for("correct 12 fill") == "maker"
    assert not may_do("", "note")
    assert not may_do("king", "note")
