"""What the desk's interface for programs refuses: tokens, addresses, what was sent and how."""

from __future__ import annotations

from caskward.errors.common import InputError
from caskward.errors.desk import DeskRefusal
from caskward.errors.desk_work import NotYet


class TokenMissing(DeskRefusal):
    """A program that does not say who it is."""

    status = 401

    def __init__(self) -> None:
        super().__init__(
            "This needs a token, sent as Authorization: Bearer TOKEN. Nothing was done. A maker makes one "
            'with: caskward desk token add "shed sensor" --role helper'
        )


class TokenWrong(DeskRefusal):
    """A token that the desk does not know, or no longer."""

    status = 401

    def __init__(self) -> None:
        super().__init__(
            "The desk does not know this token; nothing was done. It may have been taken off, or a letter "
            "was lost in copying. A maker sees all tokens with: caskward desk tokens"
        )


class NothingAtThisAddress(DeskRefusal):
    """An address of the interface that leads nowhere."""

    status = 404

    def __init__(self) -> None:
        super().__init__("There is nothing at this address. The desk's page /api lists what there is.")


class NotThatMethod(DeskRefusal):
    """An address asked for by a method that it does not answer to."""

    status = 405

    def __init__(self) -> None:
        super().__init__(
            "This address does not answer to that method; nothing was done. The desk's page /api says which "
            "one it takes."
        )


class NotJson(DeskRefusal):
    """Something else than JSON was sent."""

    status = 415

    def __init__(self) -> None:
        super().__init__(
            "What is sent here must be JSON; nothing was done. Send it with Content-Type: application/json."
        )


class StillBeingMade(NotYet):
    """Something that takes long, and is not there yet."""

    def __init__(self) -> None:
        super().__init__(
            "This takes a while and is still being worked out. Ask for the same again in a few seconds; it "
            "is kept until something is recorded."
        )


class NotAsDescribed(InputError):
    """A field that is missing, of another kind, too long or unknown."""

    def __init__(self, where: str, why: str) -> None:
        super().__init__(
            f"{where or 'What was sent'} is not as described: {why}. Nothing was done. The desk's page /api "
            "says what each field takes."
        )


class BadTokenName(InputError):
    """A name that cannot stand beside an entry."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} is no name for a token. Give 1 to 40 letters, digits, spaces, points or hyphens, "
            "such as: shed sensor"
        )


class TokenNameTaken(InputError):
    """A second token, or a token and a person, of one name: entries would not tell them apart."""

    def __init__(self, name: str, what: str) -> None:
        super().__init__(
            f"There is {what} called {name!r} already, and what it records stands under its name. Choose "
            "another name, or take that one off first."
        )


class NoSuchToken(InputError):
    """A name that no token has."""

    def __init__(self, given: str, known: tuple[str, ...]) -> None:
        there = f"There are: {', '.join(known)}." if known else "There are none yet."
        super().__init__(f"No token is called {given!r}. {there}")
