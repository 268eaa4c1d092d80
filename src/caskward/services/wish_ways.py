"""A way out of a refusal as a plan's file: what two wishes differ in, written over the first one's file."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from typing import Any, Final

from caskward.catalogue.load import load
from caskward.planning.advice import ways_out
from caskward.planning.intent import Intent
from caskward.planning.plan import SolvedChange
from caskward.planning.planner import solved
from caskward.services.wish_file import Table, as_text, table_of
from caskward.units import convert
from caskward.units.types import UnitSystem

Writer = Callable[[Intent], Any]


@dataclass(frozen=True)
class Way:
    """A change that makes a wish possible, and the plan's file with it."""

    change: SolvedChange
    file: str


def ways(text: str, intent: Intent, go_on: Callable[[], bool] = lambda: True) -> Iterator[Way]:
    """Ways out, one by one as they are found; each takes some seconds.

    Args:
        text: the plan's file. intent: the wish that was read from it. go_on: asked now and then whether
            they are still wanted.
    """
    for found in ways_out(intent, load(), go_on=go_on):
        yield Way(solved(found), changed(text, intent, found.sized.intent))


def changed(text: str, before: Intent, after: Intent) -> str:
    """The file of a wish with all that another wish has otherwise; the rest of it stays."""
    table = deepcopy(table_of(text))
    for path, write in _WRITERS.items():
        value = write(after)
        if value != write(before):
            _put(table, path, value)
    if _shares(before) != _shares(after):
        _put_bill(table, before, after)
    return as_text(table)


def _put(table: Table, path: tuple[str, ...], value: Any) -> None:
    for key in path[:-1]:
        table = table.setdefault(key, {})
    if value is None:
        table.pop(path[-1], None)
    else:
        table[path[-1]] = value


def _shares(intent: Intent) -> list[tuple[str, float]]:
    return [(item.material.key, item.share) for item in intent.bill]


def _put_bill(table: Table, before: Intent, after: Intent) -> None:
    """Rows of the bill keep their names and analyses; what came in stands behind them."""
    rows = {item.material.key: row for item, row in zip(before.bill, table["bill"], strict=True)}
    table["bill"] = [
        {**rows.get(item.material.key, {"material": item.material.name.lower()}), "share": _share(item.share)}
        for item in after.bill
    ]


# How each part is written ------------------------------------------------------------------------


def _share(share: float) -> str:
    return f"{100.0 * share:.6g} %"


def _strength(pct_vol: float | None) -> str | None:
    return None if pct_vol is None else f"{pct_vol:.6g} %"


def _volume(volume_l: float, system: UnitSystem) -> str:
    if system == "us":
        return f"{float(convert.us_gallons_from_litres(volume_l)):.6g} gal"
    return f"{volume_l:.6g} L"


def _spirits(of: Intent) -> list[Table] | None:
    rows = [
        {"kind": one.kind, "volume": _volume(one.volume_l, of.show), "strength": _strength(one.pct_vol)}
        for one in of.stock.spirits
    ]
    return rows or None


def _spirit_still(of: Intent) -> Table | None:
    """The spirit still, where it is another than the strip still."""
    still, strip = of.gear.spirit_still, of.gear.strip_still
    if still == strip:
        return None
    return {
        "name": still.name,
        "kind": still.kind.key,
        "charge_limit": _volume(still.charge_limit_l, of.show),
        "minimum_charge": _volume(still.minimum_charge_l, of.show),
        "power": f"{still.power_kw:.6g} kW",
        "heat": still.heat.key,
    }


_WRITERS: Final[dict[tuple[str, ...], Writer]] = {
    ("most_ferments",): lambda of: of.most_ferments,
    ("confidence",): lambda of: _share(of.confidence),
    ("yeast",): lambda of: of.yeast.key,
    ("straining",): lambda of: of.gear.straining.key,
    ("mash", "water_l_per_kg"): lambda of: of.water_l_per_kg,
    ("cask", "capacity"): lambda of: _volume(of.cask.capacity_l, of.show),
    ("cask", "settle_strength"): lambda of: _strength(of.cask.settle_pct_vol),
    ("cask", "entry_strength"): lambda of: _strength(of.cask.entry_pct_vol),
    ("cuts", "strip_stop"): lambda of: _strength(of.cuts.strip_stop_pct_vol),
    ("cuts", "heart_end"): lambda of: _strength(of.cuts.heart_end_pct_vol),
    ("cuts", "heads"): lambda of: _share(of.cuts.heads_share),
    ("strip_still", "minimum_charge"): lambda of: _volume(of.gear.strip_still.minimum_charge_l, of.show),
    ("stock", "buy_more"): lambda of: of.stock.buys_more,
    ("stock", "spirit"): _spirits,
    ("spirit_still",): _spirit_still,
}
"""All that advice may change, but the bill; by where it stands in the file."""
