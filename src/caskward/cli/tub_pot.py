"""`caskward tub pot`: how much grain a part of the pot holds, its water, whether it fits hot, its heat."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.answers import figures, system_for
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.still_parts import cautions, headline, notes, together
from caskward.cli.terminal import Terminal, put, put_json, terminal

if TYPE_CHECKING:
    from caskward.services.tub_pot import PotAnswer
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--water", "W", 'Its water: "4.5 L/kg" or "80 L"; otherwise as the catalogue says.'),
    Option("--water-c", "T", "How warm the water goes in; otherwise 12C."),
    Option("--strike", "T", "What the stirred mash should come to: the water's temperature follows."),
    Option("--from", "T", "The water comes at this and is warmed in this pot first."),
    Option("--cook", "T", "Heat to this; otherwise what the grain asks for."),
    Option("--hold", "TIME", "Hold it so long; otherwise what the grain asks for."),
    Option("--power", "P", "The heat of the burner or element: hours, steam and swelling follow."),
    Option("--kind", "K", "gas-ring, immersion-element, steam-jacket or induction; otherwise gas-ring."),
    Option("--room", "T", "How warm room and grain are; otherwise 18C."),
    SHOW,
    JSON,
)


def answer(given: Given) -> int:
    """Fill the pot and write what comes of it."""
    from caskward.services import still_run, tub_pot
    from caskward.services.tub_pot_typed import PotAsk

    options = ("water", "water-c", "strike", "from", "cook", "hold", "power", "kind", "room")
    found = tub_pot.fill(PotAsk(given.words, *(given.text(f"--{name}") for name in options)))
    if given.flag("--json"):
        put_json(still_run.as_json(found))
    else:
        system = system_for(given.text("--show"), given.everything())
        put(as_text(found, system, terminal()))
    return 0


COMMAND = LooseCommand(
    "tub pot",
    "How much grain fills part of a pot, its water, whether it fits hot, and how long it heats.",
    "Dry grain is measured by the pot it fills and weighed by its bulk density; the water it asks for, the "
    "room for foam and the heat follow.",
    (
        '"20 % of 120 L" rye      a part of the pot filled with dry grain',
        '"17 kg in 120 L" rye     or grain you weighed',
    ),
    _OPTIONS,
    answer,
    "PART GRAIN",
)


def as_text(found: PotAnswer, system: UnitSystem, to: Terminal) -> str:
    """The whole answer: the sentence, the figures, what was taken for granted, cautions."""
    from caskward.services import tub_pot_words as words

    return together(
        headline(words.headline(found, system), to),
        figures(words.lines(found, system), to.width),
        notes(words.taken(found, system), to),
        cautions(words.cautions(found, system), to),
    )
