"""One value on its way in: what was given, the kind it should be, and the sentences it may end in."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Generic, TypeVar

from caskward.errors import (
    InputError,
    NotAnAmount,
    NothingGiven,
    NotUnderstood,
    OutOfRange,
    UnclearValue,
    WrongKind,
)
from caskward.units import names, numbers
from caskward.units.kind import Kind

T = TypeVar("T")
ABSURD = 1e9
LONGEST_TEXT = 80


@dataclass(frozen=True, slots=True)
class Typed(Generic[T]):
    """A given text or number, the kind of quantity it should be, and the name of its field."""

    given: object
    kind: Kind[T]
    what: str

    @property
    def said(self) -> str:
        """What was given, short enough for a sentence."""
        text = " ".join(str(self.given).split())
        return text if len(text) <= 40 else f"{text[:37]}..."

    # Reading it

    def text(self) -> str:
        """The typed text with plain signs and single spaces; neither empty nor a page long."""
        if not isinstance(self.given, str) or len(self.given) > LONGEST_TEXT:
            raise self.not_understood()
        text = numbers.tidied(self.given)
        if not text:
            raise NothingGiven(self.what, self.kind.examples)
        return text

    def value_and_unit(self) -> tuple[float, str]:
        """The number as typed and the name of its unit, which is empty if there is none."""
        if not isinstance(self.given, str):
            return self._plain(), ""
        parted = numbers.split_number(self.text())
        if not parted:
            raise self.not_understood()
        return self.number(*parted), parted[2]

    def number(self, sign: str, written: str, unit: str) -> float:
        """The value of a number as written, with its sign; `unit` only goes into the sentence."""
        try:
            value = numbers.number(written, self.kind.comma_may_group)
        except numbers.TwoWays as two:
            raise self.unclear(*(f"{way} {unit}".strip() for way in two.writings)) from None
        except (ValueError, OverflowError):
            raise self.not_understood() from None
        if sign == "-":
            value = -value
        # With a unit it is the converted amount that may be absurd: 2 000 000 000 ug is 2 kg.
        return value + 0.0 if unit and math.isfinite(value) else self.within_reason(value)

    def _plain(self) -> float:
        """A number given as a number; a yes or no is none."""
        if isinstance(self.given, bool) or not hasattr(self.given, "__float__"):
            raise self.not_understood()
        try:
            value = float(self.given)
        except OverflowError:
            value = math.inf
        except (TypeError, ValueError):
            raise self.not_understood() from None
        return self.within_reason(value)

    def find(self, unit: str) -> T | None:
        """What the unit stands for, or nothing; a sentence if it can stand for two things."""
        try:
            return self.kind.find(unit)
        except numbers.TwoWays as two:
            before = numbers.tidied(str(self.given)).removesuffix(unit).rstrip()
            raise self.unclear(*(f"{before} {way}" for way in two.writings)) from None

    def meaning(self, unit: str) -> T:
        """What the unit stands for; a sentence if it stands for nothing here."""
        found = self.find(unit)
        if found is None:
            raise self.stranger(unit)
        return found

    def within_reason(self, value: float) -> float:
        """The value, if it is a number that is not absurd; a zero loses its sign."""
        if math.isnan(value):
            raise self.cannot_be("not a number")
        if abs(value) > ABSURD:
            raise self.cannot_be("far too large")
        return value + 0.0

    def not_negative(self, value: float) -> float:
        """The value, if it is zero or more."""
        if value < 0:
            raise self.cannot_be("below zero")
        return value

    # Sentences

    def not_understood(self) -> InputError:
        """The text makes no sense here."""
        return NotUnderstood(self.what, self.said, self.kind.examples)

    def cannot_be(self, reason: str) -> InputError:
        """The number is none that can happen."""
        return NotAnAmount(self.what, self.said, reason, self.kind.examples)

    def unclear(self, *writings: str) -> InputError:
        """The text can mean different things."""
        return UnclearValue(self.what, self.said, writings)

    def outside(self, value: float, unit: str, low: float, high: float) -> InputError:
        """The value is outside what its scale allows."""
        return OutOfRange(self.what[:1].upper() + self.what[1:], value, unit, low, high)

    def stranger(self, unit: str) -> InputError:
        """The unit does not belong here; says what it measures, if that is known."""
        other = names.kind_of(unit) if unit else None
        if other and other != self.kind.noun:
            return WrongKind(self.what, self.said, other, self.kind.noun, self.kind.examples)
        return self.not_understood()
