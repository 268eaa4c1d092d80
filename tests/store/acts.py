"""Invented deeds of Low Marl Farm, written out by hand, so that the store is tested by itself."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from typing import Any

from caskward.book.entry import Deed, Posting, Reading

MORNING = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)
EVENING = datetime(2026, 12, 24, 18, 0, tzinfo=UTC)
TUB, CASK, JAR = "vessel/tub", "cask/12", "jar/7"
LITRE = 1_000_000


def deed(key: str, kind: str, *postings: Posting, after_h: float = 0.0, **more: Any) -> Deed:
    """A deed by an invented distiller."""
    done_at = MORNING + timedelta(hours=after_h)
    return Deed(key=key, kind=kind, done_at=done_at, author="Maud", postings=postings, **more)


def declared(key: str = "declared") -> Deed:
    """The places of the farm and their volumes."""
    return deed(key, "declared", details={"rooms_ul": {TUB: 900 * LITRE, CASK: 50 * LITRE}})


def flow(source: str, target: str, alcohol_ul: int, bulk_ul: int) -> tuple[Posting, ...]:
    """So much pure alcohol in so much liquid, from one account to another."""
    parts = (("alcohol", alcohol_ul), ("bulk", bulk_ul))
    return tuple(
        Posting(account, commodity, sign * amount)
        for account, sign in ((source, -1), (target, 1))
        for commodity, amount in parts
        if amount
    )


def received(key: str = "received", litres: int = 400) -> Deed:
    """Spirit bought, as strong as low wines."""
    postings = flow("received/Hill Farm", TUB, litres * LITRE * 3 // 10, litres * LITRE)
    reading = Reading("strength", "30 % at 18C", "30", "%vol", "alcoholometer 4", "18", "20", "0.2")
    return deed(key, "received", *postings, readings=(reading,), note="Two drums – “dry” seals, naïve label")


def moved(key: str, source: str = TUB, target: str = JAR, ml: int = 500, **more: Any) -> Deed:
    """Some of it poured elsewhere."""
    return deed(key, "moved", *flow(source, target, ml * 300, ml * 1000), **more)


def corrected(key: str, number: int, old: Deed) -> Deed:
    """An entry taken back: nothing of it happened."""
    back = tuple(Posting(part.account, part.commodity, -part.amount) for part in old.postings)
    details = {"reverses": len(back), "as": "", "why": "poured in the wrong jar"}
    return deed(key, "corrected", *back, corrects=number, details=details, after_h=1)


def history(count: int, seed: int = 1) -> Iterator[Deed]:
    """A history of so many deeds, always the same for a seed."""
    drawn = random.Random(seed)
    yield from (declared(), received(), deed("begun", "begun", batch="rye 5"))[:count]
    pours: dict[str, Deed] = {}
    for turn in range(4, count + 1):
        key = f"deed {turn}"
        if turn % 17 == 0 and pours:
            old_key, old = pours.popitem()
            yield corrected(key, int(old_key.split()[1]), old)
        elif turn % 5 == 0:
            reading = Reading("temperature", "31.5C", "31.5", "C", "probe")
            yield deed(key, "measured", batch="rye 5", readings=(reading,), note=f"day {turn}")
        else:
            jar = f"jar/{drawn.randrange(1, 30)}"
            pours[key] = moved(key, target=jar, ml=drawn.randrange(1, 60), batch="rye 5")
            yield pours[key]
