"""What every page of the desk takes at 10,000 batches and 1,000,000 postings, beside a short book's.

Each page is asked for by turns from both desks, in one process, through everything that a request passes:
guard, routes, services, book, template, packing. Printed for each: the middle and the 95th of a hundred times
[ms], 60 at most at the 95th, and how many times the short book's middle that is. Then the weight of a first
load (150 kB at most, packed), and how long a recorded reading takes to show its forecast (400 ms at most).

    python -m bench.desk [FOLDER]     a folder in which the long book is kept for the next time
"""

from __future__ import annotations

import os
import re
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from uuid import uuid4

from starlette.testclient import TestClient

from caskward.desk.app import make_app
from caskward.desk.serve import give_pages_their_turn
from caskward.desk.settings import HOME_NAMES, Settings
from caskward.services import plans
from caskward.services.book import batches
from caskward.services.book.acting import Doing
from caskward.services.book.asked import Asked
from caskward.services.book.demo_book import write_demo
from tests.support.long_house import write_long_house

BATCHES, POSTINGS = 10_000, 1_000_000
TURNS = 100
MOST_MS = 60.0
PAGES = (
    *("/", "/batches", "/batches?after=8000", "/casks", "/stores", "/gear", "/book", "/book?before=100"),
    *("/book/accounts", "/book/accounts?all=1", "/book/accounts/vessel/tub", "/book/accounts/cask/1"),
    *("/book/entries/77", "/book/check", "/book/period", "/book/period?q=2025", "/book/costs"),
    *("/casks/1", "/batches/rye 1", "/batches/rye 4", "/gauging", "/gauging/strength?q=47+%25+at+28C"),
    *("/labels", "/casks/1/photos", "/batches/rye 4/tub", "/batches/rye 4/photos"),
    *("/more", "/people", "/first", "/api", "/batches/new"),
)
READINGS = (
    *("mash 3 h: 1.062, 62 C", "ferment 24 h: 1.030, 28 C", "wash: 8.4 %, 330 L", "low wines: 26 %, 100 L"),
    *("run 10 L: 72 %", "heart: 17 L, 70 %"),
)
AFTER = ("/", "/batches", "/casks", "/stores", "/gear", "/book", "/book/accounts", "/book/costs")


class Desk:
    """A desk over one book, asked by one browser."""

    def __init__(self, book: Path) -> None:
        os.environ["CASKWARD_BOOK"] = str(book)
        app = make_app(Settings(folder=book.parent / f"desk {book.stem}", names=HOME_NAMES))
        app.state.house.book.to_read()
        self.app, self.book, self.recorded_s = app, book, 0.0
        self.browser = TestClient(app, base_url="http://localhost:8080", cookies={"caskward-read": "1"})

    def close(self) -> None:
        """Let go of the book, and of all that works beside the pages."""
        house = self.app.state.house
        for working in (house.sketches, house.thoughts, house.beside, house.seen, house.book):
            working.close()

    def ask(self, path: str) -> int:
        """A page's size [bytes, unpacked]; what is not there is said."""
        os.environ["CASKWARD_BOOK"] = str(self.book)
        answer = self.browser.get(path)
        if answer.status_code != 200:
            raise SystemExit(f"{path}: {answer.status_code}")
        return len(answer.content)


def times_ms(calls: list[Callable[[], object]], turns: int) -> list[list[float]]:
    """How long each call takes [ms]; the calls take turns."""
    taken: list[list[float]] = [[] for _ in calls]
    for _ in range(turns):
        for call, its_ms in zip(calls, taken, strict=True):
            start = time.perf_counter()
            call()
            its_ms.append(1000.0 * (time.perf_counter() - start))
    return taken


def p95(values: list[float]) -> float:
    """The value that 95 in 100 do not pass."""
    return statistics.quantiles(values, n=20)[-1]


def pages(short: Desk, long: Desk) -> None:
    """Every page of both."""
    print(f"{'page':<36}{'median ms':>10}{'p95 ms':>9}{'kB':>7}{'times the short book':>22}")
    names = with_a_plan(short), with_a_plan(long)
    planned = [
        [f"/batches/{name}{part}" for name in names] for part in ("", "/tub", "/run", "/plan", "/close")
    ]
    for path, its_path in (*((path, path) for path in PAGES), *planned):
        short.ask(path)
        size = long.ask(its_path)
        turns: list[Callable[[], object]] = [partial(short.ask, path), partial(long.ask, its_path)]
        of_short, of_long = times_ms(turns, TURNS)
        middle, worst = statistics.median(of_long), p95(of_long)
        said = "" if worst <= MOST_MS else "  OVER"
        ratio = middle / statistics.median(of_short)
        print(f"{path:<36}{middle:10.1f}{worst:9.1f}{size / 1000:7.0f}{ratio:22.2f}{said}", flush=True)


