"""`caskward still feints`: where feints settle when they go back each time."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.answers import figures, system_for
from caskward.cli.loose import Given, LooseCommand, Option
from caskward.cli.still_gear import COMMON, gear_of
from caskward.cli.still_parts import cautions, headline, notes, titled, together
from caskward.cli.terminal import Terminal, patience, put, put_json, terminal
from caskward.errors import MissingValue, UnknownName

if TYPE_CHECKING:
    from caskward.services.still_feints import FeintsReport
    from caskward.units.types import UnitSystem

_OPTIONS = (
    Option("--cap", "LIMIT", 'Most in the heart: "ethyl acetate 30 g/hL" of pure alcohol.', several=True),
    Option("--confidence", "S", 'How surely each limit is kept: "90 %"; otherwise 80 %.'),
    Option(
        "--throw", "PART", "What would be thrown away to keep it: heads, tails or feints; otherwise heads."
    ),
    Option("--heads-thrown", "S", 'Share of the heads that is thrown away each time: "20 %".'),
    Option("--tails-thrown", "S", "Share of the tails that is thrown away each time."),
    Option("--foreshots", "S", "Share of the alcohol that is discarded first; otherwise as the trade."),
    Option("--heads", "S", "Share of the alcohol that comes next as heads; otherwise as the trade."),
    Option("--heart-end", "S", "Strength at the spout where the heart ends; otherwise as the trade."),
    Option("--tails-end", "S", "Strength at the spout where the run stops; otherwise as the trade."),
    *COMMON,
)


def answer(given: Given) -> int:
    """Feed feints back until nothing changes, and write it."""
    from caskward.services import still_feints, still_run, still_typed
    from caskward.units import parse

    if not given.words:
        example = 'caskward still feints "90 L 26 %" --limit "110 L"'
        raise MissingValue("still feints", "the low wines of each batch", example)
    low_wines = still_typed.charge(given.words)

    def share(name: str, what: str) -> float | None:
        text = given.text(name)
        return parse.share(text, what=what) if text else None

    def strength(name: str, what: str) -> float | None:
        text = given.text(name)
        return still_typed.strength_pct_vol(text, what) if text else None

    part = given.text("--throw") or "heads"
    if part not in ("heads", "tails", "feints"):
        raise UnknownName("part of a run", part, None, ("heads", "tails", "feints"))
    system = system_for(given.text("--show"), given.everything("--site-rule"))
    sure = share("--confidence", "the confidence")
    ask = still_feints.FeintsAsk(
        low_wines.volume_l,
        low_wines.pct_vol,
        gear_of(given),
        style=given.text("--style") or "grain",
        foreshots_share=share("--foreshots", "the share of foreshots"),
        heads_share=share("--heads", "the share of heads"),
        heart_end_pct_vol=strength("--heart-end", "the heart's end"),
        tails_stop_pct_vol=strength("--tails-end", "the stop"),
        heads_thrown=share("--heads-thrown", "the share of heads thrown away") or 0.0,
        tails_thrown=share("--tails-thrown", "the share of tails thrown away") or 0.0,
        caps=tuple(still_typed.cap_of(text) for text in given.texts("--cap")),
        part=still_feints.part_of(part),
        confidence=0.8 if sure is None else sure,
        system=system,
    )
    with patience("Running batch after batch ..."):
        report = still_feints.feints(ask)
    if given.flag("--json"):
        put_json(still_run.as_json(report))
    else:
        put(as_text(report, system, terminal()))
    return 0


COMMAND = LooseCommand(
    "still feints",
    "See where feints settle when they go back each time.",
    "Batch after batch with the same low wines: charge, heart and feints at rest, which congeners build up, "
    "and how much to throw away to keep one under a limit.",
    ("90 L 26 %              the low wines that are fresh in each batch",),
    _OPTIONS,
    answer,
    "LOW_WINES",
)


def as_text(report: FeintsReport, system: UnitSystem, to: Terminal) -> str:
    """The whole answer: the sentence, what to throw, batches until it rests, what builds up, cautions."""
    from caskward.services import still_feints_words as words
    from caskward.services.still_words import BANDS, CONGENERS_ARE_PRIORS, drawn, litre_word

    case = words.case(report)
    return together(
        headline(words.feints_headline(report, system), to),
        cautions(report.charge_cautions, to) + cautions(report.warnings, to, "Mind     "),
        [line for said in words.water_sentences(report, system) for line in headline(said, to)],
        [line for said in words.throw_sentences(report) for line in headline(said, to)],
        figures(words.feints_lines(report, system), to.width),
        titled(
            f"Batch after batch in {litre_word(system)}, with {case}",
            lambda room: words.batch_rows(report, system, room),
            "lrrrrrrrr",
            to,
        ),
        titled(
            f"What builds up once it rests, with {case}",
            lambda room: words.build_up_rows(report, room),
            "llrrr",
            to,
        ),
        notes((report.learned,), to) if report.learned else [],
        notes((*words.cap_notes(report), CONGENERS_ARE_PRIORS, BANDS, drawn(report.worlds, report.seed)), to),
        cautions(report.cautions, to),
    )
