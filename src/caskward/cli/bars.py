"""Bars of forecasts: solid up to where nine worlds in ten reach, then fading, with a tick at the middle."""

from __future__ import annotations

from caskward.services import Band

SOLID, TICK, MARK = "█", "│", "▲"
_FADE = "▓▒░"


def soft_bar(b: Band, top: float, cells: int) -> str:
    """A bar of `cells` from 0 to `top`: hard to the band's low end, fading to its high end.

    A figure without doubt ends hard; one that is small beside `top` still shows its tick.
    """
    if top <= 0 or b.high <= 0:
        return ""
    if b.low == b.high:
        return SOLID * max(round(b.high / top * cells), 1)
    edge = (round(b.low / top * cells), max(round(b.high / top * cells), 1))
    bar = [SOLID if i < edge[0] else _faded(i, *edge) for i in range(edge[1])]
    tick = min(int(b.mid / top * cells), len(bar) - 1)
    bar[tick : tick + 1] = TICK
    return "".join(bar)


def _faded(cell: int, start: int, end: int) -> str:
    return _FADE[min(int((cell - start) / (end - start) * len(_FADE)), len(_FADE) - 1)]


def mark_under(value: float, top: float, cells: int, words: str) -> str:
    """The line under a bar that points at a value, `   ▲ 24.2 L wanted`, its words on the side with room."""
    at = min(int(value / top * cells), cells - 1)
    if at + 2 + len(words) <= cells:
        return f"{' ' * at}{MARK} {words}"
    return f"{words} {MARK}".rjust(at + 1)
