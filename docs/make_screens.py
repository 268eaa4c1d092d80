"""Take the screenshots of the documentation anew: `.venv/bin/python docs/make_screens.py`.

docs/screens/NAME.png   a phone's screen, 390 px wide, for each of `SCREENS`, or for those whose names follow

They show the invented farm's book as it stands on a fixed day, so that the same pages give the same pictures.
It takes Chromium and about a minute.
"""

from __future__ import annotations

import base64
import os
import socket
import struct
import sys
import tempfile
import threading
import time
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime, tzinfo
from pathlib import Path
from typing import Any

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / "docs" / "screens"
NOW = datetime(2026, 3, 16, 15, 20, tzinfo=UTC)
SIZE = {"width": 390, "height": 844}
LONGEST_MS = 600_000
BATCH = "/batches/rye 5"
RUN_ROWS = (
    *("strip: 84 L, 27 %", "charge: 92 L, 28.2 %", "begins: run 1", "foreshots: 0.2 L, 81.2 %"),
    *("jar: 1 L, 80.9 % at 20 C, -1, glue", "jar: 1 L, 80.4 % at 20 C, 0, pears"),
    *("jar: 2 L, 79.4 % at 20 C, +1, bread", "jar: 2 L, 78.0 % at 20 C, +2, bread"),
    *("jar: 2 L, 76.5 % at 20 C, +2", "run 8.2 L: 75.6 %, head 85.2 C"),
)
"""What is recorded before the screens of a spirit run: it is well under way."""


PIXELS = """async from => {
  const image = new Image();
  image.src = from;
  await image.decode();
  const canvas = new OffscreenCanvas(image.width, image.height).getContext("2d");
  canvas.drawImage(image, 0, 0);
  const bytes = canvas.getImageData(0, 0, image.width, image.height).data;
  let text = "";
  for (let at = 0; at < bytes.length; at += 32768) {
    text += String.fromCharCode(...bytes.slice(at, at + 32768));
  }
  return [image.width, image.height, btoa(text)];
}"""
"""A picture's red, green, blue and opacity, as the browser reads them."""


@dataclass(frozen=True)
class Screen:
    """One picture. name: its file's. path: of the page. ready: what stands on it once it has thought.

    to: what it is scrolled to. later: taken when the spirit run is under way.
    """

    name: str
    path: str
    ready: str
    to: str = ""
    look: str = ""
    later: bool = False


SCREENS = (
    Screen("bench", "/", ".task h2"),
    Screen("new-batch", "/batches/new?start=rye", "h2:has-text('What it takes')", to=".brief"),
    Screen("batch", BATCH, ".sure strong"),
    Screen("river", BATCH, ".river", to=".river"),
    Screen("tub", f"{BATCH}/tub?stage=ferment", "#tub-course .plot", to="#tub-now"),
    Screen("casks", "/casks", "h1"),
    Screen("label", "/casks/3/label", "h1"),
    Screen("gauging", "/gauging?q=47 %25 at 28 C", "output, .answer"),
    Screen("run-day", f"{BATCH}/run?of=run-1", ".run-plot", later=True),
    Screen(
        "jars",
        f"{BATCH}/run?of=run-1",
        "#part-run-shelf .glass",
        "#part-run-shelf",
        later=True,
    ),
    Screen("run-day-dark", f"{BATCH}/run?of=run-1", ".run-plot", "#part-run-chart", "dark", later=True),
)


class _AnyMoment(type):
    def __instancecheck__(cls, one: object) -> bool:
        return isinstance(one, datetime)


class _Fixed(datetime, metaclass=_AnyMoment):
    """A clock that stands still."""

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> datetime:
        """The fixed moment."""
        return NOW.astimezone(tz) if tz else NOW.replace(tzinfo=None)


def _stop_the_clock() -> None:
    for name, module in list(sys.modules.items()):
        if name.startswith("caskward") and getattr(module, "datetime", None) is datetime:
            module.datetime = _Fixed  # type: ignore[attr-defined] # just found there


