"""Who comes in from the network, and what each may do."""

from __future__ import annotations

import json
import re
import stat

import pytest
from starlette.testclient import TestClient

from caskward.desk import serve
from caskward.desk.live import Broker
from caskward.desk.people import People
from caskward.desk.session import DAYS, Sessions
from caskward.desk.settings import Settings
from caskward.desk.tries import FREE, FREE_OF_A_NAME, FREE_OF_AN_ADDRESS, LONGEST_WAIT_S, Tries
from caskward.errors import InputError
from caskward.errors.desk import LastMaker, NobodyYet, PassphraseTooShort, PortTaken, TriedTooOften
from tests.desk.conftest import ORIGIN, PASSPHRASE

LOOKING = (
    "/",
    "/batches",
    "/casks",
    "/casks/3",
    "/stores",
    "/gear",
    "/book",
    "/book/accounts",
    "/gauging",
    "/more",
)


@pytest.mark.parametrize("path", [*LOOKING, "/people", "/live", "/first", "/more/phone.svg", "/recorded/1"])
def test_without_signing_in_nothing_is_seen(lan_desk, path: str) -> None:
    answer = lan_desk.browser.get(path)
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/sign-in?next=")
    part = lan_desk.browser.get(path, headers={"HX-Request": "true"})
    assert part.status_code == 401
    assert "rye" not in part.text


def test_the_sign_in_page_tells_nothing_of_the_farm(lan_desk) -> None:
    text = lan_desk.browser.get("/sign-in").text
    for word in ("Maud", "rye", "<nav", "/book"):
        assert word not in text


def test_one_signs_in_and_out(lan_desk) -> None:
    before = lan_desk.browser.cookies.get("caskward-8080") or ""
    answer = lan_desk.sign_in("maud")
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    cookie = answer.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie
    assert lan_desk.browser.cookies["caskward-8080"] != before, "a session from before signing in is not kept"
    assert "Maud, maker" in lan_desk.browser.get("/").text
    lan_desk.browser.post("/sign-out", data={"token": lan_desk.token()}, headers={"origin": ORIGIN})
    assert lan_desk.browser.get("/").status_code == 303


@pytest.mark.parametrize(
    ("name", "passphrase"), [("Maud", "wrong words here"), ("Nobody", PASSPHRASE), ("", "")]
)
def test_what_does_not_belong_together_is_refused(lan_desk, name: str, passphrase: str) -> None:
    answer = lan_desk.sign_in(name, passphrase)
    assert answer.status_code == 403
    assert "do not belong together" in answer.text
    log = (lan_desk.house.settings.folder / "refused.log").read_text()
    assert "WrongPassphrase" in log
    assert passphrase not in log or not passphrase
    assert lan_desk.browser.get("/").status_code == 303


def test_too_many_wrong_tries_cost_time(lan_desk) -> None:
    codes = [lan_desk.sign_in("Maud", f"guess number {n}").status_code for n in range(FREE + 2)]
    assert codes == [403] * FREE + [429] * 2
    assert lan_desk.sign_in("Maud").status_code == 429, "not even with the right one"


def guess(desk, name: str, times: int, address: str) -> list[int]:
    """Wrong tries from an address, on a browser that nobody used before."""
    other = TestClient(
        desk.browser.app, base_url=ORIGIN, cookies={"caskward-read": "1"}, follow_redirects=False,
        client=(address, 40000),
    )  # fmt: skip
    found = re.search(r'name="caskward-token" content="([^"]*)"', other.get("/sign-in").text)
    assert found
    fields = {"token": found[1], "name": name, "passphrase": "guessed and wrong"}
    return [other.post("/sign-in", data=fields, headers={"origin": ORIGIN}).status_code for _ in range(times)]


