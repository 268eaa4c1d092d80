"""The interface for programs: what comes back agrees with the book, deeds are entered once, tokens hold."""

from __future__ import annotations

import hashlib
import html
import json
import re
import stat
from datetime import UTC, datetime

import jsonschema_rs
import pytest

from caskward.desk.api.app import make_api
from caskward.desk.tokens import BEGINS, Tokens
from caskward.desk.tries import FREE
from caskward.errors import InputError
from caskward.errors.desk_api import BadTokenName, NoSuchToken, TokenNameTaken
from caskward.services.book import at_hand, kept, look, shelf
from tests.desk.conftest import ORIGIN, Desk
from tests.desk.test_batches import planned
from tests.support.curl import asked_by

API = "/api/v1"


def bearer(desk: Desk, role: str = "helper", name: str = "shed sensor") -> dict[str, str]:
    return {"authorization": f"Bearer {desk.house.tokens.add(name, role)}"}


def ask(desk: Desk, path: str, **params: object):
    answer = desk.browser.get(f"{API}{path}", params=params)
    assert answer.status_code == 200, answer.text
    return answer.json()


def send(desk: Desk, path: str, headers: dict[str, str], **fields: object):
    return desk.browser.post(f"{API}{path}", json=fields, headers=headers)


# What comes back ---------------------------------------------------------------------------------


def test_places_hold_what_the_book_has(desk) -> None:
    book = desk.house.book.to_read()
    found = {one["account"]: one for one in ask(desk, "/gear", limit=500)["places"]}
    for account, there in look.balances(book).items():
        if account.startswith(("cask/", "vessel/", "jar/")) and there.get("bulk"):
            place = found[account]
            assert place["bulk_l"] == pytest.approx(there["bulk"] / 1e6, abs=5e-7)  # a half of 1 µL
            assert place["alcohol_l"] == pytest.approx(there.get("alcohol", 0) / 1e6, abs=5e-7)
            strong = 100.0 * there.get("alcohol", 0) / there["bulk"]
            assert place["strength_pct_vol"] == pytest.approx(strong, abs=1e-4)
    casks = ask(desk, "/casks")
    whole = sum(one["alcohol_l"] for one in found.values() if one["kind"] == "cask")
    assert casks["alcohol_l"] == pytest.approx(whole, abs=1e-6)
    assert casks["total"] == len(shelf.Shelf(at_hand.read(book), "metric").casks)


def test_an_entry_comes_back_as_it_is_hashed(desk) -> None:
    (kept_one,) = look.one(desk.house.book.to_read(), 200)
    found = ask(desk, "/entries/200")
    assert (found["hash"], found["by"], found["batch"]) == (kept_one.hash, "Jory", "rye 4")
    assert found["readings"][0]["typed"] == "0.999 at 30 C"
    assert found["details"] == look.entry_dict(kept_one)["details"]


def test_pages_lead_on_without_a_gap(desk) -> None:
    met, before = [], {}
    while True:
        page = ask(desk, "/entries", limit=100, **before)
        met += [one["number"] for one in page["entries"]]
        if page["before"] is None:
            break
        before = {"before": page["before"]}
    assert met == list(range(240, 0, -1))
    every = ask(desk, "/balances", limit=500)["balances"]
    parts = [ask(desk, "/balances", limit=7, skip=n)["balances"] for n in range(0, len(every), 7)]
    assert [one for part in parts for one in part] == every
    of_batch = ask(desk, "/entries", batch="rye 4", limit=500)["entries"]
    assert {one["batch"] for one in of_batch} == {"rye 4"}


def test_a_period_closes_exactly(desk) -> None:
    account = ask(desk, "/reports/period", period="2025")["account"]
    lines = sum(one["alcohol_ul"] for one in account["lines"])
    assert account["opening_ul"] + lines == account["closing_ul"]


def test_a_trace_goes_back_and_forward(desk) -> None:
    back = ask(desk, "/trace", of="cask 2")
    assert {"mass/rye"} <= {one["commodity"] for one in back["lots"]}
    forward = ask(desk, "/trace", of="rye 25-1", direction="forward")
    assert any(one["account"] == "cask/2" for one in forward["ends"])
    numbers = {one["step"] for one in back["steps"]}
    assert all({way["source"], way["target"]} <= numbers for way in back["ways"])


