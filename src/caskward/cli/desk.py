"""`caskward desk`: every screen as a page, for this machine or, with passphrases, for its network."""

from __future__ import annotations

import getpass
import sys

from caskward.cli.layout import table, wrapped
from caskward.cli.loose import Given, LooseCommand, Option
from caskward.cli.terminal import complain, in_my_words, put, terminal
from caskward.errors import MissingValue, NotUnderstood, OptionsClash, UnknownName
from caskward.errors.desk import PassphrasesDiffer

_HIGHEST_PORT = 65535
_OPTIONS = (
    Option("--lan", "", "Open it to the network around this machine; everybody signs in."),
    Option("--port", "N", "The port to listen on; otherwise 8080 or the next that is free."),
    Option("--demo", "", "An invented farm's book, to look at and to try things in."),
    Option("--book", "FILE", "The book to work on; otherwise CASKWARD_BOOK, or your own."),
    Option(
        "--host", "NAME", "One more name to be reached by, such as one that a router gives.", several=True
    ),
    Option("--role", "ROLE", "With add: reader looks, helper records, maker does everything."),
)


def desk(given: Given) -> int:
    """Open the desk, or say who may come in."""
    from caskward.desk import serve

    _choose_book(given)
    what, *name = given.parts or ("",)
    if what in _PEOPLE:
        return _PEOPLE[what](" ".join(name), given)
    if what:
        raise UnknownName("word of desk", what, None, tuple(_PEOPLE))
    if given.texts("--host") and not given.flag("--lan"):
        raise OptionsClash("--host", "a desk for this machine alone", "Add --lan.")
    serve.serve(
        lan=given.flag("--lan"),
        port=_port(given),
        names=given.texts("--host"),
        say=say,
    )
    return 0


def _choose_book(given: Given) -> None:
    from caskward.desk import serve

    if given.flag("--demo") and given.text("--book"):
        raise OptionsClash("--demo", "--book", "The demo has a book of its own.")
    if given.flag("--demo"):
        serve.use_demo()
    if given.text("--book"):
        serve.use_book(given.text("--book"))


def say(text: str) -> None:
    """A sentence within the terminal's width; a drawing as it is."""
    put(text if "\n" in text else "\n".join(wrapped(in_my_words(text), terminal().width)))


def _port(given: Given) -> int:
    port = given.count("--port", "a port")
    if port > _HIGHEST_PORT:
        raise NotUnderstood("a port", str(port), "8080")
    return port


def _add(name: str, given: Given) -> int:
    from caskward.desk import serve

    if not name:
        raise MissingValue("desk add", "a name", "caskward desk add Maud --role maker")
    if not given.text("--role"):
        raise MissingValue("desk add", "a role", "--role maker (or helper, reader)")
    put(serve.add_person(name, given.text("--role"), _passphrase(name)))
    return 0


def _passphrase(name: str) -> str:
    """Asked for twice without showing it; from a pipe, its first line."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\r\n")
    first = getpass.getpass(f"A passphrase for {name}, four words or more: ")
    if getpass.getpass("The same once more: ") != first:
        raise PassphrasesDiffer
    return first


def _remove(name: str, given: Given) -> int:  # noqa: ARG001 - as the others
    from caskward.desk import serve

    if not name:
        raise MissingValue("desk remove", "a name", "caskward desk remove Maud")
    put(serve.remove_person(name))
    return 0


def _people(name: str, given: Given) -> int:  # noqa: ARG001 - as the others
    from caskward.desk import serve

    found = serve.people()
    put("\n".join(f"{role:<8}{who}" for who, role in found) or "Nobody yet.")
    return 0


def _token(words: str, given: Given) -> int:
    from caskward.desk import serve

    what, _, name = words.partition(" ")
    example = 'caskward desk token add "shed sensor" --role helper'
    if what not in ("add", "remove"):
        raise UnknownName("word of desk token", what, None, ("add", "remove"))
    if not name:
        raise MissingValue(f"desk token {what}", "a name", example)
    if what == "remove":
        put(serve.remove_token(name))
        return 0
    if not given.text("--role"):
        raise MissingValue("desk token add", "a role", "--role helper (or reader, maker)")
    made, sentence = serve.add_token(name, given.text("--role"))
    put(made)
    complain("\n".join(wrapped(sentence, terminal().width)))
    return 0


def _tokens(name: str, given: Given) -> int:  # noqa: ARG001 - as the others
    from caskward.desk import serve

    rows = [
        (role, who, f"made {made}", f"used {used[:16].replace('T', ' ')} UTC" if used else "never used")
        for who, role, made, used in serve.tokens()
    ]
    put("\n".join(table(rows, "llll", terminal().width, "")) if rows else "No tokens yet.")
    return 0


_PEOPLE = {"add": _add, "remove": _remove, "people": _people, "token": _token, "tokens": _tokens}

COMMAND = LooseCommand(
    "desk",
    "Open the desk: every screen as a page, on this machine or on a phone in the shed.",
    "Without --lan it answers this machine alone and asks nobody to sign in. With it, everybody whom you "
    "added signs in with a passphrase of their own. Ctrl+C closes it.",
    (
        "(none)                       open it",
        "add NAME --role ROLE         let someone come in; asks for their passphrase",
        "remove NAME                  no longer",
        "people                       who may come in",
        "token add NAME --role ROLE   let a program come in; shows its token this once",
        "token remove NAME            no longer",
        "tokens                       which programs may come in, and when each last did",
    ),
    _OPTIONS,
    desk,
    "[add|remove NAME|people|token|tokens]",
)