@contextmanager
def _desk(folder: Path) -> Iterator[tuple[str, Any]]:
    """The farm's desk, opened; its address and its book."""
    import uvicorn

    from caskward.desk.app import make_app
    from caskward.desk.settings import HOME_NAMES, Settings
    from caskward.services.book.demo_today import write_today

    book = folder / "book.sqlite"
    os.environ |= {"CASKWARD_BOOK": str(book), "CASKWARD_BY": "Edda", "TZ": "UTC"}
    time.tzset()
    write_today(str(book), NOW)
    app = make_app(Settings(folder=folder / "desk", lan=False, names=HOME_NAMES))
    _stop_the_clock()
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    server = uvicorn.Server(
        uvicorn.Config(app, "127.0.0.1", port, log_level="critical", timeout_graceful_shutdown=1)
    )
    thread = threading.Thread(target=server.run)
    thread.start()
    try:
        while not server.started and thread.is_alive():
            time.sleep(0.02)
        yield f"http://localhost:{port}", app.state.house.book
    finally:
        server.should_exit = True
        thread.join()


def _record(book: Any) -> None:
    from caskward.services.book import verbs
    from caskward.services.book.acting import Doing
    from caskward.services.book.asked import Asked

    for row in RUN_ROWS:
        verbs.done_in(book.to_write(), Asked("measure", (row,)), Doing(by="Edda", batch="rye 5"))


def _take(browser: Any, address: str, screen: Screen) -> None:
    """One picture."""
    context = browser.new_context(
        viewport=SIZE, color_scheme="light", is_mobile=True, reduced_motion="reduce"
    )
    cookies = {"caskward-read": "1", "caskward-look": screen.look or "light"}
    context.add_cookies([{"name": name, "value": said, "url": address} for name, said in cookies.items()])
    page = context.new_page()
    page.goto(f"{address}{screen.path}")
    page.locator(screen.ready).first.wait_for(timeout=LONGEST_MS)
    page.locator(".working").first.wait_for(state="detached", timeout=LONGEST_MS)
    page.evaluate("document.activeElement.blur()")
    if screen.to:
        page.evaluate("where => document.querySelector(where).scrollIntoView()", screen.to)
    page.wait_for_timeout(300)
    taken = base64.b64encode(page.screenshot()).decode()
    blank = context.new_page()
    width, height, pixels = blank.evaluate(PIXELS, f"data:image/png;base64,{taken}")
    image = np.frombuffer(base64.b64decode(pixels), np.uint8).reshape(height, width, 4)[:, :, :3]
    (FOLDER / f"{screen.name}.png").write_bytes(_indexed_png(image))
    context.close()


def _indexed_png(image: np.ndarray) -> bytes:
    """A picture with 256 colours: a third of the bytes. image: (height, width, 3) of red, green, blue."""
    flat = image.reshape(-1, 3)
    rough, which, count = np.unique(flat & 0xF8, axis=0, return_inverse=True, return_counts=True)
    often = np.argsort(-count)[:256]
    palette = np.array([flat[which.ravel() == one].mean(axis=0) for one in often])
    far = ((rough[:, None, :].astype(float) + 4.0 - palette[None]) ** 2).sum(axis=2)
    nearest = far.argmin(axis=1)
    nearest[often] = np.arange(len(often))
    rows = nearest[which.ravel()].astype(np.uint8).reshape(image.shape[:2])
    lines = b"".join(b"\0" + row.tobytes() for row in rows)
    head = struct.pack(">IIBBBBB", image.shape[1], image.shape[0], 8, 3, 0, 0, 0)
    colours = palette.round().astype(np.uint8).tobytes()
    return b"\x89PNG\r\n\x1a\n" + b"".join(
        struct.pack(">I", len(data)) + name + data + struct.pack(">I", zlib.crc32(name + data))
        for name, data in (
            (b"IHDR", head),
            (b"PLTE", colours),
            (b"IDAT", zlib.compress(lines, 9)),
            (b"IEND", b""),
        )
    )


def main() -> None:
    """Open the farm's desk and photograph it."""
    sys.path.insert(0, str(ROOT))
    from playwright.sync_api import sync_playwright

    import run

    FOLDER.mkdir(exist_ok=True)
    with (
        tempfile.TemporaryDirectory() as folder,
        _desk(Path(folder)) as (address, book),
        sync_playwright() as play,
    ):
        browser = play.chromium.launch(executable_path=run.find_tool("chromium"), args=["--no-sandbox"])
        for later in (False, True):
            if later:
                _record(book)
            for screen in SCREENS:
                if screen.later == later and screen.name in (sys.argv[1:] or [screen.name]):
                    _take(browser, address, screen)
        browser.close()


if __name__ == "__main__":
    main()
