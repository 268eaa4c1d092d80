"""A plan in the book: what it follows from is kept with its batch, and opened again as it was."""

from __future__ import annotations

import hashlib
import re
import tempfile
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path

from caskward.book import deeds
from caskward.book.corrections import meant_details, meant_kind
from caskward.book.deeds import Act
from caskward.book.entry import Deed, Entry
from caskward.book.frozen import FrozenMap
from caskward.book.history import as_put_right
from caskward.errors import CaskwardError
from caskward.errors.book import NoSuchBatch
from caskward.errors.book_typed import NothingPlanned, PlanNotReopened
from caskward.planning.forecast import forecast
from caskward.planning.intent import Intent
from caskward.planning.method import Counts, Method, method_for
from caskward.planning.sizing import Sized, worlds_for
from caskward.services import kept_beliefs, plan_update, plans
from caskward.services.batch_typed import Rows
from caskward.services.book.opened import Book
from caskward.services.kept_beliefs import Say, quiet
from caskward.services.plan_update import PlanUpdate

_WATER = ("water_l", "mash_water_c", "addition_water_c")
_NAMED_FILES = ("learned",)


@dataclass(frozen=True, slots=True)
class Kept:
    """A plan as the book has it. files: those that the plan names, by name; number: of its entry."""

    batch: str
    intent: str
    method: Mapping[str, object]
    catalogue: str
    files: Mapping[str, str]
    number: int


@dataclass(frozen=True, slots=True)
class Reopened:
    """A plan opened again, and what has to be said of it."""

    sized: Sized
    notes: tuple[str, ...]


# Into the book -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Prepared:
    """A plan that was sized, as the book keeps it."""

    intent: str
    method: Mapping[str, object]
    catalogue: str
    files: Mapping[str, str]

    def deed(self, act: Act) -> Deed:
        """The deed that gives the batch of an act this plan."""
        made = deeds.plan(act, self.intent, self.method, self.catalogue)
        return replace(made, details=FrozenMap({**made.details, "files": self.files})) if self.files else made


def prepared(source: str, folder: Path | None = None, say: Say = quiet) -> Prepared:
    """A plan sized now, so that it stays what it is.

    Args:
        source: the plan's text. folder: where the files are that it names.

    Raises:
        InputError: a plan that cannot be used.
    """
    sized = kept_beliefs.sized(plans.intent_text(source, folder), say)
    files = files_of(source, folder or Path())
    return Prepared(source, method_data(sized.method), catalogue_digest(), files)


def method_data(method: Method) -> dict[str, object]:
    """What sizing settled, as it is hashed: fractions as text, each with every digit."""
    counts = method.counts
    return {
        "bill_kg": {key: repr(float(kg)) for key, kg in method.bill_kg.items()},
        "entry_pct_vol": repr(float(method.entry_pct_vol)),
        "counts": {
            "cooks": counts.cooks,
            "ferments": counts.ferments,
            "strips": counts.strips,
            "spirit_runs": counts.spirit_runs,
        },
        **{name: repr(float(getattr(method, name))) for name in _WATER},
    }


def files_of(source: str, folder: Path) -> dict[str, str]:
    """Text of every file that a plan names, by the name it gives."""
    found: dict[str, str] = {}
    for name in named_in(tomllib.loads(source)):
        path = folder / name
        if path.is_file():
            found[name] = path.read_text("utf-8-sig")
    return found


def named_in(table: object) -> list[str]:
    """Names of files that a plan's table, or a part of it, speaks of."""
    if isinstance(table, list):
        return [name for one in table for name in named_in(one)]
    if not isinstance(table, dict):
        return []
    own = [str(table[key]) for key in _NAMED_FILES if isinstance(table.get(key), str)]
    return own + [name for value in table.values() for name in named_in(value)]


def catalogue_digest() -> str:
    """SHA-256 over every file of the catalogue, by name."""
    whole = hashlib.sha256()
    for path, content in sorted(_files(resources.files("caskward.catalogue"), "")):
        whole.update(f"{path}\0{len(content)}\0".encode())
        whole.update(content)
    return whole.hexdigest()


def _files(folder: Traversable, path: str) -> list[tuple[str, bytes]]:
    found: list[tuple[str, bytes]] = []
    for one in folder.iterdir():
        if one.is_dir():
            found += _files(one, f"{path}{one.name}/")
        elif one.name.endswith((".toml", ".csv")):
            found.append((f"{path}{one.name}", one.read_bytes().replace(b"\r\n", b"\n")))
    return found