def test_what_takes_long_is_asked_for_again(desk, monkeypatch: pytest.MonkeyPatch) -> None:
    with monkeypatch.context() as patch:
        patch.setattr("caskward.desk.api.reports.LONGEST_WAIT_S", 0.0)
        first = desk.browser.get(f"{API}/trace", params={"of": "cask 2"})
    assert first.status_code == 503
    assert int(first.headers["retry-after"]) >= 1
    assert "Ask for the same again" in first.json()["error"]
    assert ask(desk, "/trace", of="cask 2")["account"] == "cask/2"


def test_what_stands_where_is_seen_anew_after_each_deed(desk) -> None:
    before = {one["account"]: one["bulk_l"] for one in ask(desk, "/casks")["places"]}
    said = {"verb": "sample", "words": "cask 3 100 mL tasting", "key": "sample-cask-3"}
    assert send(desk, "/deeds", bearer(desk), **said).status_code == 201
    after = {one["account"]: one["bulk_l"] for one in ask(desk, "/casks")["places"]}
    assert after["cask/3"] == pytest.approx(before["cask/3"] - 0.1, abs=1e-6)
    assert {**after, "cask/3": 0} == {**before, "cask/3": 0}


def test_stores_and_bottles_hold_what_is_left(desk) -> None:
    book = desk.house.book.to_read()
    lots = {one["account"]: one["amount"] for one in ask(desk, "/stores", limit=500)["lots"]}
    for account, there in look.balances(book, "lot").items():
        (commodity, amount), *_ = there.items()
        whole = amount if commodity.startswith("piece") else amount / 1e6
        assert lots[account] == pytest.approx(whole, abs=5e-7)
    bottles = ask(desk, "/bottles")["places"]
    held = look.balances(book, "bottles")
    assert {one["account"]: one["pieces"] for one in bottles} == {
        account: sum(n for what, n in there.items() if what.startswith("piece"))
        for account, there in held.items()
    }


def test_the_proof_is_the_books_own(desk) -> None:
    found = ask(desk, "/check")
    assert (found["whole"], found["head"]) == (True, kept.check().head)


def test_gauging_answers_in_figures_and_words(desk) -> None:
    found = ask(desk, "/gauging/strength", q="47 % at 28 C")
    value = found["figures"]["pct_vol"]
    assert f"{value['value']:.1f}" in found["headline"]
    assert value["low"] < value["value"] < value["high"]
    mixed = ask(desk, "/gauging/reduce", q="20 L 71.3 % to 63 %")
    inside = mixed["take"][0]["mass_kg"] + mixed["add"]["mass_kg"]
    assert mixed["makes"]["mass_kg"] == pytest.approx(inside, rel=1e-9)
    assert mixed["makes"]["alcohol_l"] == pytest.approx(20.0 * 0.713, rel=1e-6)
    assert "proof" in ask(desk, "/gauging/strength", q="60 % at 20 C", units="us")["headline"]


def test_an_empty_book_says_so(make_desk) -> None:
    desk = make_desk(empty=True)
    answer = desk.browser.get(f"{API}/batches")
    assert answer.status_code == 404
    assert "There is no book" in answer.json()["error"]
    assert send(desk, "/batches", bearer(desk, "maker"), name="rye 1", key="begin-rye-1").status_code == 201
    assert ask(desk, "/batches")["batches"] == [{"name": "rye 1", "is_open": True}]


