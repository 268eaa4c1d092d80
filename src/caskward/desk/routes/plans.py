"""A plan to read, print and take away, of a wish or of a batch; and a batch's end, with what it taught."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from caskward.desk import batch_parts, deeds, wish_forms
from caskward.desk.batch_of import record_of
from caskward.desk.beside import Answer
from caskward.desk.forms import asked, for_a_maker, house_of, typed
from caskward.desk.render import page, units_of
from caskward.desk.routes.wishes import WHOLE_S, doing_of
from caskward.desk.screens import BATCHES
from caskward.desk.wish_pages import ClosePage, PlanPage, TaughtPart
from caskward.errors import ImpossibleIntent, InputError
from caskward.errors.desk import NoSuchPage
from caskward.errors.desk_api import StillBeingMade
from caskward.errors.wishes import WishImpossible
from caskward.services import Plan
from caskward.services.book import plan_closed, taught_kept, verbs, wish_starts, wish_stores
from caskward.services.book.asked import Asked
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.plan_closed import Taught
from caskward.services.book.plan_kept import Kept
from caskward.services.book.taught_kept import TakenOver
from caskward.services.plan_write_up import write_up

router = APIRouter()
REFUSED = 422


# Of a wish ---------------------------------------------------------------------------------------


@router.post("/batches/new/sheet")
@for_a_maker
def wish_sheet(request: Request) -> Response:
    """A wish's whole plan, every figure in both systems, to print."""
    plan, text = _wished(request)
    data = PlanPage(
        title=plan.name, screen=BATCHES.key, name="", path="", is_open=False, text=text,
        sheet=write_up(plan), error="",
    )  # fmt: skip
    return page(request, "plan", data)


@router.post("/batches/new/run-sheet.pdf")
@for_a_maker
def wish_run_sheet(request: Request) -> Response:
    """The sheet for the bench."""
    return _run_sheet(_wished(request)[0], "plan")


@router.post("/batches/new/plan.toml")
@for_a_maker
def wish_file(request: Request) -> Response:
    """The plan's file, to the letter."""
    return _file(wish_forms.carried_from(request).source, "plan")


def _wished(request: Request) -> tuple[Plan, str]:
    """The plan of the form that was sent, and its file; raises what is wrong with it."""
    carried = wish_forms.carried_from(request)
    sketch = wish_forms.sketch_of(request, carried)
    with house_of(request).waits.turn(WHOLE_S) as wait_s:
        sketch.wait_for_whole(wait_s)
    found = sketch.whole
    if found is None and not sketch.failed:
        raise StillBeingMade
    if found is None or found.whole is None:
        raise WishImpossible(found.stopped if found else sketch.failed)
    there = wish_forms.stores_now(request, carried.to)
    return wish_stores.planned_by_stores(found.whole, there), carried.source


def _run_sheet(plan: Plan, name: str) -> Response:
    from caskward.sheets import run_sheet

    return Response(run_sheet(plan), media_type="application/pdf", headers=_called(f"{name} run sheet.pdf"))


def _file(text: str, name: str) -> Response:
    return Response(
        text, media_type="application/toml; charset=utf-8", headers=_called(f"{name}.toml", taken=True)
    )


def _called(name: str, *, taken: bool = False) -> dict[str, str]:
    """What a file is to be called; only what is to be kept is taken away at once."""
    how = "attachment" if taken else "inline"
    return {"Content-Disposition": f"{how}; filename*=UTF-8''{quote(name, safe='')}"}


# Of a batch --------------------------------------------------------------------------------------


@router.get("/batches/{name}/plan")
def plan(request: Request, name: str) -> Response:
    """A batch's plan."""
    of, kept = _kept(request, name)
    found = _answer_of(request, of, "plan", partial(_whole, request, name))
    if asked(request, "wait"):
        _waited(request, found)
    data = PlanPage(
        title=f"The plan of {name}", screen=BATCHES.key, name=name, path=batch_parts.path_of(name),
        is_open=of.is_open, text=kept.intent, sheet=write_up(found.value) if found.value else None,
        error=found.failed,
    )  # fmt: skip
    return page(request, "plan", data, part="plan_sheet")


@router.get("/batches/{name}/plan.toml")
def plan_file(request: Request, name: str) -> Response:
    """Its file, as it was when the batch was planned."""
    return _file(_kept(request, name)[1].intent, name)


@router.get("/batches/{name}/run-sheet.pdf")
def run_sheet_of(request: Request, name: str) -> Response:
    """Its sheet for the bench."""
    of, _ = _kept(request, name)
    found = _answer_of(request, of, "plan", partial(_whole, request, name))
    if not _waited(request, found):
        raise StillBeingMade
    if found.value is None:
        raise WishImpossible(found.failed)
    return _run_sheet(found.value, name)


def _whole(request: Request, name: str) -> Plan:
    return plan_closed.whole_plan(house_of(request).book.to_read(), name)


