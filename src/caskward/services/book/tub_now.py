"""What now? The answer to a question about a batch's tub, as a page shows it."""

from __future__ import annotations

from dataclasses import dataclass

from caskward.services import tub_ask_words as words
from caskward.services import tub_mend_words
from caskward.services.tub_ask import TubAnswer
from caskward.units.types import UnitSystem

_BEFORE_EXAMPLE = '--reading "'


@dataclass(frozen=True, slots=True)
class NowShown:
    """The answer in words.

    headline: the answer and the first thing to do. doubted: readings to take again. title, causes: what
    explains the readings, its first row the names of the columns. check: the one that tells most; example:
    its row as it is typed. todo: a cause, and each way to mend it. others: more checks, named like causes.
    """

    headline: str
    doubted: tuple[str, ...]
    title: str
    causes: tuple[tuple[str, ...], ...]
    check: str
    example: str
    todo: tuple[tuple[str, tuple[str, ...]], ...]
    others: tuple[tuple[str, ...], ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def shown(of: TubAnswer, system: UnitSystem) -> NowShown:
    """The answer as it is shown; what is dry wants nothing done about any cause."""
    cautions = tuple(words.cautions(of, system))
    if of.dry:
        return NowShown(words.headline(of, system), (), "", (), "", "", (), (), of.left_out, cautions)
    check = of.answer.check
    told = of.answer.causes[: 1 if of.answer.as_planned and words.likelier(of) is None else None]
    return NowShown(
        headline=words.headline(of, system),
        doubted=tuple(words.doubted_sentences(of, system)),
        title=words.table_title(of),
        causes=_even(words.cause_rows(of, system)),
        check=words.check_sentence(check, system) if check else "",
        example=_example(words.how_to_enter(check, of, system)) if check else "",
        todo=tuple((one.words, tuple(tub_mend_words.mends(of, one, system))) for one in told),
        others=_even(words.more_checks(of, system)),
        notes=(*of.left_out, *words.dry_notes(of), words.ESTIMATE),
        cautions=cautions,
    )


def _even(rows: list[list[str]]) -> tuple[tuple[str, ...], ...]:
    """Rows as long as the first, which names the columns."""
    return tuple((*row, *([""] * (len(rows[0]) - len(row)))) for row in rows)


def _example(said: str) -> str:
    """The row alone, without what only a command needs."""
    return said.partition(_BEFORE_EXAMPLE)[2].rstrip('"')
