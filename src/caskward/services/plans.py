"""Planning a maker's file, and the starting points that come with Caskward."""

from __future__ import annotations

import codecs
import difflib
import json
from dataclasses import asdict
from importlib import resources
from pathlib import Path

from caskward.catalogue.load import load
from caskward.errors import UnknownName, UnreadableFile
from caskward.planning.intent import Intent
from caskward.planning.intent_file import read_intent
from caskward.planning.plan import Plan, Refusal
from caskward.planning.planner import make_plan
from caskward.services.still_saved import learned_batches, learned_file

DEMO = "rye"


def plan_text(source: str, folder: Path | None = None) -> Plan | Refusal:
    """Plan an intent written in TOML; files that it names are looked for from the folder, or where one is.

    Raises:
        InputError: one sentence about what cannot be used.
    """
    return make_plan(intent_text(source, folder), load())


def intent_text(source: str, folder: Path | None = None) -> Intent:
    """The wish in a file's text; files that it names are looked for from the folder, or where one is.

    Raises:
        InputError: one sentence about what cannot be used.
    """
    from_here = folder or Path()
    return read_intent(
        source,
        load(),
        lambda name: learned_file(from_here / name),
        lambda name: learned_batches(from_here / name),
    )


def wish(name: str) -> tuple[str, Path]:
    """Text and folder of a plan: a maker's file, or a starting point by its name where no such file is.

    Raises:
        InputError: the file cannot be read, or the name is nearly that of a starting point.
    """
    path = Path(name)
    if not path.exists() and _nearly_a_starting_point(name):
        return starting_point(name), Path()
    return text_of(*_bytes_of(path)), path.parent


def _nearly_a_starting_point(name: str) -> bool:
    """True for a name, or a slip of one, that is no path."""
    return Path(name).name == name and bool(difflib.get_close_matches(name, starting_points(), n=1))


def _bytes_of(path: Path) -> tuple[bytes, str]:
    try:
        return path.read_bytes(), str(path)
    except OSError as error:
        raise UnreadableFile(str(path), error.strerror or "it cannot be opened") from None


def text_of(content: bytes, called: str) -> str:
    """A file's text; text editors' marks at its beginning (UTF-8 or UTF-16) are understood."""
    encoding = "utf-16" if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig"
    try:
        return content.decode(encoding)
    except UnicodeDecodeError:
        raise UnreadableFile(called, "it is not plain text (UTF-8)") from None


def plan_file(path: Path) -> Plan | Refusal:
    """Plan a maker's own file, or a starting point by its name where no such file is.

    Raises:
        InputError: the file cannot be read, or one sentence about what cannot be used in it.
    """
    return plan_text(*wish(str(path)))


def plan_bytes(content: bytes, called: str, folder: Path | None = None) -> Plan | Refusal:
    """Plan a file's content; text editors' marks at its beginning (UTF-8 or UTF-16) are understood.

    Raises:
        InputError: it is not text, or one sentence about what cannot be used in it; `called` names it there.
    """
    return plan_text(text_of(content, called), folder)


def starting_points() -> tuple[str, ...]:
    """Names of the starting points that come with Caskward."""
    folder = resources.files("caskward.services").joinpath("starting_points")
    return tuple(sorted(f.name.removesuffix(".toml") for f in folder.iterdir() if f.name.endswith(".toml")))


def starting_point(name: str = DEMO) -> str:
    """The text of a starting point, with its notes, to be changed by the maker.

    Raises:
        UnknownName: there is none of that name.
    """
    known = starting_points()
    if name not in known:
        close = difflib.get_close_matches(name, known, n=1)
        raise UnknownName("starting point", name, close[0] if close else None, known)
    folder = resources.files("caskward.services").joinpath("starting_points")
    return folder.joinpath(f"{name}.toml").read_text("utf-8")


def as_json(outcome: Plan | Refusal) -> str:
    """A plan or a refusal as JSON: SI and trade units as in the names, bands as low, mid, high."""
    kind = "plan" if isinstance(outcome, Plan) else "refusal"
    return json.dumps({"outcome": kind, **asdict(outcome)}, ensure_ascii=False, indent=2)
