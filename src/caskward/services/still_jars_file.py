"""The receivers of a forecast as a file of jars: to choose from, and later to write readings into."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from caskward.catalogue.load import load
from caskward.errors import UnwritableFile, WouldLoseNotes
from caskward.planning.strengths import said
from caskward.services.still_receivers import ReceiverLine
from caskward.services.still_run import RunReport
from caskward.services.still_words import litres
from caskward.units.types import UnitSystem

_HEAD = """\
# The receivers of a run as it may go: middle figures of a forecast, not readings.
# Put in their place what you gauge, and your nose's marks: -2 to 2, or in, out, maybe, discard;
# then take the line forecast = true away.
# Congeners are [low, middle, high] in g/hL of pure alcohol. Then: caskward still choose this-file.toml

forecast = true
"""
_FILLED = 0.5
"""Share of worlds in which anything must be in a receiver for it to be listed."""


def jars_text(report: RunReport, system: UnitSystem) -> str:
    """TOML for `still choose`; receivers that most runs never reach are left out, foreshots are discarded."""
    return "\n".join([_HEAD, *(_jar(one, system) for one in report.receivers if one.filled >= _FILLED)])


def _jar(one: ReceiverLine, system: UnitSystem) -> str:
    return "\n".join(_lines(one, system)) + "\n"


def _lines(one: ReceiverLine, system: UnitSystem) -> Iterator[str]:
    unit = "L" if system == "metric" else "gal"
    yield "[[jar]]"
    yield f'name = "{one.name}"'
    yield f'volume = "{litres(one.volume_l.mid, system):.4g} {unit}"'
    yield f'strength = "{said(one.pct_vol.mid, system).replace("%vol", "%")}"'
    yield f'mark = "{"discard" if one.name.casefold() == "foreshots" else "maybe"}"'
    if one.congeners:
        yield "[jar.congeners]"
    for level in one.congeners:
        of = level.g_hl
        yield f'"{load().congener(level.name).key}" = [{of.low:.3g}, {of.mid:.3g}, {of.high:.3g}]'


def save_jars(text: str, path: Path) -> None:
    """Write a file of jars, never over one that is there: a maker's readings may stand in it.

    Raises:
        WouldLoseNotes: something is there already. UnwritableFile: it cannot be written.
    """
    if path.exists():
        raise WouldLoseNotes(str(path))
    try:
        path.write_text(text, encoding="utf-8")
    except OSError as error:
        raise UnwritableFile(str(path), error.strerror or "it cannot be written") from None