# Out of the book ---------------------------------------------------------------------------------


def kept_plan(book: Book, batch: str) -> Kept:
    """The newest plan of a batch.

    Raises:
        NoSuchBatch: there is no such batch. NothingPlanned: it has no plan.
    """
    return plan_in(batch, _of_batch(book, batch))


def plan_in(batch: str, entries: Sequence[Entry]) -> Kept:
    """The newest plan among all entries of a batch; raises `NothingPlanned`."""
    for entry in reversed(entries):
        if meant_kind(entry) == "planned":
            return _kept(batch, entry)
    raise NothingPlanned(batch)


def reopened(kept: Kept) -> Reopened:
    """The plan as it was sized, run through today's forecast.

    Raises:
        PlanNotReopened: today's Caskward reads it otherwise, and why.
    """
    try:
        with tempfile.TemporaryDirectory(prefix="caskward-") as folder:
            source = kept.intent
            for number, (name, text) in enumerate(kept.files.items(), 1):
                (Path(folder) / f"file-{number}.toml").write_text(text, "utf-8")
                source = re.sub(rf"(['\"]){re.escape(name)}\1", f'"file-{number}.toml"', source)
            intent = plans.intent_text(source, Path(folder))
        method = _method(kept, intent)
    except (CaskwardError, KeyError, TypeError, ValueError) as error:
        raise PlanNotReopened(kept.batch, _why(error)) from None
    worlds = worlds_for(intent)
    notes: tuple[str, ...] = ()
    if kept.catalogue != catalogue_digest():
        notes = ("The catalogue has changed since this was planned: figures that rest on it may differ.",)
    return Reopened(Sized(intent, method, forecast(intent, method, worlds), worlds), notes)


def sized_of(book: Book, batch: str) -> Reopened:
    """The plan of a batch, opened again."""
    return reopened(kept_plan(book, batch))


def readings_of(book: Book, batch: str) -> Rows:
    """Every row that was recorded for a batch, in order, corrections in the place of what they correct.

    Raises:
        NoSuchBatch: there is no such batch. InputError: rows that do not go together.
    """
    happened = as_put_right(_of_batch(book, batch))
    rows: list[str] = []
    for one in happened:
        if one.kind == "measured" and isinstance(said := one.details.get("rows"), tuple):
            rows += [str(row) for row in said]
    return plan_update.rows_of((), rows)


def followed(book: Book, batch: str, rows: Rows | None = None, say: Say = quiet) -> PlanUpdate:
    """What is believed of a batch by its plan and all that was recorded of it."""
    kept = kept_plan(book, batch)
    found = rows or readings_of(book, batch)
    say("Opening the plan ...")
    opened = reopened(kept)
    report = plan_update.report(plan_update.told_of(opened.sized, found, say))
    return replace(report, notes=(*opened.notes, *report.notes))


def _of_batch(book: Book, batch: str) -> tuple[Entry, ...]:
    entries = book.of_batch(batch)
    if not entries:
        with book.holdings() as holdings:
            known = sorted(holdings.names("batch"))
        raise NoSuchBatch(batch, next((name for name in known if name.casefold() == batch.casefold()), None))
    return entries


def _kept(batch: str, entry: Entry) -> Kept:
    details = meant_details(entry)
    method, files = details.get("method"), details.get("files")
    return Kept(
        batch=batch,
        intent=str(details.get("intent", "")),
        method=method if isinstance(method, FrozenMap) else {},
        catalogue=str(details.get("catalogue", "")),
        files={name: str(text) for name, text in files.items()} if isinstance(files, FrozenMap) else {},
        number=entry.number,
    )


def _method(kept: Kept, intent: Intent) -> Method:
    told = kept.method
    bill, counts = told["bill_kg"], told["counts"]
    if not isinstance(bill, Mapping) or not isinstance(counts, Mapping):
        raise TypeError("the method is not whole.")
    whole = Counts(**{name: int(str(count)) for name, count in counts.items()})
    in_order = [key for key in (item.material.key for item in intent.bill) if key in bill]
    bill_kg = {key: float(str(bill[key])) for key in dict.fromkeys([*in_order, *bill])}
    bare = method_for(intent, bill_kg, float(str(told["entry_pct_vol"])), whole)
    water_l, mash_c, addition_c = (float(str(told[name])) for name in _WATER)
    return replace(bare, water_l=water_l, mash_water_c=mash_c, addition_water_c=addition_c)


def _why(error: Exception) -> str:
    return str(error) if isinstance(error, CaskwardError) else "what was kept of it is not whole."
