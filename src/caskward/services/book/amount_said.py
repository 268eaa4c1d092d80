"""What an amount came to, and what it was measured with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from caskward.book.amounts import NONE, Liquid
from caskward.book.entry import Reading
from caskward.services.gauging_said import Said
from caskward.services.gauging_typed import read
from caskward.units.types import Strength

ALL = frozenset({"all", "everything"})


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


def all_taken(text: str) -> tuple[bool, str]:
    """Whether everything that is there was meant, and the words behind that."""
    first, _, rest = text.strip().partition(" ")
    return (True, rest) if first.casefold() in ALL else (False, text)


def without_water(found: Said) -> Said:
    """`4 L water` holds none, whatever an alcoholmeter would show in it at its temperature."""
    if found.name.casefold() != "water" or found.reading:
        return found
    return replace(found, reading="0 %", name="")


def is_nothing(reading: str) -> bool:
    """Whether no alcohol at all was meant: an exact nought is not corrected for its warmth."""
    value = read(reading, "the reading").value if reading else None
    return isinstance(value, Strength) and value.value == 0.0


def reason(text: str, words: str) -> str:
    """The words behind an amount as they were typed, with the small ones between them."""
    first = words.partition(" ")[0]
    tail = text[text.find(first) :].strip() if first else ""
    return tail if tail and not any(sign.isdigit() for sign in tail) else words


def of_instrument(note: str) -> bool:
    """Whether a note says what was taken for granted of an instrument."""
    return note.startswith(("Read on ", "The thermometer ")) or "taken as measured with" in note
