"""Who may do what with the book: one table, which every way into it asks.

A helper records what happened at the bench. What there is, where it ends and what was wrong is a maker's to
say: vessels and casks, batches, their plans, limits, corrections.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final, Literal, get_args

from caskward.errors.desk import NotYourRole

Role = Literal["reader", "helper", "maker"]
ROLES: Final[tuple[Role, ...]] = get_args(Role)
"""From the least to the most: a reader looks, a helper records, a maker does everything."""
NEEDED: Final[Mapping[str, Role]] = {
    "declare": "maker",
    "begin": "maker",
    "plan": "maker",
    "close": "maker",
    "correct": "maker",
    "marks": "maker",
}
"""By verb; every other deed needs a helper."""


def needed_for(verb: str) -> Role:
    """The least role that may do a deed. verb: as typed, a correction with its number: `correct 12 fill`."""
    return NEEDED.get(verb.partition(" ")[0], "helper")


def may(role: Role, needed: Role) -> bool:
    """Whether a role may do what needs another."""
    return ROLES.index(role) >= ROLES.index(needed)


def may_do(role: str, verb: str) -> bool:
    """Whether somebody of a role may do a deed; nobody in particular may do nothing."""
    return any(role == one and may(one, needed_for(verb)) for one in ROLES)


def check(role: Role, verb: str, name: str) -> None:
    """Refuse a deed that needs another role; raises `NotYourRole`."""
    if not may_do(role, verb):
        raise NotYourRole(name, role, needed_for(verb))
