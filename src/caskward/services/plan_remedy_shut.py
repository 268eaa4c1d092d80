"""Why a move is not open to a batch, in a maker's words."""

from __future__ import annotations

from typing import Final

from caskward.planning.remedy_kinds import Closed, ClosedKey


def why_shut(of: Closed) -> str:
    """The reason, short enough to stand in brackets."""
    if of.why != "over":
        return _SHUT[of.why]
    return "the strips are done" if of.key == "strip stop" else _OVER.get(of.stage or "", "it is over")


_OVER: Final = {
    "ferment": "the yeast is in",
    "strip": "the wash is in the still",
    "charge": "the charge is made up",
    "heart": "the heart is cut",
}
_SHUT: Final[dict[ClosedKey, str]] = {
    "no starch": "nothing here has starch to convert",
    "converted": "it would make hardly more sugar",
    "tub full": "the tub has no room",
    "done": "done already",
    "no solids": "there are no spent solids to rinse",
    "none in store": "none in store beyond those of the plan; name others with --feints",
    "as far": "the plan goes as far as is offered",
    "smallest": "no smaller cask is known",
}
