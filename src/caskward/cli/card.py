"""`caskward card`: a correction card for the maker's own instrument, to print and laminate."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.layout import wrapped
from caskward.cli.loose import JSON, Given, LooseCommand, Option
from caskward.cli.terminal import complain, put, put_json, terminal
from caskward.errors import UnknownName, WrongFileKind

if TYPE_CHECKING:
    from caskward.services.gauging_card import Card
    from caskward.sheets.correction_card import Paper

USUAL_FILE = "correction-card.pdf"
_OPTIONS = (
    Option("--meter", "KEY", "Your instrument; gauge --list shows all. Otherwise a narrow alcoholometer."),
    Option("--error", "X", "It is good to so much: 0.2."),
    Option("--thermometer", "X", "Your thermometer is good to so much, 0.2C; or its key."),
    Option("--calibrated", "T", "What its scale is made for: 15C, 60F; otherwise 20C."),
    Option("--no-glass", "", "What floats is not made of glass."),
    Option("--marks", "RANGE", 'What you read on it: "40 to 75".'),
    Option("--temps", "RANGE", 'How warm your samples are: "5 to 35 C", "40 to 95 F".'),
    Option("--targets", "LIST", 'Strengths you reduce to, six at most: "63, 46, 40 %".'),
    Option("--name", "TEXT", "What to print beside the title: a place, a number."),
    Option("--paper", "SIZE", "a4 or letter; otherwise letter for US units."),
    Option("--show", "UNITS", "The units of the card: metric or us; otherwise those of the instrument."),
    JSON,
)
_PAPERS: dict[str, Paper] = {"a4": "a4", "letter": "us-letter", "us-letter": "us-letter"}


def card(given: Given) -> int:
    """Write the card, or its figures as JSON."""
    from caskward.services import gauging_card
    from caskward.services.gauging_card_asks import CardAsk

    shown = given.text("--show")
    paper, path = _paper(given.text("--paper")), _file(given.words)
    made = gauging_card.card(
        CardAsk(
            meter=given.text("--meter") or CardAsk().meter,
            error=given.text("--error"),
            thermometer=given.text("--thermometer"),
            calibrated_at=given.text("--calibrated"),
            glass=not given.flag("--no-glass"),
            marks=given.text("--marks"),
            temps=given.text("--temps"),
            targets=given.text("--targets"),
            system=system_for(shown, ()) if shown else None,
        )
    )
    say: Callable[[str], None] = put
    if given.flag("--json"):
        put_json(gauging_card.as_json(made))
        if not given.words:
            return 0
        say = complain
    _write(made, path, given.text("--name"), paper, say)
    return 0


COMMAND = LooseCommand(
    "card",
    "Print a correction card for your own instrument.",
    "One page for a day without power: what your instrument really says over your usual temperatures, what "
    "to take off a warm volume, and the water from one strength to another.",
    (f"The file to write: my-card.pdf; otherwise {USUAL_FILE}.",),
    _OPTIONS,
    card,
    "[FILE]",
)


def _paper(text: str) -> Paper | None:
    if not text:
        return None
    if text.casefold() not in _PAPERS:
        raise UnknownName("paper", text, None, ("a4", "letter"))
    return _PAPERS[text.casefold()]


def _file(text: str) -> Path:
    path = Path(text or USUAL_FILE)
    if path.suffix.casefold() != ".pdf":
        raise WrongFileKind(text, ".pdf", USUAL_FILE)
    return path


def _write(made: Card, path: Path, name: str, paper: Paper | None, say: Callable[[str], None]) -> None:
    from caskward.sheets import correction_card_to
    from caskward.sheets.correction_card import page_of

    correction_card_to(made, path, name, paper)
    page = page_of(made, name, paper)
    for sentence in (page.example, page.doubt, f"The card, to print and laminate: {path}"):
        say("\n".join(wrapped(sentence, terminal().width)))
