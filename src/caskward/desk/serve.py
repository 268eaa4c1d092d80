"""Start the desk on this machine, for its own screen or for the network, until it is stopped."""

from __future__ import annotations

import os
import signal
import socket
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import segno
import uvicorn
from fastapi import FastAPI

from caskward.desk.app import make_app
from caskward.desk.lines import Line
from caskward.desk.live import Broker
from caskward.desk.people import People
from caskward.desk.settings import HOME_NAMES, Settings, data_folder, names_on_the_network, own_folder
from caskward.desk.tokens import Tokens
from caskward.errors.desk import NobodyYet, PortTaken

PORT = 8080
_LAST_WORDS_S = 2
_TRY_PORTS = 10
_MOST_AT_ONCE = 200
CLEAR = (
    "Passphrases and pages cross your network unencrypted: use it on a network that is yours, "
    "and use these passphrases nowhere else."
)


def settings_for(*, lan: bool, port: int, names: tuple[str, ...] = ()) -> Settings:
    """How a desk is to be started; raises `NobodyYet` where nobody could sign in."""
    folder = own_folder()
    if lan and not any(one.role == "maker" for one in People(folder).all()):
        raise NobodyYet
    more = (*names_on_the_network(), *(name.lower() for name in names)) if lan else ()
    return Settings(folder=folder, port=port, lan=lan, names=(*HOME_NAMES, *more))


def free_port(wanted: int, host: str) -> int:
    """The port wanted, or without a wish the first of the usual ones that is free.

    Raises:
        PortTaken: it is not to be had, and why.
    """
    ports = [wanted] if wanted else list(range(PORT, PORT + _TRY_PORTS))
    why = ""
    for port in ports:
        with closing(socket.socket(socket.AF_INET, socket.SOCK_STREAM)) as probe:
            if os.name != "nt":
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError as error:
                why = error.strerror or "it is in use"
                continue
            return port
    raise PortTaken(ports[-1], why)


def serve(
    *,
    lan: bool = False,
    port: int = 0,
    names: tuple[str, ...] = (),
    say: Callable[[str], None] = print,
    once_open: Callable[[str], None] = lambda _: None,
) -> None:
    """Serve until the keyboard stops it.

    Args:
        port: 0 for the usual one. names: further host names to answer to, such as one that a router gives.
        once_open: told the address once it answers.
    """
    host = "0.0.0.0" if lan else "127.0.0.1"
    settings = settings_for(lan=lan, port=free_port(port, host), names=names)
    app = make_app(settings)
    give_pages_their_turn()
    app.state.api.openapi()  # else whoever asks first waits for it
    for line in opening(settings):
        say(line)
    config = config_for(app, host, settings.port)
    with suppress(KeyboardInterrupt):  # that is how it is closed
        _Server(config, app.state.house.live, lambda: once_open(settings.address)).run()


def config_for(app: FastAPI, host: str, port: int) -> uvicorn.Config:
    """How the server is set up."""
    return uvicorn.Config(
        app,
        host=host,
        port=port,
        http=Line,
        log_level="warning",
        access_log=False,
        server_header=False,
        proxy_headers=False,
        timeout_graceful_shutdown=_LAST_WORDS_S,
        limit_concurrency=_MOST_AT_ONCE,
    )


def give_pages_their_turn() -> None:
    """A page that wants to answer waits a millisecond for a thread that thinks, not the usual five."""
    sys.setswitchinterval(0.001)


class _Server(uvicorn.Server):
    """Ends live updates before it waits for open requests, since they would never end by themselves."""

    def __init__(self, config: uvicorn.Config, live: Broker, opened: Callable[[], None]) -> None:
        super().__init__(config)
        self._live, self._opened = live, opened

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        """Open."""
        await super().startup(sockets)
        if self.started:
            self._opened()

    async def shutdown(self, sockets: list[socket.socket] | None = None) -> None:
        """Close."""
        await self._live.close()
        await super().shutdown(sockets)


def opening(settings: Settings) -> list[str]:
    """What is said when the desk opens."""
    if not settings.lan:
        return [
            f"The desk is open at {settings.address}",
            "For this machine alone; for a phone there is desk --lan. Stop it with Ctrl+C.",
        ]
    code = segno.make(settings.address, error="m")
    return [_drawn(code), f"The desk is open at {settings.address}", CLEAR, "Stop it with Ctrl+C."]


def _drawn(code: segno.QRCode) -> str:
    """Two rows of the code in one of the terminal, light on dark and dark on light alike read by a camera."""
    rows = [list(row) for row in code.matrix_iter(border=2)]
    rows += [[0] * len(rows[0])] if len(rows) % 2 else []
    letters = {(1, 1): " ", (0, 1): "▀", (1, 0): "▄", (0, 0): "█"}
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return "\n".join("".join(letters[up, down] for up, down in zip(*pair, strict=True)) for pair in pairs)


def add_person(name: str, role: str, passphrase: str) -> str:
    """Someone may come in; says so."""
    person = People(own_folder()).add(name, role, passphrase)
    return f"{person.name} may come in as {person.role}."


def remove_person(name: str) -> str:
    """Someone may no longer come in; says so."""
    People(own_folder()).remove(name)
    return f"{name} may no longer come in."


def people() -> tuple[tuple[str, str], ...]:
    """Everybody's name and role."""
    return tuple((one.name, one.role) for one in People(own_folder()).all())


def add_token(name: str, role: str) -> tuple[str, str]:
    """A program may come in; returns its token, which is shown this once, and a sentence."""
    made = _tokens().add(name, role)
    return made, f"{' '.join(name.split())!r} may come in as {role} with this token. It is shown this once."


def remove_token(name: str) -> str:
    """A program may no longer come in; says so."""
    return f"{_tokens().remove(name)!r} may no longer come in."


def tokens() -> tuple[tuple[str, str, str, str], ...]:
    """Every token's name and role, the day it was made, and when it was used last, in UTC."""
    kept = _tokens()
    used = kept.last_used()
    return tuple((one.name, one.role, one.made_at[:10], used.get(one.name, "")) for one in kept.all())


def _tokens() -> Tokens:
    folder = own_folder()
    return Tokens(folder, People(folder))


def use_demo() -> None:
    """The invented book in the user's data folder; written if it is not there yet, then left as it is."""
    _write_demo(data_folder() / "demo")


@contextmanager
def fresh_demo() -> Iterator[None]:
    """The invented book as it stands today, in a folder of its own that goes when it is closed."""
    before = signal.signal(signal.SIGTERM, _ended)
    try:
        with tempfile.TemporaryDirectory(prefix="caskward-demo-", ignore_cleanup_errors=True) as folder:
            _write_demo(Path(folder))
            yield
    finally:
        signal.signal(signal.SIGTERM, before)


def _ended(number: int, _: object) -> None:
    """Asked to end: unwinds, so that what is only for now goes. The server sends the signal on."""
    raise SystemExit(128 + number)


def _write_demo(folder: Path) -> None:
    from caskward.services.book.demo_book import DEMO_FILE
    from caskward.services.book.demo_today import write_today

    file = folder / DEMO_FILE
    if not file.exists():
        write_today(str(file))
    use_book(str(file))


def use_book(file: str) -> None:
    """The book to work on, instead of the usual one."""
    os.environ["CASKWARD_BOOK"] = file if "://" in file else str(Path(file).expanduser())
