"""`caskward desk`: it opens, says where, answers, and closes in peace; who may come in is said beforehand."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from pathlib import Path

import pytest

CASKWARD = (sys.executable, "-m", "caskward", "desk")
PASSPHRASE = "old oak and wet barley\n"
PATIENCE_S = 60


def _environment(folder: Path) -> dict[str, str]:
    return {**os.environ, "CASKWARD_BOOK": str(folder / "book.sqlite"), "XDG_DATA_HOME": str(folder)}


def _desk(folder: Path, *words: str, typed: str = "") -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*CASKWARD, *words],
        input=typed,
        env=_environment(folder),
        capture_output=True,
        text=True,
        check=False,
        timeout=PATIENCE_S,
    )


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.mark.skipif(os.name == "nt", reason="stopped by a signal that Windows does not have")
def test_the_demo_opens_answers_and_closes_in_peace(tmp_path: Path) -> None:
    port = _free_port()
    words = [*CASKWARD, "--demo", "--port", str(port)]
    with subprocess.Popen(
        words, env=_environment(tmp_path), stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    ) as running:
        page = _once_it_is_open(asked_for(port, "/casks"), running)
        live = urllib.request.Request(f"http://127.0.0.1:{port}/live", headers={"Cookie": "caskward-read=1"})
        with urllib.request.urlopen(live, timeout=PATIENCE_S) as updates:
            assert updates.readline() == b"retry: 3000\n"
            running.send_signal(signal.SIGINT)
            said = running.communicate(timeout=PATIENCE_S)[0]
    assert "cask 3" in page
    assert "An invented book" in page
    assert f"http://localhost:{port}/" in said
    assert "Traceback" not in said
    assert running.returncode == 0


def asked_for(port: int, path: str) -> urllib.request.Request:
    """A page, as a browser asks for it that has read the first one."""
    return urllib.request.Request(f"http://127.0.0.1:{port}{path}", headers={"Cookie": "caskward-read=1"})


def _once_it_is_open(request: urllib.request.Request, running: subprocess.Popen[str]) -> str:
    until = time.monotonic() + PATIENCE_S
    while time.monotonic() < until and running.poll() is None:
        try:
            with urllib.request.urlopen(request, timeout=PATIENCE_S) as answer:
                return str(answer.read().decode())
        except OSError:
            time.sleep(0.1)
    raise AssertionError(
        f"it did not open: {running.communicate(timeout=5)[0] if running.poll() is not None else ''}"
    )


def test_people_come_and_go(tmp_path: Path) -> None:
    assert _desk(tmp_path, "people").stdout == "Nobody yet.\n"
    added = _desk(tmp_path, "add", "Maud", "Hill", "--role", "maker", typed=PASSPHRASE)
    assert added.stdout == "Maud Hill may come in as maker.\n"
    assert _desk(tmp_path, "people").stdout == "maker   Maud Hill\n"
    _desk(tmp_path, "add", "Jory", "--role", "helper", typed=PASSPHRASE)
    assert _desk(tmp_path, "remove", "jory").returncode == 0
    assert _desk(tmp_path, "people").stdout == "maker   Maud Hill\n"


def test_a_token_is_made_shown_once_and_taken_off(tmp_path: Path) -> None:
    assert _desk(tmp_path, "tokens").stdout == "No tokens yet.\n"
    made = _desk(tmp_path, "token", "add", "shed", "sensor", "--role", "helper")
    assert re.fullmatch(r"caskward_[\w-]{43}\n", made.stdout), (
        "nothing else, so that it can be kept by a pipe"
    )
    assert "shown this once" in made.stderr
    shown = _desk(tmp_path, "tokens").stdout
    assert re.fullmatch(r"helper +shed sensor +made \d{4}-\d\d-\d\d +never used\n", shown)
    assert made.stdout.strip() not in shown
    assert _desk(tmp_path, "token", "remove", "Shed", "sensor").returncode == 0
    assert _desk(tmp_path, "tokens").stdout == "No tokens yet.\n"


@pytest.mark.parametrize(
    ("words", "typed", "said"),
    [
        (("--lan",), "", "Nobody has a passphrase yet"),
        (("add", "Maud", "--role", "maker"), "short\n", "has 5 characters"),
        (("add", "Maud"), PASSPHRASE, "needs a role"),
        (("add",), PASSPHRASE, "needs a name"),
        (("add", "Maud", "--role", "king"), PASSPHRASE, "'king' is not a known role"),
        (("remove", "Maud"), "", "Nobody at this desk is called 'Maud'"),
        (("open",), "", "'open' is not a known word of desk"),
        (("token",), "", "is not a known word of desk token. Known: add, remove"),
        (("token", "add"), "", "needs a name"),
        (("token", "add", "scale"), "", "needs a role"),
        (("token", "add", "scale", "--role", "king"), "", "'king' is not a known role"),
        (("token", "add", "a<b", "--role", "helper"), "", "is no name for a token"),
        (("token", "remove", "scale"), "", "No token is called 'scale'. There are none yet."),
        (("--port", "99999"), "", "'99999' is not understood as a port"),
        (("--port", "web"), "", "'web' is not understood as a port"),
        (("--host", "shed.home"), "", "Add --lan"),
        (("--demo", "--book", "x.sqlite"), "", "do not go together"),
    ],
)
def test_what_cannot_be_is_said_in_a_sentence(tmp_path: Path, words, typed: str, said: str) -> None:
    done = _desk(tmp_path, *words, typed=typed)
    assert done.returncode == 2
    assert said in done.stderr
    assert done.stderr.count("\n") == 1
