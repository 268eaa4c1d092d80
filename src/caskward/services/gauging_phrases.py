"""What every answer of gauging in words is made of."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.gauging.figure import Share

ODDS = "95 times in 100 the truth lies within the doubt shown."
NO_ADVICE = "Caskward gives estimates; the law and its own instruments decide."
_NAMES_OF_INPUTS = {
    "reading": "the reading",
    "temperature": "the thermometer",
    "dissolved solids": "the dissolved solids",
}


@dataclass(frozen=True, slots=True)
class Words:
    """An answer in words.

    headline  the answer in one sentence
    lines     what and how much, in the order a maker asks
    notes     how sure, what was assumed, what to mind, in whole sentences
    cautions  for safety and law
    """

    headline: str
    lines: tuple[tuple[str, str], ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...] = ()


def sureness(shares: tuple[Share, ...]) -> tuple[str, ...]:
    """What the doubt means, and where most of it comes from."""
    return (ODDS, *causes(shares)) if shares else ()


def causes(shares: tuple[Share, ...]) -> tuple[str, ...]:
    """Where most of the doubt comes from, in one sentence; nothing if there is none."""
    if not shares:
        return ()
    first = shares[0]
    if first.share >= 0.995:
        return (f"All of the doubt comes from {_called(first.name)}.",)
    if first.share >= 0.5:
        return (f"Most of the doubt, {100 * first.share:.0f} %, comes from {_called(first.name)}.",)
    parts = " and ".join(f"{_called(one.name)} ({100 * one.share:.0f} %)" for one in shares[:2])
    return (f"The doubt comes mainly from {parts}.",)


def _called(name: str) -> str:
    """The name of an input in a sentence: `the thermometer`, `reading 2`."""
    if name in _NAMES_OF_INPUTS:
        return _NAMES_OF_INPUTS[name]
    return name if name.startswith("reading ") else f"the {name}"
