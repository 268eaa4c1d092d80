"""What the desk lets in: its own names, its own pages, no more than it takes; everything else is refused."""

from __future__ import annotations

from urllib.parse import quote

import pytest

from tests.desk.conftest import ORIGIN

HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "{{ 7*7 }}",
    "'; DROP TABLE entries; --",
    "../../../../etc/passwd",
    "\u202e\u0000\u0007%s%n",
    "9" * 3000,
    "=HYPERLINK(0)",
    "\ud83d".encode("utf-16", "surrogatepass").decode("utf-16", "replace"),
)
FORMS = (
    ("/record", ("words", "batch", "at", "note", "key", "verb", "back", "before", "waited_s")),
    ("/people", ("name", "role", "passphrase")),
    ("/people/remove", ("name",)),
    ("/sign-in", ("name", "passphrase", "next")),
    ("/more", ("look", "units")),
    ("/first", ("next",)),
)
LOOKS = (
    *("/gauging?q={}", "/gauging/blend?q={}", "/book?before={}", "/book/period?q={}", "/casks/{}"),
    *("/batches/{}", "/book/entries/{}", "/book/accounts/{}", "/static/{}"),
    *("/recorded/1?back={}", "/first?next={}"),
)


def test_every_answer_has_the_headers_that_keep_it_in(desk) -> None:
    for path in ("/", "/nope", "/book/entries/x", "/favicon.ico", "/live-not"):
        headers = desk.browser.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "*" not in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert headers["x-frame-options"] == "DENY"
        # With no-referrer a browser sends the origin of our own forms as null.
        assert headers["referrer-policy"] == "same-origin"
        assert "server" not in headers
    assert desk.browser.get("/").headers["cache-control"] == "no-store"


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:8080", "", "127.0.0.1.evil.example", "localhost.evil"]
)
def test_a_name_that_is_not_ours_gets_nothing(desk, host: str) -> None:
    """A page elsewhere may point its own name at this machine: DNS rebinding."""
    answer = desk.browser.get("/", headers={"host": host})
    assert answer.status_code == 421
    assert "Bench" not in answer.text
    assert "set-cookie" not in answer.headers


@pytest.mark.parametrize("host", ["localhost:8080", "127.0.0.1:8080", "[::1]:8080", "localhost"])
def test_our_own_names_are_answered(desk, host: str) -> None:
    assert desk.browser.get("/", headers={"host": host}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "http://localhost:9999"},
        {"origin": "http://["},
        {"origin": "", "referer": "http://[::1"},
        {},
        {"referer": "http://evil.example/page"},
        {"origin": ORIGIN, "sec-fetch-site": "cross-site"},
    ],
)
def test_a_form_from_elsewhere_is_refused_and_noted(desk, headers: dict[str, str]) -> None:
    fields = {"token": desk.token(), "verb": "note", "words": "from elsewhere"}
    answer = desk.browser.post("/record", data=fields, headers=headers)
    assert answer.status_code == 403
    assert desk.house.book.newest() == 240
    assert "SentFromElsewhere" in (desk.house.settings.folder / "refused.log").read_text()


@pytest.mark.parametrize("token", ["", "wrong", "é", "x" * 2000])
def test_a_form_without_our_word_is_refused(desk, token: str) -> None:
    desk.browser.get("/")
    fields = {"token": token, "verb": "note", "words": "no word"}
    answer = desk.browser.post("/record", data=fields, headers={"origin": ORIGIN})
    assert answer.status_code == 403
    assert desk.house.book.newest() == 240


def test_another_browsers_word_is_not_ours(desk) -> None:
    theirs = desk.token()
    other = desk.make_browser()
    other.get("/")
    fields = {"token": theirs, "verb": "note", "words": "borrowed"}
    assert other.post("/record", data=fields, headers={"origin": ORIGIN}).status_code == 403


def test_the_referer_of_our_own_page_does_where_no_origin_is_sent(desk) -> None:
    fields = {"token": desk.token(), "verb": "note", "words": "an old browser", "key": "old-browser"}
    answer = desk.browser.post("/record", data=fields, headers={"referer": f"{ORIGIN}/book"})
    assert answer.status_code == 303


def test_more_than_it_takes_is_refused_whatever_was_declared(make_desk) -> None:
    desk = make_desk(most_bytes=20_000)
    token = desk.token()

    def in_pieces():
        yield f"token={token}&verb=note&words=".encode()
        for _ in range(40):
            yield b"x" * 1000

    kind = {"origin": ORIGIN, "content-type": "application/x-www-form-urlencoded"}
    declared = desk.browser.post("/record", content=b"".join(in_pieces()), headers=kind)
    undeclared = desk.browser.post("/record", content=in_pieces(), headers=kind)
    assert (declared.status_code, undeclared.status_code) == (413, 413)
    assert "Traceback" not in undeclared.text
    assert desk.house.book.newest() == 240