@pytest.mark.parametrize(
    ("path", "number", "said"),
    [
        ("/batches/rye 9", 404, "no batch 'rye 9'"),
        ("/entries/999", 404, "There is no entry 999"),
        ("/casks/99", 404, "no place 'cask/99'"),
        ("/trace?of=nothing", 404, "No entry of the book names"),
        ("/entries?limt=3", 422, "Did you mean 'limit'?"),
        ("/entries?limit=many", 422, "'limit' ('many')"),
        ("/gauging/strength?q=warm", 422, "'warm'"),
        ("/reports/period?period=soon", 422, "soon"),
        ("/nothing", 404, "nothing at this address"),
        ("/batches/a%0Ab", 404, "nothing at this address"),
    ],
)
def test_what_cannot_be_answered_is_said_in_a_sentence(desk, path: str, number: int, said: str) -> None:
    answer = desk.browser.get(f"{API}{path}")
    assert answer.status_code == number
    assert said in answer.json()["error"]


# What is sent ------------------------------------------------------------------------------------


def test_a_deed_is_entered_once_under_the_tokens_name(desk) -> None:
    helper = bearer(desk)
    said = {"verb": "gauge", "words": "cask 3 23.1 L 59.8 % at 12 C", "key": "gauge-cask-3"}
    first = send(desk, "/deeds", helper, **said)
    again = send(desk, "/deeds", helper, **said)
    assert (first.status_code, again.status_code) == (201, 200)
    assert (first.json()["number"], again.json()["repeated"]) == (241, True)
    assert desk.house.book.newest() == 241
    assert ask(desk, "/entries/241")["by"] == "shed sensor"
    other = send(desk, "/deeds", helper, **{**said, "words": "cask 3 20 L 59.8 % at 12 C"})
    assert other.status_code == 409
    assert "belongs to entry 241" in other.json()["error"]


def test_a_reading_says_about_what_it_changes(make_desk) -> None:
    desk = planned(make_desk)
    helper = bearer(desk)
    before = ask(desk, "/batches/rye 5/forecast", wait_s=20)
    assert before["state"] == "ready", before
    assert 0.0 <= before["chance"] <= 1.0
    answer = send(
        desk, "/batches/rye 5/readings", helper, row="wash: 5 %, 300 L", key="a-weak-wash", wait_s=20
    )
    assert answer.status_code == 201, answer.text
    told = answer.json()
    assert told["chance_before"] == pytest.approx(before["chance"])
    assert told["chance"] <= told["chance_before"]
    assert told["fill_l"]["mid"] < before["fill_l"]["mid"]
    after = ask(desk, "/batches/rye 5/forecast", wait_s=20)
    assert after["fill_l"]["mid"] < before["fill_l"]["mid"]
    assert ask(desk, "/batches/rye 5")["rows"][-1]["row"] == "wash: 5 %, 300 L"
    assert any(one["planned_l"] for one in ask(desk, "/batches/rye 5")["reaches"])
    found = ask(desk, "/batches/rye 5/next", wait_s=20)
    assert found["state"] == "ready"
    assert all(one["expects"]["low"] <= one["expects"]["high"] for one in found["readings"])
    open_now = ask(desk, "/bench")["tasks"]
    assert "rye 5" in [one["batch"] for one in open_now]


def test_a_batch_begins_takes_a_note_and_closes(desk) -> None:
    helper, maker = bearer(desk), bearer(desk, "maker", "office")
    assert send(desk, "/batches", maker, name="rye 5", key="begin-rye-5").status_code == 201
    said = {"text": "two lines\nof words", "batch": "rye 5", "key": "note-rye-5"}
    assert send(desk, "/notes", helper, **said).status_code == 201
    assert send(desk, "/batches/rye 5/close", maker, key="close-rye-5").status_code == 201
    assert send(desk, "/batches/rye 5/close", maker, key="close-again").status_code == 422
    assert ask(desk, "/batches/rye 5")["is_open"] is False


def test_our_own_page_may_send_without_a_token_on_this_machine(desk) -> None:
    said = {"text": "from the desk's own page", "key": "from-our-page"}
    assert send(desk, "/notes", {"origin": ORIGIN}, **said).status_code == 201
    assert ask(desk, "/entries/241")["by"] == "Edda"
    assert send(desk, "/notes", {}, **{**said, "key": "from-nowhere"}).status_code == 401


