"""A log of what the desk refused, for the maker to look through: when, who, what, from where; no secrets."""

from __future__ import annotations

from typing import TYPE_CHECKING

from starlette.requests import Request

from caskward.desk import files, wall_clock
from caskward.errors import CaskwardError

if TYPE_CHECKING:
    from caskward.desk.house import House

FILE = "refused.log"
_MOST_BYTES = 1_000_000


def note(house: House, request: Request, error: CaskwardError) -> None:
    """Add a line to the log; the fuller half of a log that has grown long is put aside."""
    path = house.settings.folder / FILE
    try:
        if path.stat().st_size > _MOST_BYTES:
            path.replace(path.with_suffix(".old.log"))
    except OSError:
        pass
    session = getattr(request.state, "session", None)
    who = session.person.name if session and session.person else "-"
    client = request.client.host if request.client else "-"
    when = wall_clock.now().isoformat(timespec="seconds")
    what = f"{request.method} {request.url.path}"[:200]
    parts = (when, client, who, what, type(error).__name__)
    files.append(path, "\t".join(part.encode("unicode_escape").decode() for part in parts))
