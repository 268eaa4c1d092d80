"""What a batch needs hands for next, what to read next, and how sure it is: parts of several pages."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any, Final

from caskward.desk import batch_parts, deeds, wall_clock
from caskward.desk.batch_pages import ActShown, DeedForm, NextPart, Part, WhereItGoes
from caskward.desk.thoughts import Failed, Thought
from caskward.services import batch_answers
from caskward.services.batch_answers import ChanceLine, NextRead
from caskward.services.book import (
    batch_follow,
    batch_tub,
    batch_work,
    filled_words,
    next_act,
    ready_deeds,
    stage_reached,
)
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.ready_deeds import Around
from caskward.units import show
from caskward.units.types import UnitSystem

NAMES: Final = ("act", "chance", "next")
"""The stage of the readings at which a batch is read, by the plan's stage that it was last seen at."""
_EXAMPLES: Final = {
    "mash": ("62 C, starch clear", "144 F, starch clear"),
    "ferment": ("1.010, 24 C", "1.010, 75 F"),
    "wash": ("8.4 %, 340 L", "8.4 %, 90 gal"),
    "strip": ("110 L, 26 %", "29 gal, 26 %"),
    "charge": ("119 L, 26 %", "31 gal, 26 %"),
    "run": ("12 L: 71 %", "3 gal: 71 %"),
    "heart": ("22 L, 70 %", "5.8 gal, 70 %"),
    "cask": ("61 %", "61 %"),
}


def part(name: str, of: BatchRecord, thought: Thought | None, system: UnitSystem, at: Around) -> Part[Any]:
    """One of these parts as far as it is known. thought: None for a batch without a plan."""
    if name == "next":
        return next_part(of, thought, system)
    return act_part(of, thought, system, at) if name == "act" else chance_part(of, thought, system, 0.25)


# The next act ------------------------------------------------------------------------------------


def act_part(of: BatchRecord, thought: Thought | None, system: UnitSystem, at: Around) -> Part[ActShown]:
    """What to do next, by the plan's stages: quick, since they stay what they are."""
    found = None if thought is None else thought.part("cards") or _cards_before(thought)
    if not found or isinstance(found, Failed) or not of.is_open:
        return batch_parts.as_part("act", of, waiting=bool(thought and found is None))
    cards, now = batch_work.by_key(found), wall_clock.now()
    act = next_act.next_act(of, cards, now, system)
    if act is None:
        return batch_parts.as_part("act", of)
    since_s = -1 if act.begun is None else round((now - act.begun).total_seconds())
    counts = "ferment" if act.work.key == "ferment" else "mash"
    shown = ActShown(
        act=act,
        clock=show.duration(_whole(since_s, counts)) if since_s >= 0 else "",
        since_s=since_s,
        counts=counts,
        ready=ready_deeds.ready(at, of, cards, act.work, system, now),
    )
    return batch_parts.as_part("act", of, shown)


def deed_form(of: BatchRecord, part_of: Part[ActShown], back: str) -> DeedForm:
    """The form for the deed that ends it; without one it stays out of sight until there is."""
    ready = part_of.answer.ready if part_of.answer else None
    verb = ready.verb if ready else "mash"
    return DeedForm(
        key=deeds.new_key(),
        deeds=(deeds.DEEDS[verb],),
        verb=verb,
        words=ready.words if ready else "",
        label="What goes in, and what the tub holds then",
        button=ready.button if ready else "",
        batch=of.name,
        back=back,
    )


def _cards_before(thought: Thought) -> Any:
    return thought.before.good("cards") if thought.before else None


def _whole(since_s: int, counts: str) -> float:
    """Hours, to the minute; of a ferment to the hour."""
    hours = since_s / 3600.0
    return round(hours * 60.0) / 60.0 if counts == "mash" or hours < 1.0 else float(round(hours))


# How sure, in a line -----------------------------------------------------------------------------


def chance_part(
    of: BatchRecord, thought: Thought | None, system: UnitSystem, wait_s: float = 0.0
) -> Part[ChanceLine]:
    """How sure the cask fills, and what the last record changed of it; once it is filled, with what."""
    if thought is None:
        return batch_parts.as_part("chance", of)
    before = thought.before.good("now") if thought.before else None
    now = thought.part("now")
    if isinstance(now, Failed):
        return batch_parts.as_part("chance", of, error=now.sentence)
    if there := filled_words.filled(of, system):
        line = filled_words.line(there, now.report if now else None, system)
        return batch_parts.as_part("chance", of, line)
    if now is not None:
        was = before.report.chance_now if before else None
        return batch_parts.as_part("chance", of, batch_answers.chance_line(now.report, was, system))
    first = thought.part("first", wait_s) if before else None
    known = batch_answers.first_chance(first) if first and not isinstance(first, Failed) else None
    return batch_parts.as_part("chance", of, known, waiting=True)


# What to read ------------------------------------------------------------------------------------


def next_part(of: BatchRecord, thought: Thought | None, system: UnitSystem) -> NextPart:
    """What to read next, and where a bare reading goes; what was said before stays until there is more."""
    found = thought.part("next") if thought else None
    waiting = thought is not None and found is None
    # One reason is said once: beside how sure it is.
    own = isinstance(found, Failed) and thought is not None and found is not thought.part("now")
    error = found.sentence if own and isinstance(found, Failed) else ""
    if waiting and thought and thought.before:
        found = thought.before.good("next")
    said = None
    if thought and found and not isinstance(found, Failed):
        left = filled_words.without_fill(of, batch_follow.next_by_deeds(of, found))
        said = _advised(thought, left, system)
    plain = batch_parts.as_part("next", of, said, error, waiting=waiting)
    whole = {name: getattr(plain, name) for name in plain.__dataclass_fields__}
    return NextPart(**whole, goes=where_it_goes(of, said, system, wall_clock.now()))


def _advised(thought: Thought, found: Any, system: UnitSystem) -> NextRead | None:
    said = batch_answers.next_read(found, system)
    cards = thought.good("cards") or ()
    cautions = tuple(text for one in cards if said and one.key == said.card for text in one.cautions)
    return replace(said, cautions=cautions) if said else None


def where_it_goes(of: BatchRecord, said: NextRead | None, system: UnitSystem, now: datetime) -> WhereItGoes:
    """Of which stage a bare reading is, and since when by the book; what it does not tell is asked for."""
    stage = said.stage if said else stage_reached.reached(of.happened) or "mash"
    example = said.example if said else _EXAMPLES[stage][1 if system == "us" else 0]
    before, since_s, counts, asks = said.begin if said else stage, -1, "", ""
    if stage in batch_tub.STAGES:
        clock = batch_tub.clock(of, stage, now)
        before, counts = clock.words, stage
        if clock.begun is None:
            time = "90 min" if stage == "mash" else "2 d"
            asks = f"The book does not tell when the {stage} began: add the time, such as {stage} {time}."
        else:
            since_s = round((now - clock.begun) / timedelta(seconds=1))
    elif stage == "cask":
        before = _since_filled(of, now)
    return WhereItGoes(before=before, since_s=since_s, counts=counts, example=example, asks=asks)


def _since_filled(of: BatchRecord, now: datetime) -> str:
    filled = next((one.at for one in reversed(of.happened) if one.kind == "filled"), None)
    days = (now - filled) // timedelta(days=1) if filled else 0
    return f"cask {days} d" if days > 0 else "cask"
