"""`caskward still methanol`: what methanol a bill may bring, beside legal limits."""

from __future__ import annotations

from caskward.cli.answers import system_for
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.still_parts import cautions, headline, methanol_part, notes, together
from caskward.cli.terminal import put, put_json, terminal
from caskward.errors import OptionsClash

_OPTIONS = (
    Option("--style", "S", "Without a bill: fruit, pomace, pears, cider, grain, sugar, molasses or agave."),
    Option("--bottled", "S", "Strength in the bottle, for limits on the spirit itself; otherwise 40 %."),
    SHOW,
    JSON,
)


def answer(given: Given) -> int:
    """Work out the band and write it beside the limits."""
    from caskward.services import still_jar_words, still_methanol, still_run, still_typed
    from caskward.services.still_words import BANDS, drawn

    bottled = given.text("--bottled")
    style, bill = given.text("--style"), ""
    if style and given.words:
        raise OptionsClash("--style", "a bill", "The bill says what is fermented: leave --style out.")
    if style:
        style, bill = still_typed.fermented(style)
    report = still_methanol.methanol(
        given.words or bill,
        style,
        still_typed.strength_pct_vol(bottled, "the strength in the bottle") if bottled else 40.0,
    )
    if given.flag("--json"):
        put_json(still_run.as_json(report))
        return 0
    to, system = terminal(), system_for(given.text("--show"), given.everything())
    bottle = still_jar_words.bottle_line(report, system)
    put(
        together(
            headline(still_jar_words.methanol_headline(report), to),
            methanol_part(report, to),
            notes((*([bottle] if bottle else []), BANDS, drawn(report.worlds, report.seed)), to),
            cautions((still_jar_words.LIMITS_CHANGE,), to),
        )
    )
    return 0


COMMAND = LooseCommand(
    "still methanol",
    "See what methanol a bill may bring, beside legal limits.",
    "From the pectin of each material. Beside it stand the limits on what a spirit of this bill could be "
    "sold as. Without a bill, --style says what is fermented.",
    ("60 kg pears, 20 kg apples", "grape pomace"),
    _OPTIONS,
    answer,
    "[BILL]",
)
