"""Something that is understood, and asked about before it is entered."""

from __future__ import annotations

from collections.abc import Sequence

from caskward.errors.common import InputError


class IsItMeant(InputError):
    """Readings that are hardly meant as they stand: sent again with a yes they are entered."""

    def __init__(self, questions: Sequence[str]) -> None:
        super().__init__(" ".join(questions))


class OnlyOfTheTub(InputError):
    """A reading of another stage in the field of a tub."""

    def __init__(self, stage: str) -> None:
        super().__init__(
            f"This field takes what is read of the tub, a mash or a ferment, and not of the {stage}. "
            "Record that on the batch's page."
        )
