"""What an amount came to, and what it was measured with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from caskward.book.amounts import NONE, Liquid
from caskward.book.entry import Reading


@dataclass(frozen=True, slots=True)
class Tools:
    """What was measured with, where the words do not say it; keys and texts as `gauge` takes them.

    within: by how much the amount may be off, `0.5 L` or `2 %`, instead of what the instruments say.
    original: of a wash, its gravity before it fermented.
    """

    meter: str = ""
    error: str = ""
    calibrated: str = ""
    thermometer: str = ""
    measured_by: str = ""
    vessel: str = ""
    within: str = ""
    original: str = ""

    @classmethod
    def of(cls, options: Mapping[str, tuple[str, ...]]) -> Tools:
        """Those among the options of a deed."""
        names = {field_name: field_name.replace("_", "-") for field_name in cls.__slots__}
        given = {one: options[option][0] for one, option in names.items() if options.get(option)}
        return cls(**given)


@dataclass(frozen=True, slots=True)
class Measured:
    """What an amount came to.

    liquid: at 20 °C. within: what the instruments may be wrong by, 95 times in 100. devices: what was taken
    for granted of them. all: everything that is
    there was meant. unmeasured: so much as the book has. words: what was said besides.
    """

    liquid: Liquid
    within: Liquid = NONE
    readings: tuple[Reading, ...] = ()
    notes: tuple[str, ...] = ()
    devices: tuple[str, ...] = ()
    all: bool = False
    unmeasured: bool = False
    words: str = ""

    @property
    def notes_of_doubt(self) -> tuple[str, ...]:
        """What has to be said where the doubt counts: what was taken for granted of the instruments, too."""
        return (*self.notes, *self.devices)
