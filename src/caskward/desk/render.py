"""From a page's data to HTML: the whole page, or the part of it that an update asked for; refusals, too."""

from __future__ import annotations

import re
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup, escape
from starlette.requests import Request
from starlette.responses import HTMLResponse, JSONResponse, Response

from caskward.desk.house import House
from caskward.desk.pages import Deed, Frame, Refusal, Titled
from caskward.desk.screens import more, screens
from caskward.desk.session import Session
from caskward.desk.spoken import finalized, spoken
from caskward.errors import CaskwardError, ImpossibleIntent, InputError
from caskward.errors.book import NoSuchEntry
from caskward.errors.book_typed import PlaceUnknown
from caskward.errors.desk import DeskRefusal
from caskward.errors.desk_work import NotYet
from caskward.services.book.roles import may_do
from caskward.units import show
from caskward.units.types import UnitSystem

UNITS_COOKIE, LOOK_COOKIE = "caskward-units", "caskward-look"
_NUMBER_AND_UNIT = re.compile(r"(?<=\d) (?=[%°±]|[A-Za-z]{1,4}\b)|(?<=±) (?=\d)")
_ENTRY = re.compile(r"\b([Ee]ntry )(\d{1,9})\b")
LOOKS = ("auto", "light", "dark", "contrast")


@cache
def environment() -> Environment:
    """The templates; a name that a page does not have is a fault, not a blank."""
    found = Environment(
        loader=PackageLoader("caskward.desk", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=finalized(Markup),
        auto_reload=False,  # else every template of a page is looked for on disk at every page
    )
    found.filters["arrows"] = lambda text: together(text.replace(" -> ", " → "))
    found.filters["together"] = together
    found.filters["entries"] = entries
    found.filters["degrees"] = show.temperatures_in
    found.filters["allowed"] = allowed
    found.filters["exact"] = escape
    return found


def together(text: str) -> str:
    """A figure stays on one line with its unit and its doubt."""
    return _NUMBER_AND_UNIT.sub("\u00a0", text)


def entries(text: str) -> Markup:
    """A sentence whose entries of the book lead to their pages."""
    linked = _ENTRY.sub(r'<a href="/book/entries/\2">\1\2</a>', str(escape(together(spoken(text)))))
    return Markup(linked)


def allowed(shown: tuple[Deed, ...], role: str) -> list[Deed]:
    """Those deeds that somebody of a role may do."""
    return [one for one in shown if may_do(role, one.verb)]


def page(request: Request, template: str, data: Titled, *, status: int = 200, part: str = "") -> Response:
    """A whole page, or only its part where an update asked for it.

    Args:
        template: `gauging`, for `templates/gauging.html`. part: `answer`, for `templates/parts/answer.html`.
    """
    name = f"parts/{part}.html" if part and is_update(request) else f"{template}.html"
    html = environment().get_template(name).render(page=data, frame=frame(request, data))
    return HTMLResponse(html, status, headers={"Vary": "HX-Request, Cookie"})


def is_update(request: Request) -> bool:
    """Whether a script asks for a part of a page."""
    return "hx-request" in request.headers


def wants_json(request: Request) -> bool:
    """Whether a script asks for data and not for a page."""
    return "application/json" in request.headers.get("accept", "")


def refusal(request: Request, error: CaskwardError, *, status: int = 0) -> Response:
    """A refusal as a page, as a part of one, or as data; the sentence is the error's own."""
    if wants_json(request):
        return JSONResponse({"error": spoken(str(error))}, status or status_of(error))
    data = Refusal(title=_title_of(error), screen="", sentence=str(error))
    return page(request, "refusal", data, status=status or status_of(error), part="refusal")


def status_of(error: CaskwardError) -> int:
    """HTTP's number for an error."""
    if isinstance(error, DeskRefusal):
        return error.status
    if isinstance(error, (NoSuchEntry, PlaceUnknown)):
        return 404
    if isinstance(error, NotYet):
        return 503
    return 422 if isinstance(error, (InputError, ImpossibleIntent)) else 500


def _title_of(error: CaskwardError) -> str:
    return {401: "Sign in", 404: "No such page", 500: "A fault"}.get(status_of(error), "Not done")


def units_of(request: Request) -> UnitSystem:
    """The units that this browser chose; metric unless it did."""
    return "us" if request.cookies.get(UNITS_COOKIE) == "us" else "metric"


def look_of(request: Request) -> str:
    """Light, dark or high contrast as this browser chose; otherwise as its machine does."""
    look = request.cookies.get(LOOK_COOKIE, "auto")
    return look if look in LOOKS else "auto"


def frame(request: Request, data: Titled) -> Frame:
    """What stands around every page."""
    house: House = request.state.house
    session: Session | None = getattr(request.state, "session", None)
    known = session is not None and (session.person is not None or not house.settings.lan)
    all_screens = screens() if known else ()
    return Frame(
        title=data.title,
        screen=data.screen,
        screens=all_screens,
        more=more(all_screens, data.screen),
        static=f"/static/{house.static.version}",
        token=house.sessions.token(session) if session else "",
        who=session.person.name if session and session.person else "",
        role=role_of(request),
        look=look_of(request),
        units=units_of(request),
        live=known,
        invented=known and house.book.invented(),
        book=house.book.which() if known else "",
    )


def role_of(request: Request) -> str:
    """What the one who asks may do; on this machine's own screen everything."""
    house: House = request.state.house
    session: Session | None = getattr(request.state, "session", None)
    if session is not None and session.person is not None:
        return session.person.role
    return "" if house.settings.lan else "maker"
