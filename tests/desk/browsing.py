"""A desk that is served, and a browser at it that notes what everyone would stumble over.

Accessibility is judged by axe-core by the rules of WCAG 2.2 (A and AA); nothing may ask for anything outside
this machine.
"""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING

import uvicorn

if TYPE_CHECKING:
    from tests.desk.conftest import Desk

PHONE, LAPTOP = (360, 780), (1280, 800)
# Without these a browser asks its maker's hosts for this and that.
QUIET = (
    *("--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update"),
)
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
AXE = (Path(__file__).parent / "vendor" / "axe.min.js").read_text(encoding="utf-8")
LEAST_TARGET_PX = 48
SETTLED_MS = 500
SOON_MS = 30_000
"""What comes soon on a quiet machine may take its time on a busy one."""


@dataclass
class Site:
    """A desk that is served, and what its pages complained about."""

    desk: Desk
    address: str
    complaints: list[str] = field(default_factory=list)

    def newest(self) -> int:
        return self.desk.house.book.newest()


@contextmanager
def served(desk: Desk) -> Iterator[str]:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    config = uvicorn.Config(
        desk.browser.app, "127.0.0.1", port, log_level="critical", timeout_graceful_shutdown=1
    )
    server = uvicorn.Server(config)
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started:
            assert thread.is_alive()
            time.sleep(0.02)
        yield f"http://localhost:{port}"
    finally:
        server.should_exit = True
        thread.join()


@contextmanager
def context_of(chromium, site: Site, size=PHONE, scheme="light", look="", script=True, expect=()):
    """A browser window that notes every complaint and every request that leaves the machine."""
    phone = size == PHONE
    context = chromium.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=scheme,
        has_touch=phone,
        is_mobile=phone,
        java_script_enabled=script,
        reduced_motion="reduce",
    )
    cookies = {"caskward-read": "1", **({"caskward-look": look} if look else {})}
    context.add_cookies(
        [{"name": name, "value": value, "url": site.address} for name, value in cookies.items()]
    )

    def heard(message) -> None:
        if message.type in ("error", "warning") and not any(words in message.text for words in expect):
            site.complaints.append(message.text)

    def asked(request) -> None:
        if not request.url.startswith((site.address, "data:")):
            site.complaints.append(f"asked for {request.url}")

    context.on("console", heard)
    context.on("weberror", lambda error: site.complaints.append(str(error.error)))
    context.on("request", asked)
    try:
        yield context
    finally:
        context.close()
    assert site.complaints == []


def judged(page) -> list[str]:
    """What axe-core finds, and finds again: a part that is just being put in is seen by nobody."""
    page.evaluate(AXE)
    found = _by_axe(page)
    if found:
        page.wait_for_timeout(SETTLED_MS)
        again = _by_axe(page)
        found = [one for one in found if one in again]
    return found


def _by_axe(page) -> list[str]:
    found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
    return [f"{one['id']}: {node['target']}" for one in found["violations"] for node in one["nodes"]]


def until(page, holds: str) -> None:
    """Wait until something holds on the page, whose policy lets no text be run there in a loop."""
    for _ in range(2 * SOON_MS // 100):
        if page.evaluate(holds):
            return
        page.wait_for_timeout(100)
    raise AssertionError(f"never: {holds}")


def small_targets(page) -> list[str]:
    """Buttons, fields and menu entries under a finger's size; links within a text are left out."""
    return page.evaluate(
        """least => [...document.querySelectorAll('button, .button, input:not([type=hidden],[type=radio]), '
          + 'select, summary, .choice, nav a, .tabs a, .chips a, .links a, .entries a, .lots a')]
          .filter(one => one.checkVisibility())
          .filter(one => one.getBoundingClientRect().height < least - 0.5
                      || one.getBoundingClientRect().width < least - 0.5)
          .map(one => one.outerHTML.slice(0, 90) + one.getBoundingClientRect().width)""",
        LEAST_TARGET_PX,
    )