def token_of(desk: Desk) -> str:
    """The word that the forms of this browser carry."""
    found = re.search(r'name="caskward-token" content="([^"]*)"', desk.browser.get("/more").text)
    return found[1] if found else ""


def record(desk: Desk, batch: str, words: str) -> None:
    """A reading, sent as a page's script sends it."""
    fields = {"token": token_of(desk), "verb": "measure", "batch": batch, "words": words, "key": uuid4().hex}
    headers = {"origin": "http://localhost:8080", "accept": "application/json"}
    start = time.perf_counter()
    answer = desk.browser.post("/record", data=fields, headers=headers)
    if answer.status_code != 200:
        raise SystemExit(f"{words}: {answer.text}")
    desk.recorded_s = time.perf_counter() - start


def with_a_plan(desk: Desk) -> str:
    """A batch of this desk's book, begun with the rye starting point as its plan."""
    name = f"rye {uuid4().hex[:6]}"
    os.environ["CASKWARD_BOOK"] = str(desk.book)
    book = desk.app.state.house.book.to_write()
    batches.begin(book, Asked("begin", (name,)), Doing(by="Edda"), (plans.starting_point("rye"), None))
    desk.browser.get(f"/batches/{name}?wait=1")
    return name


def forecasts(desk: Desk) -> None:
    """From a reading's press to its new forecast on the page, the whole thought, and pages right after it."""
    name = with_a_plan(desk)
    print(f"{'a reading':<36}{'recorded':>10}{'forecast':>10}{'whole':>9} ms, 400 at most for the forecast")
    for words in READINGS:
        desk.browser.get(f"/batches/{name}?wait=1")  # a maker looks at what is, before the next
        token_of(desk)
        begun = time.perf_counter()
        record(desk, name, words)
        while "The cask fills" not in (answer := sure_of(desk, name)):
            pass
        shown_ms = 1000.0 * (time.perf_counter() - begun)
        while "load delay" in answer:
            time.sleep(0.02)
            answer = sure_of(desk, name)
        whole_ms = 1000.0 * (time.perf_counter() - begun)
        print(f"{words:<36}{1000 * desk.recorded_s:10.0f}{shown_ms:10.0f}{whole_ms:9.0f}", flush=True)
    after: dict[str, list[float]] = {path: [] for path in (*AFTER, f"/batches/{name}")}
    for turn in range(20):
        record(desk, name, f"heart: {14 + turn % 3}.{turn % 10} L")
        for path, taken in after.items():
            start = time.perf_counter()
            desk.ask(path)
            taken.append(1000.0 * (time.perf_counter() - start))
    for path, taken in after.items():
        print(
            f"{path:<36}{statistics.median(taken):10.0f} ms, first time after a record; most {max(taken):.0f}"
        )


def sure_of(desk: Desk, name: str) -> str:
    """The part of a batch's page that says how sure its cask fills."""
    return desk.browser.get(f"/batches/{name}/parts/sure", headers={"hx-request": "true"}).text


def first_load(desk: Desk) -> None:
    """The Bench and all that it brings with it, as they are sent."""
    page = desk.browser.get("/").text
    own = dict.fromkeys(re.findall(r'(?:href|src)="(/(?:static|favicon)[^"]+)"', page))
    total = 0
    for path in ("/", *own):
        with desk.browser.stream("GET", path, headers={"accept-encoding": "gzip"}) as answer:
            total += sum(len(part) for part in answer.iter_raw())
    print(f"first load: {total / 1000:.0f} kB packed, {1 + len(own)} requests (150 kB at most)")


@contextmanager
def folder_of(words: list[str]) -> Iterator[Path]:
    """The folder named, else one that is thrown away."""
    if words:
        Path(words[0]).mkdir(parents=True, exist_ok=True)
        yield Path(words[0])
        return
    with tempfile.TemporaryDirectory(dir=os.environ.get("BENCH_FOLDER")) as folder:
        yield Path(folder)


def main() -> None:
    """All of it."""
    give_pages_their_turn()
    with folder_of(sys.argv[1:]) as folder:
        kept = folder / "book.sqlite"
        if not kept.exists():
            write_long_house(kept, BATCHES, POSTINGS)
        with tempfile.TemporaryDirectory(dir=folder) as work:  # what is recorded here is not kept
            long, short = Path(work) / "book.sqlite", Path(work) / "short.sqlite"
            shutil.copy(kept, long)
            write_demo(str(short))
            desks = Desk(short), Desk(long)
            pages(*desks)
            first_load(desks[1])
            forecasts(desks[1])
            for desk in desks:
                desk.close()


if __name__ == "__main__":
    main()
