"""What the desk works out beside its pages and cannot have, or not yet."""

from __future__ import annotations

from caskward.errors.common import CaskwardError


class NotWorkedOut(CaskwardError):
    """A fault of Caskward's own while something was worked out."""

    def __init__(self, fault: Exception) -> None:
        super().__init__(f"This could not be worked out ({type(fault).__name__}). The record is whole.")


class NotYet(CaskwardError):
    """Something that is not there now, and will be if the same is asked again in a while."""


class PutAside(NotYet):
    """Something that was asked for, and was dropped before it was begun."""

    def __init__(self) -> None:
        super().__init__("So much else was asked for that this was put aside. Ask for it again.")
