"""A simulated tub as text: the sentence, then the parts in the order of the work, cautions in their place."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING

from caskward.cli.answers import figures
from caskward.cli.layout import clean, wrapped
from caskward.cli.still_parts import cautions, headline, notes, titled, together
from caskward.cli.still_plot import Plot, columns, litres_axis
from caskward.cli.terminal import Style, Terminal

if TYPE_CHECKING:
    from caskward.services import Band
    from caskward.services.tub_report import TubReport

_PLOT_CELLS = 66
_INDENT = "   "


def as_text(of: TubReport, to: Terminal) -> str:
    """The whole answer, in the order of the work."""
    from caskward.services import tub_words

    parts: list[Sequence[str]] = [
        _named(of, to),
        headline(tub_words.headline(of), to) + cautions(of.minds, to, "Mind     "),
        _cook(of, to),
        *_mash(of, to),
        *(_added(of, k, to) for k in range(len(of.additions))),
        _pitch(of, to),
        *_ferment(of, to),
        _separate(of, to),
        notes((*of.left_out, *of.unused, tub_words.EIGHT_IN_TEN, tub_words.drawn(of)), to),
    ]
    return together(*parts)


def _named(of: TubReport, to: Terminal) -> list[str]:
    named = clean(" · ".join(part for part in (of.name, of.place) if part))
    mark = "Every figure is invented." if of.invented else ""
    space = to.width - len(named) - len(mark)
    if mark and space >= 2:
        return [to.paint(named, "bold") + " " * space + to.paint(mark, "caution")]
    return [to.paint(named, "bold"), *([to.paint(mark, "caution")] if mark else [])]


def _titled(title: str, lines: Sequence[tuple[str, str]], to: Terminal) -> list[str]:
    return [to.paint(title, "bold"), *figures(lines, to.width)]


def _said(sentences: Sequence[str] | Iterator[str], to: Terminal) -> list[str]:
    return [line for one in sentences if one for line in wrapped(one, to.width, _INDENT)]


def _warned(of: TubReport, stage: str, to: Terminal) -> list[str]:
    return cautions(of.cautions[stage], to, f"{_INDENT}Caution  ")


def _cook(of: TubReport, to: Terminal) -> list[str]:
    from caskward.services import tub_ferment_words, tub_mash_words

    part = of.cook
    if part is None:
        return []
    lines = _titled("Cook, one tub", tub_mash_words.cook_lines(part, of.show), to)
    if part.fits < 0.9:
        lines += _said(("The pot may run over: less in each, or one pot more.",), to)
    lines += titled(
        "The tub as the pots come in",
        lambda room: tub_ferment_words.pot_rows(part, of.show, room),
        "rrrrr",
        to,
    )
    return lines + _warned(of, "cook", to)


def _mash(of: TubReport, to: Terminal) -> Iterator[list[str]]:
    from caskward.services import tub_ferment_words, tub_mash_words

    landing, part = of.landing, of.mash
    if landing is None or part is None:
        return
    lines = _titled("Stir in and land", tub_mash_words.landing_lines(landing, of.show), to)
    yield lines + _said((tub_mash_words.landing_sentence(landing, of.show),), to)
    lines = _titled("Mash, hours since all is together", tub_mash_words.dose_lines(part, of.show), to)
    yield lines + _said(tub_mash_words.mash_sentences(part, of.show), to) + _warned(of, "convert", to)
    yield titled(
        "The mash, in shares of all its starch",
        lambda room: tub_ferment_words.mash_rows(part, of.show, room),
        "rrrrrr",
        to,
    )
    yield titled(
        "What is left of each enzyme",
        lambda room: tub_ferment_words.alive_rows(part, room),
        "r" * (1 + len(part.enzymes)),
        to,
    )


def _added(of: TubReport, k: int, to: Terminal) -> list[str]:
    from caskward.services import tub_words

    one = of.additions[k]
    lines = _titled(f"Add {one.name[:1].lower()}{one.name[1:]}", tub_words.added_lines(one, of.show), to)
    return lines + _said((tub_words.added_sentence(one),), to)


def _pitch(of: TubReport, to: Terminal) -> list[str]:
    from caskward.services import tub_words

    lines = _titled("Pitch", tub_words.pitch_lines(of.pitch, of.show), to)
    return lines + _said(tub_words.pitch_sentences(of.pitch, of.show), to) + _warned(of, "pitch", to)


def _ferment(of: TubReport, to: Terminal) -> Iterator[list[str]]:
    from caskward.services import tub_ferment_words as words

    part = of.ferment
    lines = _titled("Ferment", words.ferment_lines(of), to)
    yield lines + _said(words.ferment_sentences(of), to) + _warned(of, "ferment", to)
    if part.fits:
        found = titled("Your readings", lambda _: words.fit_rows(part.fits, of.show), "lrrrl", to)
        yield found + [to.paint(line, "caution") for line in _said(words.fit_sentences(part), to)]
    title = "The ferment, since the yeast went in" + (", by your readings" if part.rows_before else "")
    yield titled(title, lambda room: words.ferment_rows(part.rows, of.show, room), "rrrrrr", to)
    if part.rows_before:
        yield titled(
            "The same without your readings",
            lambda room: words.ferment_rows(part.rows_before, of.show, min(room, 1)),
            "rrrrrr",
            to,
        )
    yield list(_plots(of, to))


def _plots(of: TubReport, to: Terminal) -> Iterator[str]:
    from caskward.services import still_words
    from caskward.services.tub_plots import gravity_span, in_days, warmth_span

    rows, cells = of.ferment.rows, min(to.width - 12, _PLOT_CELLS)
    heat = [still_words.warmth(r.temp_c, of.show) for r in rows]
    drawn: tuple[tuple[str, Sequence[Band], tuple[float, float, int], str, Style], ...] = (
        ("Gravity", [r.gravity for r in rows], gravity_span(rows), ".3f", "grain"),
        (f"Warmth, {still_words.degree(of.show)}", heat, warmth_span(rows, of.show), ".0f", "lost"),
    )
    hours = [r.at_h for r in rows]
    for title, bands, (low, high, lines), digits, colour in drawn:
        yield to.paint(title, "bold")
        for line in columns(Plot(title, in_days(hours, bands), low, high, lines, digits), cells):
            yield line[:7] + to.paint(line[7:], colour)
    yield from litres_axis(hours[-1] / 24.0, cells, "days")
    yield to.paint("    █ 9 in 10 reach this   ▓▒░ 8 in 10 end in here", "dim")


def _separate(of: TubReport, to: Terminal) -> list[str]:
    from caskward.services import tub_words

    part = of.separate
    lines = _titled(
        f"Separate: {part.way[:1].lower()}{part.way[1:]}", tub_words.separate_lines(part, of.show), to
    )
    return (
        lines + _said((part.note, tub_words.rinse_sentence(part, of.show)), to) + _warned(of, "separate", to)
    )
