"""The menu: every screen by its own name, each added by the module that has its pages."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Screen:
    """A screen of the menu. `first`: it has a place in a phone's menu, the others are behind `More`."""

    key: str
    name: str
    path: str
    first: bool = True


BENCH = Screen("bench", "Bench", "/")
BATCHES = Screen("batches", "Batches", "/batches")
CASKS = Screen("casks", "Casks", "/casks")
STORES = Screen("stores", "Stores", "/stores", first=False)
GEAR = Screen("gear", "Gear", "/gear", first=False)
BOOK = Screen("book", "Book", "/book")
GAUGING = Screen("gauging", "Gauging", "/gauging")
MORE = "more"
_ALL = (BENCH, BATCHES, CASKS, STORES, GEAR, BOOK, GAUGING)


def screens() -> tuple[Screen, ...]:
    """Every screen, in the order of the menu."""
    return _ALL


def more(shown: tuple[Screen, ...], key: str) -> bool:
    """Whether a phone's menu marks `More` for a screen."""
    return key == MORE or any(one.key == key and not one.first for one in shown)
