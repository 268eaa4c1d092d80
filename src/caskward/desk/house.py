"""What all requests of one desk share: settings, who may come in, the open book, live updates, thoughts."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from caskward.desk.beside import Beside
from caskward.desk.kept import OpenBook
from caskward.desk.live import Broker
from caskward.desk.people import People
from caskward.desk.records import Records
from caskward.desk.right_of_way import RightOfWay
from caskward.desk.run_thoughts import RunThoughts
from caskward.desk.seen import Seen
from caskward.desk.session import Sessions
from caskward.desk.settings import Settings
from caskward.desk.sketches import Sketches
from caskward.desk.static_files import StaticFiles
from caskward.desk.thoughts import Thoughts
from caskward.desk.tokens import Tokens
from caskward.desk.tries import Tries
from caskward.desk.waits import Waits


@dataclass(frozen=True)
class House:
    """One desk; built by `house`, one for each application."""

    settings: Settings
    people: People
    tokens: Tokens
    sessions: Sessions
    tries: Tries
    book: OpenBook
    live: Broker
    static: StaticFiles
    records: Records
    thoughts: Thoughts
    runs: RunThoughts
    sketches: Sketches
    seen: Seen
    beside: Beside
    waits: Waits
    way: RightOfWay


@cache
def _static() -> StaticFiles:
    return StaticFiles()


def house(settings: Settings) -> House:
    """The desk that was asked for; raises `DeskFolderShut` where its folder cannot be used."""
    people = People(settings.folder)
    book, way = OpenBook(), RightOfWay()
    return House(
        settings=settings,
        people=people,
        tokens=Tokens(settings.folder, people),
        sessions=Sessions(settings.folder, people),
        tries=Tries(),
        book=book,
        live=Broker(book.newest),
        static=_static(),
        records=Records(),
        thoughts=Thoughts(book, way),
        runs=RunThoughts(),
        sketches=Sketches(),
        seen=Seen(book),
        beside=Beside(),
        waits=Waits(),
        way=way,
    )