@pytest.mark.parametrize(
    ("content", "kind", "number"),
    [
        ("text=hello", "application/x-www-form-urlencoded", 415),
        ('{"text": "x", "key": "12345678"}', "text/plain", 415),
        ('{"text": "x", "key": ', "application/json", 422),
        (b"\xff\xfe{}", "application/json", 422),
        ("[" * 30_000, "application/json", 422),
        ("[]", "application/json", 422),
        ('{"text": "x", "key": "12345678", "by": "Maud"}', "application/json", 422),
        ('{"text": "x", "key": "1234 5678"}', "application/json", 422),
    ],
)
def test_what_is_no_json_of_ours_is_refused(desk, content, kind: str, number: int) -> None:
    headers = {**bearer(desk), "content-type": kind}
    answer = desk.browser.post(f"{API}/notes", content=content, headers=headers)
    assert answer.status_code == number, answer.text
    assert set(answer.json()) == {"error"}
    assert desk.house.book.newest() == 240


def test_more_than_it_takes_is_refused_whatever_was_declared(make_desk) -> None:
    desk = make_desk(most_bytes=20_000)
    headers = {**bearer(desk), "content-type": "application/json"}

    def in_pieces():
        yield b'{"key": "12345678", "text": "'
        for _ in range(40):
            yield b"x" * 1000
        yield b'"}'

    for content in (b"".join(in_pieces()), in_pieces()):
        answer = desk.browser.post(f"{API}/notes", content=content, headers=headers)
        assert answer.status_code == 413
        assert "more than the desk takes" in answer.json()["error"]