@pytest.mark.parametrize("length", ["9" * 5000, "9" * 20, "-1", "1e9", "\u0661", ""])
def test_a_length_that_is_none_is_more_than_it_takes(desk, length: str) -> None:
    headers = {"origin": ORIGIN, "content-length": length.encode()}
    answer = desk.browser.post("/record", content=b"token=", headers=headers)
    assert answer.status_code == 413


@pytest.mark.parametrize("number", ["9" * 25, "9" * 5000, "999999999999", "0", "-1", "1.5", "x", "\u0661"])
def test_an_entry_that_there_is_not_leads_nowhere(desk, number: str) -> None:
    assert desk.browser.get(f"/recorded/{number}").status_code == 404
    assert desk.browser.get(f"/book/entries/{number}").status_code in (404, 422)


@pytest.mark.parametrize(
    "at",
    [
        "0001-01-01T00:00:00+14:00",
        "9999-12-31T23:59:59-14:00",
        "0001-01-01",
        "9999-12-31 23:59",
        "9" * 400 + " h ago",
    ],
)
def test_a_moment_at_the_end_of_the_calendar_is_refused_with_a_sentence(desk, at: str) -> None:
    before = desk.house.book.newest()
    page = desk.send("/record", {"verb": "note", "words": "then", "at": at, "key": "at-the-end"})
    token = {"authorization": f"Bearer {desk.house.tokens.add('shed', 'helper')}"}
    said = {"text": "then", "at": at, "key": "at-the-end"}
    program = desk.browser.post("/api/v1/notes", json=said, headers=token)
    assert (page.status_code, program.status_code) == (422, 422)
    assert desk.house.book.newest() == before


def test_a_file_is_not_taken(desk) -> None:
    fields = {"token": desk.token(), "verb": "note", "words": "with a file"}
    files = {"photo": ("x.html", b"<script>", "text/html")}
    answer = desk.browser.post("/record", data=fields, files=files, headers={"origin": ORIGIN})
    assert answer.status_code in (400, 413)
    assert desk.house.book.newest() == 240


@pytest.mark.parametrize("text", HOSTILE)
def test_hostile_text_in_any_field_is_only_text(desk, text: str) -> None:
    for path, names in FORMS:
        for name in names:
            fields = {"verb": "note", "words": "a note", "key": "", name: text}
            answer = desk.send(path, fields)
            assert answer.status_code < 500, (path, name)
            assert "<script>alert" not in answer.text
            assert "<img src=x" not in answer.text
            assert "//" not in answer.headers.get("location", "").removeprefix("http://localhost:8080/")
    for path in LOOKS:
        answer = desk.browser.get(path.format(quote(text)))
        assert answer.status_code < 500, path
        assert "<script>alert" not in answer.text
        assert "{{ 49 }}" not in answer.text
        assert 'value="49"' not in answer.text
    page = desk.browser.get("/book").text
    assert "<script>alert" not in page
    assert "<img src=x" not in page


@pytest.mark.parametrize(
    "path", ["//evil.example", "/\\evil.example", "http://evil.example", "javascript:alert(1)"]
)
def test_it_leads_nowhere_else(desk, path: str) -> None:
    answer = desk.send("/first", {"next": path})
    assert answer.headers["location"] == "/"
    recorded = desk.browser.get("/recorded/1", params={"back": path})
    assert f'href="{path}"' not in recorded.text


@pytest.mark.parametrize(
    "path", ["/static/x/../../app.py", "/static/x/..%2f..%2fapp.py", "/static/x//etc/passwd"]
)
def test_only_what_is_meant_to_be_served_is(desk, path: str) -> None:
    answer = desk.browser.get(path)
    assert answer.status_code == 404
    assert "import" not in answer.text


@pytest.mark.parametrize("method", ["PUT", "DELETE", "PATCH", "TRACE", "OPTIONS"])
def test_other_methods_change_nothing(desk, method: str) -> None:
    answer = desk.browser.request(method, "/record", headers={"origin": ORIGIN})
    assert answer.status_code in (403, 405)


def test_a_fault_of_our_own_shows_none_of_its_insides(desk, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise RuntimeError("secret inside")

    monkeypatch.setattr("caskward.desk.seen.Seen.shelf", broken)
    answer = desk.browser.get("/casks")
    assert answer.status_code == 500
    assert "not your fault" in answer.text
    assert "secret inside" not in answer.text
    assert "Traceback" not in answer.text


def test_a_page_asked_for_the_first_time_shows_law_and_safety_first(desk) -> None:
    new = desk.make_browser()
    new.cookies.clear()
    first = new.get("/casks/3")
    assert (first.status_code, first.headers["location"]) == (303, "/first?next=/casks/3")
    assert "carbon dioxide" in new.get("/first").text.lower()
    desk.browser.cookies.delete("caskward-read")
    answer = desk.send("/first", {"next": "/casks/3"})
    assert answer.headers["location"] == "/casks/3"
    assert desk.browser.get("/casks/3").status_code == 200
