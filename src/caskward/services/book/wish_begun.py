"""A wish becomes a batch of the book with its plan, or the plan of a batch that is open already."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import replace

from caskward.errors import MissingValue
from caskward.errors.book import NoSuchBatch
from caskward.errors.wishes import BatchAlreadyThere, BatchNotOpen, WishImpossible
from caskward.planning.advice import broken
from caskward.services import kept_beliefs
from caskward.services.book import batches, plan_kept
from caskward.services.book.acting import Doing, Recorded
from caskward.services.book.asked import Asked
from caskward.services.book.opened import Book
from caskward.services.book.plan_kept import Prepared
from caskward.services.wish_answer import read_wish, why_not


def ready(text: str, files: Mapping[str, str]) -> Prepared:
    """A wish sized and held against every limit, as the book keeps it.

    Raises:
        InputError: it cannot be used. ImpossibleIntent: it cannot be done as it stands.
    """
    intent = read_wish(text, files)
    sized = kept_beliefs.sized(intent)
    if broken(sized):
        raise WishImpossible(why_not(sized))
    named = {name: files[name] for name in plan_kept.named_in(tomllib.loads(text)) if name in files}
    method = plan_kept.method_data(sized.method)
    return Prepared(text, method, plan_kept.catalogue_digest(), named)


def begin(book: Book, name: str, text: str, files: Mapping[str, str], doing: Doing) -> tuple[Recorded, ...]:
    """Begin a batch with its plan; a wish that cannot be done begins nothing.

    Raises:
        InputError: no name, or one that another batch has. ImpossibleIntent: as `ready`.
    """
    if not name:
        raise MissingValue("The batch", "a name", "rye 5")
    if book.find(doing.key) is None and _standing(book, name) is not None:
        raise BatchAlreadyThere(name)
    return batches.begin_with(book, Asked("begin", (name,)), doing, ready(text, files))


def give(book: Book, name: str, text: str, files: Mapping[str, str], doing: Doing) -> Recorded:
    """Give an open batch a plan, or another one: the last holds.

    Raises:
        NoSuchBatch: there is none. BatchNotOpen: it is closed. ImpossibleIntent: as `ready`.
    """
    standing = _standing(book, name)
    if standing is None:
        raise NoSuchBatch(name, None)
    if standing != "open":
        raise BatchNotOpen(name)
    found = ready(text, files)
    return batches.planned(book, Asked("plan", (name,)), replace(doing, batch=name), found)


def _standing(book: Book, name: str) -> str | None:
    with book.holdings() as holdings:
        return holdings.standing(name)
