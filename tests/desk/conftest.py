"""A desk over a copy of the invented book, spoken to by a browser that has read the first page."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from starlette.testclient import TestClient

import run
from caskward.desk.app import make_app
from caskward.desk.house import House
from caskward.desk.people import People
from caskward.desk.settings import HOME_NAMES, Settings
from caskward.services.book.demo_book import write_demo
from tests.desk.browsing import QUIET, Site, served

PASSPHRASE = "old oak and wet barley"
ORIGIN = "http://localhost:8080"


@pytest.fixture(scope="session")
def demo_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented book, written once."""
    file = tmp_path_factory.mktemp("demo") / "book.sqlite"
    write_demo(str(file))
    return file


@dataclass
class Desk:
    """A desk and one browser at it."""

    house: House
    browser: TestClient
    make_browser: Callable[[], TestClient]

    def token(self) -> str:
        """The word that a form of this browser carries, read off a page."""
        path = "/sign-in" if self.browser.get("/more").status_code == 303 else "/more"
        found = re.search(r'name="caskward-token" content="([^"]*)"', self.browser.get(path).text)
        assert found
        return found[1]

    def send(self, path: str, fields: dict[str, str], **headers: str):
        """Send a form as this browser's own page would."""
        own = {"origin": ORIGIN, **{name.replace("_", "-"): value for name, value in headers.items()}}
        return self.browser.post(path, data={"token": self.token(), **fields}, headers=own)

    def sign_in(self, name: str, passphrase: str = PASSPHRASE):
        """Sign in on this browser."""
        return self.send("/sign-in", {"name": name, "passphrase": passphrase, "next": "/"})


MakeDesk = Callable[..., Desk]


@pytest.fixture
def make_desk(demo_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[MakeDesk]:
    """Open a desk: `lan`, and with an empty place for a book instead of the invented one."""
    open_books = []

    def make(*, lan: bool = False, empty: bool = False, most_bytes: int = 64 * 1024) -> Desk:
        file = tmp_path / "book.sqlite"
        if not empty:
            shutil.copy(demo_file, file)
        monkeypatch.setenv("CASKWARD_BOOK", str(file))
        monkeypatch.setenv("CASKWARD_BY", "Edda")
        settings = Settings(folder=tmp_path / "desk", lan=lan, names=HOME_NAMES, most_bytes=most_bytes)
        app = make_app(settings)
        open_books.append(app.state.house.book)

        def browser() -> TestClient:
            cookies = {"caskward-read": "1"}
            return TestClient(app, base_url=ORIGIN, cookies=cookies, follow_redirects=False)

        return Desk(app.state.house, browser(), browser)

    yield make
    for book in open_books:
        book.close()


@pytest.fixture
def desk(make_desk: MakeDesk) -> Desk:
    """A desk for this machine alone, over the invented book."""
    return make_desk()


@pytest.fixture(scope="session")
def people_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """One person of each role, hashed once: that is slow on purpose."""
    folder = tmp_path_factory.mktemp("people")
    for name, role in (("Maud", "maker"), ("Jory", "helper"), ("Wren", "reader")):
        People(folder).add(name, role, PASSPHRASE)
    return folder / "people.json"


@pytest.fixture
def lan_desk(make_desk: MakeDesk, people_file: Path) -> Desk:
    """A desk open to the network, with one person of each role."""
    opened = make_desk(lan=True)
    shutil.copy(people_file, opened.house.settings.folder)
    return opened


@pytest.fixture
def site(desk) -> Iterator[Site]:
    with served(desk) as address:
        yield Site(desk, address)


@pytest.fixture(scope="module")
def chromium():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=run.find_tool("chromium"), args=list(QUIET))
        yield browser
        browser.close()
