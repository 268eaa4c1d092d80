"""How soon a tapped jar is answered on run day, beside what a page of its batch takes.

A batch with a plan in all its worlds, two spirit runs of fourteen jars each. A tap is a choice that was not
asked for before: route, choice, the cask's wood, page; 400 ms at most. It is asked for by turns with the
batch's own page, in one process, so that the ratio says more than the milliseconds.

    python -m bench.run_day
"""

from __future__ import annotations

import os
import random
import statistics
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from starlette.testclient import TestClient

from caskward.desk.app import make_app
from caskward.desk.settings import HOME_NAMES, Settings
from caskward.services import plans
from caskward.services.book import batches, opened, verbs
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked

TURNS = 40
MOST_MS = 400.0
ROWS = (
    *("wash: 7.6 %, 330 L", "strip: 110 L, 26 %", "charge: 119 L, 26 %"),
    *("begins: run 1", "foreshots: 0.3 L, 77 %", *["jar: 1 L"] * 14, "run 10 L: 69 %"),
    *("begins: run 2", *["jar: 1 L"] * 14),
)
NAMES = ("foreshots", *(f"jar {n}" for n in range(1, 29)))


def browser_at(folder: Path) -> TestClient:
    """A desk over such a batch, its forecast worked out."""
    os.environ["CASKWARD_BOOK"] = str(folder / "book.sqlite")
    maud = Doing(by="Maud")
    with opened.to_write() as book:
        batches.begin(book, Asked("begin", ("rye 5",)), maud, (plans.starting_point(), None))
        for row in ROWS:
            verbs.done_in(book, Asked("measure", (row,)), replace(maud, batch="rye 5"))
    app = make_app(Settings(folder=folder / "desk", names=HOME_NAMES))
    browser = TestClient(app, base_url="http://localhost:8080", cookies={"caskward-read": "1"})
    browser.get("/batches/rye 5?wait=1")
    browser.get("/batches/rye 5/run?wait=1")
    return browser


def taken_ms(browser: TestClient, path: str, asked: dict[str, object]) -> float:
    """How long one answer takes."""
    start = time.perf_counter()
    answer = browser.get(path, params=asked, headers={"HX-Request": "true"} if asked else {})  # type: ignore[arg-type]
    assert answer.status_code == 200
    return 1000.0 * (time.perf_counter() - start)


def main() -> None:
    """Taps and pages by turns."""
    draw = random.Random(1)
    with tempfile.TemporaryDirectory() as folder:
        browser = browser_at(Path(folder))
        paths = ("/batches/rye 5/run/choice", "/batches/rye 5/run", "/batches/rye 5")
        found: list[list[float]] = [[], [], []]
        for _ in range(TURNS):
            some = draw.sample(NAMES[1:], 18)
            tap = {"of": "run-2", "chosen": "1", "seen": ",".join(NAMES), "in": some}
            for path, asked, its in zip(paths, (tap, {}, {}), found, strict=True):
                its.append(taken_ms(browser, path, asked))
    page = statistics.median(found[2])
    for words, its in zip(("a tap", "run day", "batch"), found, strict=True):
        middle, worst = statistics.median(its), statistics.quantiles(its, n=20)[-1]
        print(
            f"{words:<10}{middle:8.1f} ms{worst:8.1f} ms at the 95th{middle / page:8.2f} of the batch's page"
        )
    print(f"a tap may take {MOST_MS:.0f} ms")


if __name__ == "__main__":
    main()
