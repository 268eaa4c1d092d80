"""Vessels, batches, plans, readings and notes: what moves nothing."""

from __future__ import annotations

from dataclasses import replace

from caskward.book import deeds
from caskward.book.amounts import ul
from caskward.book.deeds import Act
from caskward.book.entry import Reading
from caskward.book.history import as_put_right
from caskward.errors import InputError, MissingValue, NotUnderstood
from caskward.errors.book_typed import NameOfNoPage
from caskward.services.book.acting import Made, with_readings
from caskward.services.book.asked import LIQUID_ROOTS, PLACE_ROOTS, Asked, Reader, View, joined
from caskward.services.book.ferment import left_of
from caskward.services.book.kept_readings import kept_reading, rounded
from caskward.units import parse

_DECLARED = ("vessel", "cask", "jar")
_CASK = ("wood", "cooper", "held")
_WORDS = frozenset({"new", "labels"})
"""Words that addresses use beside names."""


def declare(asked: Asked, act: Act, view: View) -> Made:
    """`declare mash tub 600 L`, `declare cask 12 50 L`, `declare jar 7 1 L`."""
    reader = Reader(asked, view)
    name, volume = _name_and_volume(reader)
    place = _place(name)
    known = view.named(name, _DECLARED)
    place = known[0] if len(known) == 1 else place
    if not known:
        _check_new(place.partition("/")[2])
    details = {key: asked.option(key) for key in _CASK if asked.option(key)}
    act = with_readings(act, (kept_reading("volume", volume),))
    return Made(deeds.declare(act, {place: ul(rounded(parse.volume_l(volume)))}, details))


def begin(asked: Asked, act: Act, view: View) -> Made:
    """`begin rye 5`."""
    return Made(deeds.begin(replace(act, batch=batch_name(asked, view, "begin"))))


def close(asked: Asked, act: Act, view: View) -> Made:
    """`close rye 5`; without a name the only one that is open."""
    name = joined(Reader(asked, view).left) or act.batch or ""
    there = view.open_batches
    if not name and len(there) == 1:
        name = there[0]
    if not name:
        raise MissingValue("book close", "which batch", there[0] if there else "rye 5")
    left = left_of(view, act, name) if name in there else ()
    return Made(deeds.close(replace(act, batch=name)), left)


def note(asked: Asked, act: Act, view: View) -> Made:
    """`note the lid was left open --about "tub 1"`."""
    said = " ".join(part for part in asked.parts if part.strip())
    if not said and not act.note:
        raise MissingValue("book note", "its words", "the lid was left open")
    about = asked.option("about")
    if about:
        reader = Reader(asked, view, (about,))
        about = reader.place("what the note is about", PLACE_ROOTS)
    return Made(deeds.note(replace(act, note="\n".join(part for part in (said, act.note) if part)), about))


def measure(asked: Asked, act: Act, view: View) -> Made:
    """`measure "mash 3 h: 1.060, 61 C"`: rows of a batch, as `plan update` takes them; `--of` which place."""
    rows = rows_of(asked)
    # Planning takes longer to load than a deed to record.
    from caskward.services import plan_update, run_log

    plan_update.rows_of((), rows)
    notes = () if "yes" in asked.options else _doubts(act, view, rows)
    rows = run_log.named(rows, _rows_before(act, view))
    of = asked.option("of")
    place = Reader(asked, view, (of,)).place("what was read", LIQUID_ROOTS) if of else ""
    items = (_kept_item(item) for row in rows for item in row.partition(":")[2].split(", "))
    readings = tuple(one for one in items if one is not None)
    return Made(deeds.measure(with_readings(act, readings), place, {"rows": list(rows)}), notes)


def _doubts(act: Act, view: View, rows: tuple[str, ...]) -> tuple[str, ...]:
    """What hardly can be meant, and how it is taken back: it is entered, since only a page can ask."""
    from caskward.services.book import meant

    happened = as_put_right(view.past.of_batch(act.batch)) if act.batch else ()
    found = meant.doubts(happened, rows)
    way = f'If not, put it right: caskward book correct {view.next_number} --why "a slip"'
    return (*found, way) if found else ()


def _rows_before(act: Act, view: View) -> tuple[str, ...]:
    """Rows of the batch that are in already, corrections in the place of what they correct."""
    happened = as_put_right(view.past.of_batch(act.batch)) if act.batch else ()
    said = (one.details.get("rows") for one in happened if one.kind == "measured")
    return tuple(str(row) for rows in said if isinstance(rows, tuple) for row in rows)


def rows_of(asked: Asked) -> tuple[str, ...]:
    """The rows that were typed: each part in quotes is one; without quotes all of it is one."""
    quoted = [" ".join(part.split()) for part in asked.parts if part.strip()]
    if not quoted:
        raise MissingValue("book measure", "a row", '"mash 3 h: 1.060, 61 C"')
    if any(":" in row and row.partition(":")[2].strip() for row in quoted) and all(
        ":" in row for row in quoted
    ):
        return tuple(quoted)
    return (" ".join(quoted),)


def _kept_item(item: str) -> Reading | None:
    """One item of a row as it was typed; what is a yes or a no stays in its row alone."""
    text = item.strip()
    try:
        return kept_reading("read", text) if text else None
    except InputError:
        return None


def batch_name(asked: Asked, view: View, verb: str) -> str:
    """The name of a batch: all words together."""
    name = joined(Reader(asked, view).left)
    if not name:
        raise MissingValue(f"book {verb}", "the name of the batch", "rye 5")
    _check_new(name)
    return name


def _check_new(name: str) -> None:
    """Refuse a name that no page could have for its own; what is in the book already stays as it is."""
    if "/" in name or "\\" in name or not name.strip(".") or name.casefold() in _WORDS:
        raise NameOfNoPage(name)


# The parts ---------------------------------------------------------------------------------------


def _name_and_volume(reader: Reader) -> tuple[str, str]:
    """A name and the volume behind it: as parted by quotes, else the shortest volume at the end."""
    tokens = reader.left
    for at in range(len(tokens) - 1, 0, -1):
        text = joined(tokens[at:])
        if text[:1].isdigit() and not text[-1:].isdigit() and _is_volume(text):
            return joined(tokens[:at]), text
    given = joined(tokens)
    if not given:
        raise MissingValue("book declare", "a vessel and its volume", '"mash tub" 600 L')
    raise NotUnderstood("a vessel and its volume", given, '"mash tub" 600 L or cask 12 50 L')


def _is_volume(text: str) -> bool:
    try:
        return parse.volume_l(text) > 0.0
    except InputError:
        return False


def _place(name: str) -> str:
    """`cask 12` and `jar 7` are what they say; everything else is a vessel."""
    root, _, rest = name.replace("/", " ", 1).partition(" ")
    if root.casefold() in _DECLARED and rest:
        return f"{root.casefold()}/{rest}"
    return f"vessel/{name}"