def test_a_fault_of_our_own_is_data_without_its_insides(desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("secret inside")

    monkeypatch.setattr("caskward.desk.api.places.shelf_figures", broken)
    answer = desk.browser.get(f"{API}/casks")
    assert answer.status_code == 500
    assert "not your fault" in answer.json()["error"]
    assert "secret" not in answer.text


# Who may come in ---------------------------------------------------------------------------------


def test_from_the_network_everything_needs_a_token(lan_desk) -> None:
    lan_desk.sign_in("Maud")
    described = lan_desk.browser.get(f"{API}/openapi.json")
    assert described.status_code == 200
    for path, methods in described.json()["paths"].items():
        for method in methods:
            answer = lan_desk.browser.request(method, f"{API}{path}", headers={"origin": ORIGIN})
            assert answer.status_code == 401, (method, path)
            assert answer.headers["www-authenticate"].startswith("Bearer")
            assert "rye" not in answer.text.replace(path, "")
    wren = {"authorization": f"Bearer {lan_desk.house.tokens.add('a look', 'reader')}"}
    assert lan_desk.browser.get(f"{API}/batches", headers=wren).status_code == 200


def test_wrong_tokens_wait_and_a_right_one_does_not(desk) -> None:
    right = bearer(desk)
    for _ in range(FREE):
        wrong = desk.browser.get(f"{API}/batches", headers={"authorization": "Bearer caskward_wrong"})
        assert wrong.status_code == 401
    waits = desk.browser.get(f"{API}/batches", headers={"authorization": "Bearer caskward_wrong"})
    assert waits.status_code == 429
    assert int(waits.headers["retry-after"]) >= 10
    assert desk.browser.get(f"{API}/batches", headers=right).status_code == 200
    log = (desk.house.settings.folder / "refused.log").read_text()
    assert "TokenWrong" in log
    assert "TriedTooOften" in log
    assert "caskward_wrong" not in log


def test_a_token_is_kept_as_a_hash_for_its_owner_alone(desk) -> None:
    made = desk.house.tokens.add("shed sensor", "helper")
    file = desk.house.settings.folder / "tokens.json"
    assert made.startswith(BEGINS)
    assert made not in file.read_text()
    assert json.loads(file.read_text())[0]["hash"] == hashlib.sha256(made.encode()).hexdigest()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_token_that_was_taken_off_is_refused_at_once(desk) -> None:
    headers = bearer(desk)
    assert desk.browser.get(f"{API}/casks", headers=headers).status_code == 200
    assert desk.house.tokens.last_used()["shed sensor"] <= datetime.now(UTC).isoformat()
    desk.house.tokens.remove("Shed  Sensor")
    assert desk.browser.get(f"{API}/casks", headers=headers).status_code == 401
    assert desk.house.tokens.last_used() == {}


def test_use_is_noted_once_a_minute(tmp_path, desk) -> None:
    clock = [1_000_000.0]
    tokens = Tokens(tmp_path, desk.house.people, lambda: clock[0])
    token = tokens.find(tokens.add("scale", "reader"))
    assert token
    tokens.used(token)
    first = tokens.last_used()["scale"]
    clock[0] += 30
    tokens.used(token)
    assert tokens.last_used()["scale"] == first
    clock[0] += 31
    tokens.used(token)
    assert tokens.last_used()["scale"] > first


@pytest.mark.parametrize(
    ("name", "role", "error"),
    [
        ("<b>", "helper", BadTokenName),
        ("", "helper", BadTokenName),
        ("scale", "king", InputError),
        ("SCALE", "helper", TokenNameTaken),
        ("maud", "helper", TokenNameTaken),
    ],
)
def test_a_name_that_cannot_be_makes_no_token(lan_desk, name: str, role: str, error: type) -> None:
    if name == "SCALE":
        lan_desk.house.tokens.add("scale", "reader")
    before = lan_desk.house.tokens.all()
    with pytest.raises(error):
        lan_desk.house.tokens.add(name, role)
    with pytest.raises(NoSuchToken):
        lan_desk.house.tokens.remove("another")
    assert lan_desk.house.tokens.all() == before


def test_a_maker_makes_tokens_on_the_page_and_sees_them_once(lan_desk) -> None:
    lan_desk.sign_in("Maud")
    made = lan_desk.send("/people/tokens", {"name": "shed sensor", "role": "helper"})
    token = made.text.partition(BEGINS)[2].partition("<")[0]
    assert len(token) == 43
    headers = {"authorization": f"Bearer {BEGINS}{token}"}
    assert lan_desk.browser.get(f"{API}/casks", headers=headers).status_code == 200
    page = lan_desk.browser.get("/people").text
    assert token not in page
    assert "shed sensor" in page
    assert "last used" in page
    again = lan_desk.send("/people/tokens", {"name": "shed sensor", "role": "helper"})
    assert again.status_code == 422
    assert "already" in again.text
    lan_desk.send("/people/tokens/remove", {"name": "shed sensor"})
    assert lan_desk.browser.get(f"{API}/casks", headers=headers).status_code == 401


# What is described -------------------------------------------------------------------------------


def test_the_description_is_the_same_everywhere(desk) -> None:
    assert desk.browser.get(f"{API}/openapi.json").json() == json.loads(json.dumps(make_api().openapi()))


def test_every_example_is_what_it_stands_for() -> None:
    of = make_api().openapi()
    count = 0
    for schema in of["components"]["schemas"].values():
        for one in schema.get("properties", {}).values():
            for example in one.get("examples", ()):
                whole = {**one, "components": of["components"]}
                assert jsonschema_rs.is_valid(whole, example), one
                count += 1
    assert count > 60


def test_everything_is_described_in_words() -> None:
    of = make_api().openapi()
    for path, methods in of["paths"].items():
        for spec in methods.values():
            assert spec.get("description"), path
            assert all(one.get("description") for one in spec.get("parameters", ())), path
            assert {"401", "403", "404", "413", "421", "422", "429", "500"} <= set(spec["responses"])
    for name, schema in of["components"]["schemas"].items():
        assert schema.get("description"), name
        for field, one in schema.get("properties", {}).items():
            assert one.get("description"), f"{name}.{field}"


def test_each_command_of_the_page_works(desk) -> None:
    page = desk.browser.get("/api").text
    commands = [html.unescape(one) for one in re.findall(r"<pre[^>]*><code>(.*?)</code>", page)]
    token = desk.house.tokens.add("shed sensor", "maker")
    assert len(commands) == sum(len(methods) for methods in make_api().openapi()["paths"].values())
    for command in commands:
        answer = asked_by(desk.browser, command.replace("$TOKEN", token))
        assert answer.status_code in (200, 201), (command, answer.text)