def _kept(request: Request, name: str) -> tuple[BatchRecord, Kept]:
    of = record_of(request, name)
    kept = wish_starts.plan_or_none(house_of(request).book.to_read(), name)
    if kept is None:
        raise NoSuchPage
    return of, kept


def _answer_of(request: Request, of: BatchRecord, what: str, work: Callable[[], object]) -> Answer:
    return house_of(request).beside.answer((what, of.mark), work)


def _waited(request: Request, found: Answer, most_s: float = WHOLE_S) -> bool:
    """Wait for it if there is a turn to; whether it is done."""
    with house_of(request).waits.turn(most_s) as wait_s:
        return found.wait(wait_s)


# Its end -----------------------------------------------------------------------------------------


@router.get("/batches/{name}/close")
@for_a_maker
def closing(request: Request, name: str) -> Response:
    """Before a batch is closed, and after: what it taught."""
    of = record_of(request, name)
    taught = _taught(request, of, WHOLE_S if asked(request, "wait") else 0.0)
    return page(request, "close", _close_page(of, taught))


@router.get("/batches/{name}/taught")
@for_a_maker
def taught(request: Request, name: str) -> Response:
    """The part that takes a while."""
    found = _taught(request, record_of(request, name))
    if found is None:
        raise NoSuchPage
    return page(request, "parts/taught", found)


@router.get("/batches/{name}/taught.toml")
@for_a_maker
def taught_file(request: Request, name: str) -> Response:
    """What it taught as a file that a plan may name."""
    of = record_of(request, name)
    if not plan_closed.teaches(of):
        raise NoSuchPage
    found = _answer_of(request, of, "taught", partial(_learn, request, of))
    if not _waited(request, found):
        raise StillBeingMade
    if not isinstance(found.value, Taught):
        raise WishImpossible(found.failed)
    return _file(found.value.file, f"{name} taught")


@router.post("/batches/{name}/close")
@for_a_maker
def close(request: Request, name: str) -> Response:
    """Close it; sent again it changes nothing."""
    of = record_of(request, name)
    try:
        doing = doing_of(request, typed(request, "key") or deeds.new_key(), typed(request, "note"))
        verbs.done_in(house_of(request).book.to_write(), Asked("close", (name,)), doing)
    except (InputError, ImpossibleIntent) as error:
        data = _close_page(of, _taught(request, of), error=str(error))
        return page(request, "close", data, status=REFUSED)
    return RedirectResponse(f"{batch_parts.path_of(name)}/close", 303)


@router.post("/batches/{name}/taught")
@for_a_maker
def take_over(request: Request, name: str) -> Response:
    """Let new batches begin with what it taught; sent again it changes nothing."""
    of = record_of(request, name)
    if not plan_closed.teaches(of) or of.is_open:
        raise NoSuchPage
    found = _answer_of(request, of, f"taught {units_of(request)}", partial(_learn, request, of))
    if not _waited(request, found):
        raise StillBeingMade
    if not isinstance(found.value, Taught):
        raise WishImpossible(found.failed)
    doing = doing_of(request, deeds.new_key())
    taught_kept.take_over(house_of(request).book.to_write(), name, found.value.file, doing)
    return RedirectResponse(f"{batch_parts.path_of(name)}/close", 303)


def _learn(request: Request, of: BatchRecord) -> Taught:
    return plan_closed.taught(house_of(request).book.to_read(), of, units_of(request))


def _taught(request: Request, of: BatchRecord, wait_s: float = 0.0) -> TaughtPart | None:
    if not plan_closed.teaches(of):
        return None
    found = _answer_of(request, of, f"taught {units_of(request)}", partial(_learn, request, of))
    _waited(request, found, wait_s)
    said = found.value if isinstance(found.value, Taught) else None
    kept = taught_kept.taken_over(house_of(request).book.to_read())
    taken = kept is not None and kept.batch == of.name
    return TaughtPart(
        title=of.name, screen=BATCHES.key, path=f"{batch_parts.path_of(of.name)}/taught",
        headline=said.headline if said else "", rows=said.rows if said else (),
        notes=said.notes if said else (), error=found.failed, waiting=not found.done, name=of.name,
        closed=not of.is_open, taken=taken, instead="" if taken else _instead(kept, said),
    )  # fmt: skip


def _instead(kept: TakenOver | None, said: Taught | None) -> str:
    """The batch that new ones would begin with no more: this one's plan did not begin with what it taught."""
    return kept.batch if kept and said and not said.after(kept.file) else ""


def _close_page(of: BatchRecord, found: TaughtPart | None, error: str = "") -> ClosePage:
    return ClosePage(
        title=f"Close {of.name}" if of.is_open else f"{of.name} is closed", screen=BATCHES.key, name=of.name,
        path=batch_parts.path_of(of.name), key=deeds.new_key(), is_open=of.is_open, taught=found,
        planned=bool(of.plan), error=error,
    )  # fmt: skip
