"""Volume and strength of a cask over the days since its fill: recorded hard, a year ahead soft."""

from __future__ import annotations

from urllib.parse import quote

from caskward.desk.line_drawing import Drawn, Figure, Soft, drawn
from caskward.services.book.cask_words import CaskShown


def pictures(of: CaskShown) -> tuple[Drawn, ...]:
    """Two pictures; none where there is nothing but the fill."""
    if len(of.points) < 2 and not of.ahead_points:
        return ()
    figures = (
        Figure(
            title=f"Volume, {of.unit}, by days since the fill",
            said=f"Volume over the days. {of.ahead[-1]}",
            recorded=tuple((one.day, one.volume) for one in of.points),
            soft=_ahead(of, "volume"),
            steps=True,
        ),
        Figure(
            title=f"Strength, {of.strength_unit}, by days since the fill",
            said=f"Strength over the days. {of.ahead[-1]}",
            recorded=tuple((one.day, one.strength) for one in of.points),
            soft=_ahead(of, "strength"),
        ),
    )
    return tuple(one for one in map(drawn, figures) if one is not None)


def _ahead(of: CaskShown, name: str) -> tuple[Soft, ...]:
    if not of.ahead_points:
        return ()
    last = of.points[-1]
    now: float = getattr(last, name)
    return ((last.day, now, now, now), *((one.day, *getattr(one, name)) for one in of.ahead_points))


def path_of(account: str) -> str:
    """A cask's page."""
    return f"/casks/{quote(account.partition('/')[2], safe='')}"
