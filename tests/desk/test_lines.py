"""Requests that are never finished: they are ended, and the desk answers everybody else meanwhile."""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack

import pytest
import uvicorn

from caskward.desk import guard, lines, serve
from tests.desk.conftest import ORIGIN

AT_ONCE = 8
LONG_S = 20.0


@pytest.fixture
def port(desk, monkeypatch: pytest.MonkeyPatch) -> Iterator[int]:
    """A desk that listens, with little patience."""
    monkeypatch.setattr(lines, "HEAD_S", 0.4)
    monkeypatch.setattr(lines, "MOST_OF_ONE", AT_ONCE)
    monkeypatch.setattr(guard, "BODY_S", 0.4)
    with socket.socket() as own:
        own.bind(("127.0.0.1", 0))
        number = own.getsockname()[1]
        server = uvicorn.Server(serve.config_for(desk.browser.app, "127.0.0.1", number))
        thread = threading.Thread(target=server.run, kwargs={"sockets": [own]})
        thread.start()
        while not server.started:
            time.sleep(0.01)
        yield number
        server.should_exit = True
        thread.join()


def call(port: int, text: str = "") -> socket.socket:
    line = socket.create_connection(("127.0.0.1", port), timeout=LONG_S)
    line.sendall(text.encode())
    return line


def answered(line: socket.socket) -> str:
    """All that comes until the line is closed."""
    found = b""
    try:
        while more := line.recv(65536):
            found += more
    except ConnectionResetError:
        pass
    return found.decode("utf-8", "replace")


HEAD = "Host: localhost:8080\r\nCookie: caskward-read=1\r\n"
WHOLE = f"GET /more HTTP/1.1\r\n{HEAD}Connection: close\r\n\r\n"


@pytest.mark.parametrize("text", ["", "GET /more HTTP/1.1\r\n", f"GET /more HTTP/1.1\r\n{HEAD}"])
def test_half_a_head_is_not_waited_for(port, text) -> None:
    with call(port, text) as line:
        assert answered(line) == ""


def trickled(line: socket.socket) -> bool:
    """Send a letter at a time; whether the line was closed over it."""
    line.settimeout(0.05)
    for _ in range(int(LONG_S / 0.05)):
        try:
            line.send(b"x")
            if line.recv(1) == b"":
                return True
        except TimeoutError:
            continue
        except OSError:
            return True
    return False


def test_a_head_that_trickles_in_is_not_waited_for(port) -> None:
    with call(port, "GET /more HTTP/1.1\r\n") as line:
        assert trickled(line)


def test_half_a_form_is_refused_with_a_sentence(port, desk) -> None:
    sends = f"POST /record HTTP/1.1\r\n{HEAD}Origin: {ORIGIN}\r\nContent-Length: 900\r\nConnection: close\r\n"
    kind = "Content-Type: application/x-www-form-urlencoded\r\n\r\ntoken="
    before = desk.house.book.newest()
    with call(port, sends + kind) as line:
        said = answered(line)
    assert said.startswith("HTTP/1.1 408")
    assert "did not arrive whole" in said
    assert desk.house.book.newest() == before


def test_a_form_that_comes_slowly_but_comes_is_taken(port, monkeypatch) -> None:
    monkeypatch.setattr(guard, "LEAST_BYTES_S", 1.0)
    body = f"token=&{'x' * 400}="
    sends = f"POST /record HTTP/1.1\r\n{HEAD}Origin: {ORIGIN}\r\nContent-Length: {len(body)}\r\n"
    kind = "Content-Type: application/x-www-form-urlencoded\r\nConnection: close\r\n\r\n"
    with call(port, sends + kind + body[:100]) as line:  # what came gives it time, however busy a machine is
        for at in range(100, len(body), 100):
            time.sleep(0.15)
            line.sendall(body[at : at + 100].encode())
        assert answered(line).startswith("HTTP/1.1 403"), "it was read to its end: its word is not ours"


def test_however_many_half_ask_the_next_one_is_answered(port) -> None:
    with ExitStack() as lines_open:
        held = [lines_open.enter_context(call(port, "GET /")) for _ in range(AT_ONCE)]
        with call(port, WHOLE) as line:
            assert answered(line).startswith("HTTP/1.1 200")
        assert all(answered(line) == "" for line in held)


def test_one_address_does_not_get_every_line(port) -> None:
    """Live updates stay open: who has too many of them gets no more, and another address still does."""
    hears = f"GET /live HTTP/1.1\r\n{HEAD}\r\n"
    with ExitStack() as lines_open:
        for _ in range(AT_ONCE):
            line = lines_open.enter_context(call(port, hears))
            assert line.recv(20).startswith(b"HTTP/1.1 200")
        with call(port, WHOLE) as one_more:
            assert answered(one_more) == ""
        with socket.socket() as other:
            other.bind(("127.0.0.2", 0))
            other.settimeout(LONG_S)
            other.connect(("127.0.0.1", port))
            other.sendall(WHOLE.encode())
            assert answered(other).startswith("HTTP/1.1 200")


def test_a_line_that_asks_again_is_kept(port, monkeypatch) -> None:
    monkeypatch.setattr(lines, "HEAD_S", 1.5)
    with call(port) as line:
        for _ in range(3):
            time.sleep(0.6)
            line.sendall(WHOLE.replace("Connection: close\r\n", "").encode())
            found = b""
            while b"</html>" not in found:
                more = line.recv(65536)
                assert more
                found += more
