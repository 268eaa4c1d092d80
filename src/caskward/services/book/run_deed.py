"""A run's receivers as the words of a deed, `pot still into "jar 1" 1 L 76.8 % at 20 C`, once charged."""

from __future__ import annotations

from caskward.book.accounts import BULK, family_of, name_of
from caskward.services.batch_receivers import RunKey
from caskward.services.book.opened import Book
from caskward.services.run_log import RunLog
from caskward.services.run_units import typed_litres
from caskward.units.types import UnitSystem

_STILLS = ("still", "pot", "boiler")


def deed_words(book: Book, log: RunLog, key: RunKey, system: UnitSystem = "metric") -> str:
    """What ran into what, as `distil` is typed; "" without a charge in a still, or where a figure is missing.

    A balance takes only what was read. Volumes and strengths are those at 20 °C already, which is 68 °F.
    """
    own = log.of_run(key)
    still = charged_still(book)
    if not still or not own or any(one.pct_vol is None for one in own):
        return ""
    warm = "68 F" if system == "us" else "20 C"
    into = ", ".join(
        f'"{jar_of(one.name)}" {typed_litres(one.volume_l, system)} {one.pct_vol:.1f} % at {warm}'
        for one in own
    )
    return f'"{still}" into {into}'


def charged_still(book: Book) -> str:
    """The name of the one still that holds something; "" for none, or several."""
    found = [
        name_of(account)
        for account, there in book.balances("vessel/").items()
        if any(family_of(what) == BULK and amount > 0 for what, amount in there.items())
        and any(word in name_of(account).casefold() for word in _STILLS)
    ]
    return found[0] if len(found) == 1 else ""


def jar_of(name: str) -> str:
    """Every receiver is a jar of the book, whatever its size."""
    return f"jar {name.removeprefix('can ').removeprefix('jar ')}"
