"""`caskward materials`: what a bill may name."""

from __future__ import annotations

from itertools import groupby
from typing import TYPE_CHECKING, Annotated

import typer

from caskward.cli.layout import table, wrapped
from caskward.cli.terminal import Terminal, put, put_json, terminal

if TYPE_CHECKING:
    from caskward.services.facts import MaterialFact

_FEW = 3
"""Up to this many materials are shown with their other names and cautions."""


def materials(
    word: Annotated[
        str, typer.Argument(metavar="WORD", help="Part of a name, or a kind such as malt or fruit.")
    ] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Write the materials as JSON.")] = False,
) -> int:
    """List the materials that a bill may name, with what they bring.

    With a WORD, only those whose name, other names or kind hold it.
    """
    from caskward.services import facts

    found = facts.materials(word)
    if as_json:
        put_json(facts.as_json(found))
    else:
        put(_as_text(found, terminal()))
    return 0


def _as_text(found: tuple[MaterialFact, ...], to: Terminal) -> str:
    lines = []
    by_kind = sorted(found, key=lambda fact: list(dict.fromkeys(f.kind for f in found)).index(fact.kind))
    for kind, facts in groupby(by_kind, key=lambda fact: fact.kind):
        group = list(facts)
        rows = [("", "starch", "sugars", "pure alcohol, at most"), *(_row(fact) for fact in group)]
        heading, *others = table(rows, "lrrr", to.width)
        lines += [to.paint(kind.capitalize() + heading[len(kind) :], "bold"), *others, ""]
    if len(found) <= _FEW:
        for fact in found:
            lines += _closer(fact, to)
    note = "Shares are of the mass as it arrives; the alcohol is what chemistry allows, before any loss."
    return "\n".join([*lines, *(to.paint(line, "dim") for line in wrapped(note, to.width))])


def _row(fact: MaterialFact) -> tuple[str, str, str, str]:
    return (
        fact.name,
        f"{fact.starch_share:.0%}" if fact.starch_share else "",
        f"{fact.sugars_share:.0%}" if fact.sugars_share else "",
        f"{fact.most_lpa_per_kg:.2f} L/kg",
    )


def _closer(fact: MaterialFact, to: Terminal) -> list[str]:
    lines = []
    if fact.other_names:
        lines += wrapped(f"{fact.name} may also be called: {', '.join(fact.other_names)}.", to.width)
    if fact.caution:
        lines += [to.paint(line, "caution") for line in wrapped(f"Caution  {fact.caution}", to.width)]
    return [*lines, ""] if lines else []
