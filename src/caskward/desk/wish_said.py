"""A refusal of a plan's file as a sentence about the form's fields."""

from __future__ import annotations

import re

from caskward.desk.wish_fields import LABELS, ROW_LABELS
from caskward.services import wish_form

_MISSING = re.compile(
    r"(?:\[(?P<part>[^\]]+)\]|The file) needs (?P<what>.+?)\. Add, for example: (?P<example>.+)", re.S
)
_IN_PART = re.compile(r"\b(?P<key>\w+) in \[(?P<part>[^\]]+)\]")
_TABLE = re.compile(r"a table \[(?P<part>[^\]]+)\]")
_EDGES = re.compile(r'\["?([^",\]]+)"?, "?([^",\]]+)"?\]')
_QUOTED = re.compile(r'"([^"]*)"')
_NO_STRENGTH = "The cask's strength is missing"
_PARTS = {path: name for name, place in wish_form.PLACES.items() for path in [place.path]}
_FIRST_OF = {"cask": "capacity", "tub": "tub_volume", "strip_still": "still_most", "cook_pot": "pot_volume"}
_AT_TOP = {place.path[0]: name for name, place in wish_form.PLACES.items() if len(place.path) == 1}


def on_the_form(sentence: str) -> tuple[str, str]:
    """The field that a refusal is about, or "", and the sentence in the form's own words."""
    if sentence.startswith(_NO_STRENGTH):
        return "strength", f"“{LABELS['strength']}” is still empty. It is written like 60 % or 120 proof."
    missing = _MISSING.fullmatch(sentence)
    if missing:
        return _missing(missing)
    found = _IN_PART.search(sentence)
    field = _field(found["part"], found["key"]) if found else _top(sentence)
    label = _label(field)
    said = sentence
    if label and found:
        said = said.replace(found[0], f"“{label}”")
    elif label:
        said = said.replace(sentence.split(" ", 1)[0], f"“{label}”", 1)
    return field, _plain(said)


def _plain(said: str) -> str:
    """Without what only a file has: quotes, brackets, a command that lists names."""
    said = _EDGES.sub(r"\1 to \2", said.replace(", without quotes", "").replace(" in quotes", ""))
    return said.replace(" All of them: caskward materials", " The field lists them as you type.")


def _missing(found: re.Match[str]) -> tuple[str, str]:
    table = _TABLE.match(found["what"])
    part = table["part"] if table else found["part"] or ""
    field = _FIRST_OF.get(part, "") if table else _field(part, found["what"])
    quoted = _QUOTED.search(found["example"])
    example = f" It is written like {quoted[1]}." if quoted else ""
    label = _label(field)
    if label:
        return field, f"“{label}” is still empty.{example}"
    return "", f"The bill is still empty.{example}" if part == "bill" else found[0]


def _field(part: str, key: str) -> str:
    """The field of a key in a part: `capacity` in `cask`, `share` in `bill 2`."""
    name, _, number = part.rpartition(" ")
    if number.isdigit():
        kind = next((kind for kind, rows in wish_form.ROWS.items() if ".".join(rows.path) == name), "")
        column = key if kind and key in wish_form.ROWS[kind].columns else ""
        return f"{kind}-{int(number) - 1}-{column}" if column else ""
    if key in wish_form.STRENGTHS:
        return "strength"
    return _PARTS.get((*part.split("."), key), "")


def _top(sentence: str) -> str:
    return _AT_TOP.get(sentence.split(" ", 1)[0], "")


def _label(field: str) -> str:
    if field in LABELS:
        return LABELS[field]
    kind, _, rest = field.partition("-")
    return ROW_LABELS.get((kind, rest.partition("-")[2]), "")
