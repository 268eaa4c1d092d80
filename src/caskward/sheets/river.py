"""The alcohol river: every line of the account in the order of the work, with what flows on after it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from caskward.services import AccountLine, Band

RowKind = Literal["in", "lost", "kept", "reach"]

_ORDER = ("materials", "mash", "tub", "wash", "low wines", "charge", "run", "fill")
_REACHES = {
    "materials": "In the materials",
    "mash": "Sugar in the tub",
    "tub": "Fermented wash",
    "wash": "Wash for the still",
    "low wines": "Low wines",
    "charge": "Charge of the spirit run",
    "run": "Heart",
    "fill": "In the cask",
}
_LEAVES_BEFORE = {
    "starch not converted": "mash",
    "sugar left by the yeast": "tub",
    "yeast, glycerol and acids": "tub",
    "carried off with the gas": "tub",
    "held by the spent solids": "wash",
    "left on the lees": "wash",
    "spent solids": "wash",
    "left in hoses and vessels": "wash",
    "left in the still after stripping": "low wines",
    "foreshots discarded": "run",
    "left in the still after the spirit run": "run",
    "spirit left in pipes and funnel": "fill",
}
_CASK = "kept/cask"


@dataclass(frozen=True)
class RiverRow:
    """One row: pure alcohol comes in, is lost, is kept, or a reach says how much flows there."""

    kind: RowKind
    words: str
    millilitres: int
    before_ml: int
    after_ml: int
    band_lpa: Band | None


def river(account: tuple[AccountLine, ...]) -> tuple[RiverRow, ...]:
    """The account as a river, from the materials to the cask.

    A loss of a name unknown here leaves where the loss before it left, as the account stands in the order
    of the work. What the account keeps beside the cask leaves where it is set aside.
    """
    by_reach: dict[str, list[AccountLine]] = {reach: [] for reach in _ORDER}
    last = _ORDER[0]
    for line in account:
        last = _reach_of(line, last)
        by_reach[last].append(line)
    rows, flow = [], 0
    for reach in _ORDER:
        lines = [line for line in by_reach[reach] if line.key != _CASK]
        for line in lines:
            row = _row(line, flow)
            rows.append(row)
            flow = row.after_ml
        if lines and reach != "fill":
            rows.append(RiverRow("reach", _REACHES[reach], flow, flow, flow, None))
    return (*rows, *_cask(account, flow))


def _reach_of(line: AccountLine, last: str) -> str:
    if line.side == "in":
        return "charge" if line.key.startswith("stock/") else "materials"
    if line.side == "kept":
        return "run" if line.key == "kept/feints" else "fill"
    return _LEAVES_BEFORE.get(line.words, "mash" if last in ("materials", "charge") else last)


def _row(line: AccountLine, flow_ml: int) -> RiverRow:
    after = flow_ml + (line.millilitres if line.side == "in" else -line.millilitres)
    return RiverRow(line.side, line.words, line.millilitres, flow_ml, after, line.band_lpa)


def _cask(account: tuple[AccountLine, ...], flow_ml: int) -> Iterator[RiverRow]:
    """The end of the river: what the cask holds is all that is left in it."""
    for line in account:
        if line.key == _CASK:
            yield RiverRow("kept", _REACHES["fill"], line.millilitres, flow_ml, 0, line.band_lpa)
