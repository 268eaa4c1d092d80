"""What every request passes before a page sees it: the host's name, the size, who asks, where it comes from.

Plain ASGI, so that live updates stream through it. Over plain http browsers do not say `Sec-Fetch-Site`, so
the origin is compared with the host, and each form carries a word that only a page of this sign-in knows.
"""

from __future__ import annotations

import asyncio
import os
import sys
import traceback
from collections.abc import Callable, Mapping
from urllib.parse import quote, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from caskward.desk import refused, render
from caskward.desk.api import door
from caskward.desk.house import House
from caskward.desk.people import Person
from caskward.desk.right_of_way import as_page
from caskward.desk.session import DAYS, Session
from caskward.errors import CaskwardError
from caskward.errors.desk import (
    OwnFault,
    SentFromElsewhere,
    SentTooSlowly,
    SignInFirst,
    TooMuchSent,
    UnknownHost,
)

READ_COOKIE = "caskward-read"
BODY_S, LEAST_BYTES_S = 10.0, 8000.0
"""What a request sends must be whole after so long [s], and longer by what came at so many bytes a second."""
OPEN_TO_ALL = ("/static/", "/favicon.", "/sign-in", "/icon")
_MOST_DIGITS = 15
_LOOKS = ("GET", "HEAD", "OPTIONS")
_POLICY = "; ".join(
    (
        "default-src 'none'",
        *(f"{kind}-src 'self'" for kind in ("script", "style", "img", "font", "connect", "manifest")),
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    # With `no-referrer` a browser would send the origin of our own forms as `null`.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
}


class Guard:
    """Lets a request through to the pages, or answers it."""

    def __init__(self, app: ASGIApp, house: House) -> None:
        """`app`: the pages behind."""
        self._app, self._house = app, house

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        request = Request(scope, receive)
        visit = _Visit(request, self._house, send)
        request.state.house = self._house
        try:
            answer = self._stopped(request, visit)
            if answer is not None:
                await answer(scope, receive, visit.send)
            else:
                most = self._house.settings.most_sent(request.method, request.url.path)
                with as_page(self._house.way) as over:
                    visit.over = over
                    await self._app(scope, _counted(receive, most), visit.send)
        except ClientDisconnect:  # a phone that lost the network: nobody is there to be answered
            return
        except Exception as error:
            note_fault(error)
            if visit.begun:  # half a page cannot be taken back
                raise
            answer = self._answer(request, _said(error))
            await answer(scope, receive, visit.send)

    def _stopped(self, request: Request, visit: _Visit) -> Response | None:
        """The answer to a request that goes no further."""
        refusal = self._refusal(request, visit)
        if refusal is not None:
            refused.note(self._house, request, refusal)
            if isinstance(refusal, SignInFirst) and request.method == "GET" and not _is_part(request):
                back = quote(request.url.path, safe="/")
                return RedirectResponse(f"/sign-in?next={back}", 303)
            return self._answer(request, refusal)
        if self._is_first_visit(request):
            return RedirectResponse(f"/first?next={quote(request.url.path, safe='/')}", 303)
        return None

    @staticmethod
    def _answer(request: Request, error: CaskwardError) -> Response:
        return door.answer(error) if door.is_here(request) else render.refusal(request, error)

    def _refusal(self, request: Request, visit: _Visit) -> CaskwardError | None:
        settings = self._house.settings
        if _host_name(request.headers) not in settings.names:
            return UnknownHost()
        if not door.is_here(request):
            visit.greet()
        most = settings.most_sent(request.method, request.url.path)
        if _declared_bytes(request.headers) > most:
            return TooMuchSent(most)
        if door.is_here(request):
            return door.refusal(request, self._house, own_page=_same_origin(request.headers))
        if request.method not in _LOOKS and not _same_origin(request.headers):
            return SentFromElsewhere()
        if settings.lan and visit.person is None and not request.url.path.startswith(OPEN_TO_ALL):
            return SignInFirst()
        return None

    def _is_first_visit(self, request: Request) -> bool:
        known = READ_COOKIE in request.cookies or request.url.path.startswith(
            (*OPEN_TO_ALL, "/first", "/live", "/more")
        )
        return request.method == "GET" and not known and not _is_part(request) and not door.is_here(request)


def _nothing() -> None:
    return


class _Visit:
    """One request on its way: its session, and the headers that its answer gets."""

    def __init__(self, request: Request, house: House, send: Send) -> None:
        self._request, self._house, self._send = request, house, send
        self._name = f"caskward-{house.settings.port}"  # a browser keeps cookies by host, whatever the port
        self._greeted = False
        self.begun = False
        self.over: Callable[[], None] = _nothing

    @property
    def person(self) -> Person | None:
        session: Session = self._request.state.session
        return session.person

    def greet(self) -> None:
        """Find the session of this browser, or begin one."""
        cookie = self._request.cookies.get(self._name, "")
        session = self._house.sessions.read(cookie) if cookie else None
        self._request.state.session = session or self._house.sessions.new()
        self._old, self._greeted = session, True

    async def send(self, message: Message) -> None:
        """Send a part of the answer, its headers first."""
        if message["type"] == "http.response.start":
            self.begun = True
            self.over()  # what follows is only sent; a page of live updates never ends
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            headers.setdefault("Cache-Control", "no-store")
            if self._greeted and self._request.state.session != self._old:
                headers.append("Set-Cookie", self._cookie())
        await self._send(message)

    def _cookie(self) -> str:
        value = self._house.sessions.cookie(self._request.state.session)
        return f"{self._name}={value}; Path=/; Max-Age={DAYS * 86400}; HttpOnly; SameSite=Strict"


def _host_name(headers: Headers) -> str:
    """The name that the desk was called by, without the port."""
    host = headers.get("host", "").lower()
    name, colon, port = host.rpartition(":")
    return name if colon and port.isdigit() else host


def _declared_bytes(headers: Headers) -> int:
    length = headers.get("content-length", "0")
    return int(length) if length.isdecimal() and len(length) <= _MOST_DIGITS else sys.maxsize


def _same_origin(headers: Headers) -> bool:
    """Whether a form was sent from a page of the very host it is sent to."""
    host = headers.get("host", "").lower()
    if headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return False
    origin = headers.get("origin") or headers.get("referer", "")
    try:
        parts = urlsplit(origin)
    except ValueError:  # such as `http://[`
        return False
    return bool(host) and parts.scheme in ("http", "https") and parts.netloc.lower() == host


def _is_part(request: Request) -> bool:
    return "hx-request" in request.headers


def _counted(receive: Receive, most_bytes: int) -> Receive:
    """The request's body: no longer than it may be, whatever it declared, no slower than a bad network."""
    taken, begun, whole = 0, 0.0, False

    async def counted() -> Message:
        nonlocal taken, begun, whole
        if whole:  # what comes now is only that somebody went away
            return await receive()
        begun = begun or asyncio.get_running_loop().time()
        try:
            async with asyncio.timeout_at(begun + BODY_S + taken / LEAST_BYTES_S):
                message = await receive()
        except TimeoutError:
            raise SentTooSlowly from None
        whole = not message.get("more_body", False)
        taken += len(message.get("body", b""))
        if taken > most_bytes:
            raise TooMuchSent(most_bytes)
        return message

    return counted


def _said(error: Exception) -> CaskwardError:
    return error if isinstance(error, CaskwardError) else OwnFault()


def note_fault(error: Exception) -> None:
    """Say on the terminal that something went wrong here; its insides only to who asked for them."""
    if isinstance(error, CaskwardError):
        return
    print(f"caskward desk: a fault of its own ({type(error).__name__})", file=sys.stderr)  # noqa: T201
    if os.environ.get("CASKWARD_DEBUG") == "1":
        traceback.print_exception(error)
