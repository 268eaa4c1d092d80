"""What may be asked: parts of an address, and what is sent; everything else is refused, never passed over."""

from __future__ import annotations

import difflib
from typing import Annotated, Literal

from fastapi import Depends, Path, Query
from pydantic import BaseModel, ConfigDict, Field
from starlette.requests import Request

from caskward.desk.house import House
from caskward.errors import UnknownName
from caskward.errors.desk_api import NotJson
from caskward.services.book.opened import Book
from caskward.services.book.verbs import MAKERS
from caskward.units.types import UnitSystem

MOST_WORDS, MOST_NAME = 4000, 200
MOST_AT_ONCE, USUAL = 500, 50
_LARGEST = 2**53 - 1
"""The largest whole number that every reader of JSON keeps exactly: rfc-8259, section 6."""
LONGEST_WAIT_S = 20.0

Units = Annotated[
    UnitSystem,
    Query(description="Units of sentences: `metric` or `us`. Figures are metric whatever this is."),
]
Limit = Annotated[int, Query(ge=1, le=MOST_AT_ONCE, description="So many at most.", examples=[20])]
Skip = Annotated[int, Query(ge=0, le=_LARGEST, description="Leave out so many: for the next page.")]
Wait = Annotated[
    float,
    Query(
        ge=0,
        le=LONGEST_WAIT_S,
        description="Wait so long for what is being worked out [s]; 0 answers at once with what is known.",
        examples=[10],
    ),
]
BatchName = Annotated[
    str, Path(min_length=1, max_length=MOST_NAME, description="The batch's name.", examples=["rye 4"])
]
CaskName = Annotated[
    str, Path(min_length=1, max_length=MOST_NAME, description="Its number or name.", examples=["3"])
]
Number = Annotated[int, Path(ge=1, le=_LARGEST, description="The entry's number.", examples=[200])]
Before = Annotated[
    int | None, Query(ge=1, le=_LARGEST, description="Only entries before this number: for the next page.")
]
Asked = Annotated[
    str, Query(min_length=1, max_length=MOST_WORDS, description="The question, as it is typed on the page.")
]


class Sent(BaseModel):
    """What is sent: no field that is not described, and nothing turned into another kind by guessing."""

    model_config = ConfigDict(extra="forbid", strict=True)


class Once(Sent):
    """A deed with the key that makes it one: sent again with the same key it changes nothing."""

    key: str = Field(
        min_length=8,
        max_length=MOST_NAME,
        pattern=r"^[A-Za-z0-9._:-]+$",
        description="Of your own making, a new one for each deed: sent again, it is entered once. Letters, "
        "digits and . _ : -",
        examples=["shed-2026-03-01-1"],
    )
    at: str = Field(
        "",
        max_length=MOST_NAME,
        description="When it was done, if not now: local time as `14:30`, or ISO 8601 with its time zone.",
        examples=["2026-03-01T14:30:00Z"],
    )
    note: str = Field("", max_length=MOST_WORDS, description="Words to keep with it.")


class DeedSent(Once):
    """Something that was done."""

    verb: str = Field(
        description="What was done.", examples=["gauge"], json_schema_extra={"enum": list(MAKERS)}
    )
    words: str = Field(
        "",
        max_length=MOST_WORDS,
        description="Its words, as they are typed on the page and in a terminal.",
        examples=["cask 3 23.1 L 59.8 % at 12 C"],
    )
    batch: str = Field("", max_length=MOST_NAME, description="Of which batch; where none is meant, empty.")


class ReadingSent(Once):
    """A reading of a batch."""

    row: str = Field(
        min_length=1,
        max_length=MOST_WORDS,
        description="As it is typed on the page and in a terminal.",
        examples=["ferment 4 d: 1.010, 24 C"],
    )
    wait_s: float = Field(
        0.0,
        ge=0,
        le=LONGEST_WAIT_S,
        description="Wait so long for what is believed of the batch as it stands [s], to say what changes.",
    )


class NoteSent(Once):
    """Words to keep."""

    text: str = Field(
        min_length=1, max_length=MOST_WORDS, description="The words.", examples=["the lid was left open"]
    )
    batch: str = Field("", max_length=MOST_NAME, description="Of which batch; empty for none.")


class BeginSent(Once):
    """A new batch."""

    name: str = Field(min_length=1, max_length=MOST_NAME, description="Its name.", examples=["rye 5"])


class CloseSent(Once):
    """The end of a batch."""


def only_known(request: Request) -> None:
    """Refuse a word in the address that nothing looks at: it was mistyped, and would change nothing.

    Raises:
        UnknownName: there is one, and which was probably meant.
    """
    route = request.scope["route"]
    known = tuple(sorted(one.alias for one in route.dependant.query_params))
    for given in request.query_params:
        if given not in known:
            close = difflib.get_close_matches(given, known, n=1)
            raise UnknownName("word of this address", given[:80], close[0] if close else None, known)


def only_json(request: Request) -> None:
    """Refuse what is sent as something else."""
    kind = request.headers.get("content-type", "").partition(";")[0].strip().casefold()
    if request.method == "POST" and kind != "application/json":
        raise NotJson


def house_of(request: Request) -> House:
    """What all requests share."""
    house: House = request.state.house
    return house


def book_of(request: Request) -> Book:
    """The open book, to read; raises `NoBookYet`."""
    return house_of(request).book.to_read()


TheHouse = Annotated[House, Depends(house_of)]
TheBook = Annotated[Book, Depends(book_of)]
Direction = Literal["back", "forward"]
