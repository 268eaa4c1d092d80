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
from caskward.planning.intent_file import read_intent
from caskward.planning.plan import Plan, Refusal
from caskward.planning.planner import make_plan
from caskward.services.still_saved import learned_file

DEMO = "rye"


def plan_text(source: str, folder: Path | None = None) -> Plan | Refusal:
    """Plan an intent written in TOML; files that it names are looked for from the folder, or where one is.

    Raises:
        InputError: one sentence about what cannot be used.
    """
    catalogue = load()
    from_here = folder or Path()
    return make_plan(read_intent(source, catalogue, lambda name: learned_file(from_here / name)), catalogue)


def plan_file(path: Path) -> Plan | Refusal:
    """Plan a maker's own file.

    Raises:
        InputError: the file cannot be read, or one sentence about what cannot be used in it.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise UnreadableFile(str(path), error.strerror or "it cannot be opened") from None
    return plan_bytes(content, str(path), path.parent)


def plan_bytes(content: bytes, called: str, folder: Path | None = None) -> Plan | Refusal:
    """Plan a file's content; text editors' marks at its beginning (UTF-8 or UTF-16) are understood.

    Raises:
        InputError: it is not text, or one sentence about what cannot be used in it; `called` names it there.
    """
    encoding = "utf-16" if content.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) else "utf-8-sig"
    try:
        return plan_text(content.decode(encoding), folder)
    except UnicodeDecodeError:
        raise UnreadableFile(called, "it is not plain text (UTF-8)") from None


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
