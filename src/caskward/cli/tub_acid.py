"""`caskward tub acid`: how much acid, chalk, backset or calcium, by what a trial showed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.still_parts import cautions, headline, notes, together
from caskward.cli.terminal import Terminal, put, put_json, terminal

if TYPE_CHECKING:
    from caskward.services.tub_acid import AcidAnswer
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--to", "PH", "The pH you want."),
    Option("--now", "PH", "The pH of the tub now; otherwise where the trial began."),
    Option("--volume", "V", "How much mash is to be moved."),
    Option(
        "--backset",
        "ROW",
        'A trial mix with backset in its liquor: "10 % moved 5.9 to 5.6". May be given several times.',
        several=True,
    ),
    Option("--liquor", "V", "All the liquor, backset included; otherwise as --volume."),
    Option(
        "--calcium",
        "SALT",
        "Bring the water to 50 mg/L of calcium: gypsum, calcium chloride dihydrate, dry calcium chloride.",
    ),
    Option("--has", "MG/L", 'Calcium in the water already: "20 mg/L".'),
    SHOW,
    JSON,
)


def answer(given: Given) -> int:
    """Work it out and write it."""
    from caskward.services import still_run, tub_acid

    ask = tub_acid.AcidAsk(
        given.words,
        given.text("--to"),
        given.text("--now"),
        given.text("--volume"),
        given.texts("--backset"),
        given.text("--liquor"),
        given.text("--calcium"),
        given.text("--has"),
    )
    shown, tub = given.text("--show"), (ask.volume, ask.liquor)
    system = system_for(shown, tub if any(tub) else (ask.rows,))
    doses = system_for(shown, (ask.rows,) if ask.rows else tub)
    found = tub_acid.acid(ask)
    if given.flag("--json"):
        put_json(still_run.as_json(found))
    else:
        put(as_text(found, system, doses, terminal()))
    return 0


COMMAND = LooseCommand(
    "tub acid",
    "How much acid or chalk brings a mash to a pH, by what a trial in a jar showed.",
    "Stir a little into a litre of the mash, read the pH before and after, and say so. The tub's need "
    "follows with its band: no table knows your mash. Backset goes by a trial mix, calcium by the scale.",
    (
        '"5 mL moved 5.8 to 5.4 in 1 L"             so much, so far, in so much mash; mL or g',
        '"4 g of chalk moved 5.0 to 5.3 in 10 L"    its name, if you like; several rows parted by ";"',
    ),
    _OPTIONS,
    answer,
    "TRIAL...",
)


def as_text(found: AcidAnswer, system: UnitSystem, doses: UnitSystem, to: Terminal) -> str:
    """The whole answer: what to add, what was taken for granted, cautions."""
    from caskward.services import tub_acid_words as words

    return together(
        *(headline(sentence, to) for sentence in words.sentences(found, system, doses)),
        notes(words.remarks(found), to),
        cautions(words.minded(found), to),
    )
