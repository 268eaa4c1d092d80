"""`caskward materials`: what a bill may name."""

from __future__ import annotations

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
    lines = _listed(found, to)
    if len(found) <= _FEW:
        lines += [line for fact in found for line in _closer(fact, to)]
    note = "Shares are of the mass as it arrives; the alcohol is what chemistry allows, before any loss."
    return "\n".join([*lines, "", *(to.paint(line, "dim") for line in wrapped(note, to.width))])


def _listed(found: tuple[MaterialFact, ...], to: Terminal) -> list[str]:
    """Every material in one table, under the name of its kind."""
    rows: list[tuple[str, ...]] = [("", "starch", "sugars", "pure alcohol, at most")]
    headings = [0]
    for kind in dict.fromkeys(fact.kind for fact in found):
        headings.append(len(rows))
        rows.append((kind.capitalize(),))
        rows += [_row(fact) for fact in found if fact.kind == kind]
    lines = table(rows, "lrrr", to.width, indent="")
    return [to.paint(line, "bold") if i in headings else line for i, line in enumerate(lines)]


def _row(fact: MaterialFact) -> tuple[str, str, str, str]:
    return (
        f"   {fact.name}",
        _share(fact.starch_share),
        _share(fact.sugars_share),
        f"{fact.most_lpa_per_kg:.2f} L/kg",
    )


def _share(share: float) -> str:
    return f"{share * 100:.0f} %" if share >= 0.005 else ""


def _closer(fact: MaterialFact, to: Terminal) -> list[str]:
    called = f", also called {', '.join(fact.other_names)}" if fact.other_names else ""
    lines = ["", *wrapped(f"{fact.name}{called}", to.width)]
    if fact.caution:
        lines += [to.paint(line, "caution") for line in wrapped(fact.caution, to.width, "Caution  ", " " * 9)]
    return lines