def test_wrong_tries_from_elsewhere_keep_nobody_out(lan_desk, monkeypatch) -> None:
    monkeypatch.setattr("caskward.desk.people._hash", lambda given, *_: given)
    lan_desk.house.people.add("Maud", "maker", PASSPHRASE)
    assert guess(lan_desk, "Maud", FREE + 1, "10.0.0.66") == [403] * FREE + [429]
    assert lan_desk.sign_in("Maud").status_code == 303, "from her own address"
    for n in range(FREE_OF_A_NAME // FREE):
        guess(lan_desk, "Maud", FREE, f"10.0.1.{n}")
    assert guess(lan_desk, "Maud", 1, "10.0.2.1") == [429], "many addresses together are stopped, too"
    assert lan_desk.sign_in("Maud").status_code == 303, "on her own browser she still comes in"
    assert guess(lan_desk, "Jory", 1, "10.0.2.1") == [403]


def test_an_address_that_tries_many_names_is_stopped(lan_desk, monkeypatch) -> None:
    monkeypatch.setattr("caskward.desk.people._hash", lambda given, *_: given)
    codes = [guess(lan_desk, f"name {n}", 1, "10.0.0.66")[0] for n in range(FREE_OF_AN_ADDRESS + 1)]
    assert codes == [403] * FREE_OF_AN_ADDRESS + [429]


@pytest.mark.parametrize("kept", ["", "x", "WyJtYXVkIiwieCJd.x", "é.é"])
def test_a_browser_is_known_by_our_own_word_alone(tmp_path, kept) -> None:
    sessions = Sessions(tmp_path, People(tmp_path))
    assert not sessions.is_known(kept, "Maud")
    assert sessions.is_known(sessions.known("Maud"), "maud")
    assert not sessions.is_known(sessions.known("Jory"), "Maud")
    assert sessions.read(sessions.known("Maud")) is None, "it opens nothing"


def copied(desk):
    """A browser with a copy of another's cookies."""
    other = desk.make_browser()
    other.cookies.set("caskward-8080", desk.browser.cookies["caskward-8080"])
    return other


def test_signing_out_ends_the_session_for_its_copies_and_after_a_restart(lan_desk) -> None:
    lan_desk.sign_in("Maud")
    copy, cookie = copied(lan_desk), lan_desk.browser.cookies["caskward-8080"]
    assert copy.get("/").status_code == 200
    lan_desk.send("/sign-out", {})
    assert copy.get("/").status_code == 303
    again = Sessions(lan_desk.house.settings.folder, lan_desk.house.people)
    assert again.read(cookie) is None


def test_all_sign_ins_of_one_are_ended_by_them_or_by_a_maker(lan_desk) -> None:
    phone, helper = lan_desk.make_browser(), lan_desk.make_browser()
    laptop = lan_desk.browser
    for lan_desk.browser, name in ((laptop, "Maud"), (phone, "Maud"), (helper, "Jory")):
        lan_desk.sign_in(name)
    lan_desk.browser = helper
    assert lan_desk.send("/people/sign-outs", {"name": "Maud"}).status_code == 403
    lan_desk.browser = phone
    lan_desk.send("/sign-out", {"everywhere": "1"})
    assert laptop.get("/").status_code == 303
    assert helper.get("/").status_code == 200
    lan_desk.browser = laptop
    lan_desk.sign_in("Maud")
    assert "is ended" in lan_desk.send("/people/sign-outs", {"name": "Jory"}).text
    assert helper.get("/").status_code == 303
    assert lan_desk.send("/people/sign-outs", {"name": "Maud"}).status_code == 200
    assert laptop.get("/").status_code == 200, "her own goes on"
    assert lan_desk.send("/people/sign-outs", {"name": "Nobody"}).status_code == 422


def test_tries_wait_longer_each_time_and_are_forgotten_when_right() -> None:
    time = [0.0]
    tries = Tries(lambda: time[0])
    waits = []
    for _ in range(FREE + 12):
        try:
            tries.begin("one")
        except TriedTooOften as error:
            waits.append(error.wait_s)
            time[0] += error.wait_s
            tries.begin("one")
    assert waits == sorted(waits)
    assert waits[0] < waits[3] <= waits[-1] == LONGEST_WAIT_S
    tries.begin("another")
    time[0] += LONGEST_WAIT_S
    tries.right("one")
    for _ in range(FREE - 1):
        tries.begin("one")


ACTS = (
    ("/record", {"verb": "note", "words": "a note"}, "helper", 303),
    ("/book/check", {}, "helper", 200),
    ("/book/backup", {}, "maker", 200),
    ("/book/export", {}, "maker", 200),
    ("/people", {"name": "New", "role": "reader", "passphrase": PASSPHRASE}, "maker", 200),
    ("/people/remove", {"name": "Wren"}, "maker", 200),
)
RANK = {"Wren": 0, "Jory": 1, "Maud": 2}
NEEDS = {"helper": 1, "maker": 2}


@pytest.mark.parametrize("name", RANK)
@pytest.mark.parametrize(("path", "fields", "role", "good"), ACTS)
def test_each_role_does_its_own(lan_desk, name, path, fields, role, good) -> None:
    lan_desk.sign_in(name)
    token = lan_desk.token()
    answer = lan_desk.browser.post(path, data={"token": token, **fields}, headers={"origin": ORIGIN})
    allowed = RANK[name] >= NEEDS[role]
    assert answer.status_code == (good if allowed else 403)
    if not allowed:
        assert f"needs a {role}" in answer.text
        log = (lan_desk.house.settings.folder / "refused.log").read_text().splitlines()
        assert f"\t{name}\tPOST {path}\tNotYourRole" in log[-1]
        assert lan_desk.house.book.newest() == 240


@pytest.mark.parametrize("path", LOOKING)
def test_a_reader_sees_everything_and_no_form_that_records(lan_desk, path: str) -> None:
    lan_desk.sign_in("Wren")
    answer = lan_desk.browser.get(path)
    assert answer.status_code == 200
    assert 'action="/record"' not in answer.text
    assert lan_desk.browser.get("/people").status_code == 403


def test_an_entry_is_by_whoever_signed_in(lan_desk) -> None:
    lan_desk.sign_in("Jory")
    fields = {"token": lan_desk.token(), "verb": "note", "words": "the pump drips", "by": "Maud"}
    lan_desk.browser.post("/record", data=fields, headers={"origin": ORIGIN})
    (entry,) = lan_desk.house.book.to_read().newest(limit=1)
    assert (entry.author, entry.note) == ("Jory", "the pump drips")


def test_a_changed_passphrase_or_role_or_leave_ends_sessions(lan_desk) -> None:
    lan_desk.sign_in("Jory")
    assert lan_desk.browser.get("/").status_code == 200
    lan_desk.house.people.set_role("Jory", "reader")
    assert 'action="/record"' not in lan_desk.browser.get("/book").text
    lan_desk.house.people.add("Jory", "helper", "entirely other words")
    assert lan_desk.browser.get("/").status_code == 303
    lan_desk.sign_in("Jory", "entirely other words")
    lan_desk.house.people.remove("Jory")
    assert lan_desk.browser.get("/").status_code == 303


def test_a_cookie_of_ones_own_making_is_nothing(lan_desk) -> None:
    lan_desk.sign_in("Wren")
    body, _, signature = lan_desk.browser.cookies["caskward-8080"].partition(".")
    for forged in (
        f"{body}.",
        f"{body[:-2]}AA.{signature}",
        f".{signature}",
        "x",
        f"{body}.{signature[:-1]}A",
        "a.b.c",
    ):
        other = lan_desk.make_browser()
        other.cookies.set("caskward-8080", forged)
        assert other.get("/").status_code == 303


def test_a_session_ends_after_its_days(tmp_path) -> None:
    people, now = People(tmp_path), [1000.0]
    sessions = Sessions(tmp_path, people, lambda: now[0])
    cookie = sessions.cookie(sessions.new(people.add("Maud", "maker", PASSPHRASE)))
    assert sessions.read(cookie).person.name == "Maud"
    assert Sessions(tmp_path, people, lambda: now[0]).read(cookie) is not None, "it outlives a restart"
    now[0] += DAYS * 86400 + 1
    assert sessions.read(cookie) is None


# People ------------------------------------------------------------------------------------------


def test_passphrases_are_kept_as_hashes_for_their_owner_alone(tmp_path) -> None:
    people = People(tmp_path / "desk")
    people.add("Maud", "maker", PASSPHRASE)
    people.add("Jory", "helper", PASSPHRASE)
    file = tmp_path / "desk" / "people.json"
    rows = json.loads(file.read_text())
    assert PASSPHRASE not in file.read_text()
    assert rows[0]["hash"] != rows[1]["hash"], "each has a salt of its own"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert people.check("maud ", PASSPHRASE).name == "Maud"
    assert people.check("Maud", PASSPHRASE.upper()) is None


@pytest.mark.parametrize(
    ("name", "role", "passphrase"),
    [
        ("", "maker", PASSPHRASE),
        ("<b>", "maker", PASSPHRASE),
        ("Maud", "king", PASSPHRASE),
        ("Maud", "maker", "short"),
        ("x" * 41, "maker", PASSPHRASE),
        ("a\nb\t/", "maker", PASSPHRASE),
    ],
)
def test_nobody_is_added_halfway(tmp_path, name: str, role: str, passphrase: str) -> None:
    people = People(tmp_path)
    with pytest.raises(InputError):
        people.add(name, role, passphrase)
    assert people.all() == ()


def test_one_maker_always_stays(tmp_path) -> None:
    people = People(tmp_path)
    people.add("Maud", "maker", PASSPHRASE)
    for change in (
        lambda: people.remove("Maud"),
        lambda: people.set_role("Maud", "reader"),
        lambda: people.add("Maud", "helper", PASSPHRASE),
    ):
        with pytest.raises(LastMaker):
            change()
    people.add("Edda", "maker", PASSPHRASE)
    people.remove("maud")
    assert [one.name for one in people.all()] == ["Edda"]


def test_a_passphrase_is_the_same_however_a_device_writes_its_letters(tmp_path) -> None:
    people = People(tmp_path)
    people.add("Zo\u00eb", "maker", "  gr\u00fcne Gerste im Fass ")
    assert people.check("Zoe\u0308", "gru\u0308ne Gerste im Fass") is not None
    assert people.check("Zo\u00eb", "grune Gerste im Fass") is None
    with pytest.raises(PassphraseTooShort):
        people.add("Edda", "maker", "short     ")


def test_too_short_a_passphrase_says_so_on_the_page(desk) -> None:
    answer = desk.send("/people", {"name": "Maud", "role": "maker", "passphrase": "short"})
    assert answer.status_code == 422
    assert str(PassphraseTooShort(5, 10)) in answer.text
    assert 'value="Maud"' in answer.text


# Starting ----------------------------------------------------------------------------------------


def test_it_stays_closed_to_the_network_while_nobody_has_a_passphrase(make_desk) -> None:
    make_desk()
    with pytest.raises(NobodyYet):
        serve.settings_for(lan=True, port=8080)
    serve.add_person("Maud", "maker", PASSPHRASE)
    settings = serve.settings_for(lan=True, port=8080, names=("Shed.Home",))
    assert "shed.home" in settings.names
    assert "█" in serve.opening(settings)[0]


def test_a_port_that_is_taken_says_so(make_desk) -> None:
    import socket

    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        with pytest.raises(PortTaken):
            serve.free_port(other.getsockname()[1], "127.0.0.1")


def test_a_phone_is_shown_the_address(lan_desk) -> None:
    lan_desk.sign_in("Maud")
    assert lan_desk.browser.get("/more/phone.svg").headers["content-type"] == "image/svg+xml"
    assert Settings(
        folder=lan_desk.house.settings.folder, lan=True, names=("localhost", "10.9.8.7")
    ).address == ("http://10.9.8.7:8080/")


# Live updates ------------------------------------------------------------------------------------


async def _heard(broker: Broker, change) -> list[str]:
    listener = broker.listen()
    heard = [await anext(listener), await anext(listener)]
    later = broker.listen()
    assert [await anext(later), await anext(later)] == heard, "who comes later hears the same"
    change()
    heard.append(await anext(listener))
    assert await anext(later) == heard[-1]
    await broker.close()
    heard += [text async for text in listener]
    return heard


def test_every_listener_hears_that_the_book_moved_on() -> None:
    import asyncio

    number = [240]
    heard = asyncio.run(_heard(Broker(lambda: number[0], every_s=0.01), lambda: number.__setitem__(0, 241)))
    assert heard[:3] == ["retry: 3000\n\n", "event: book\ndata: 240\n\n", "event: book\ndata: 241\n\n"]
