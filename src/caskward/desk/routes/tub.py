"""A batch's tub: what is read of it with few taps, its course against what was expected, and what now."""

from __future__ import annotations

from typing import Any
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import act_parts, batch_parts, deeds, line_drawing, wall_clock
from caskward.desk.batch_of import WAIT_S, record_of, thought_of
from caskward.desk.forms import asked, house_of
from caskward.desk.line_drawing import Figure
from caskward.desk.pages import RecordForm
from caskward.desk.render import page, units_of
from caskward.desk.screens import BATCHES
from caskward.desk.thoughts import Failed
from caskward.desk.tub_pages import CourseDrawn, TubPage, TubPart
from caskward.errors.desk import NoSuchPage
from caskward.services import batch_answers
from caskward.services.book import batch_tub, tub_course, tub_now
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.batch_tub import STAGES, TubStage
from caskward.units.types import UnitSystem

router = APIRouter()
PARTS = ("now", "course")
_EXAMPLES = {
    ("mash", "metric"): "62 C, pH 5.4, starch blue",
    ("mash", "us"): "144 F, pH 5.4, starch blue",
    ("ferment", "metric"): "1.040, 24 C, pH 4.2",
    ("ferment", "us"): "1.040, 75 F, pH 4.2",
}
_FILLS = {
    "mash": ("starch blue", "starch clear"),
    "ferment": ("bubbles yes", "bubbles no", "sour yes", "skin yes"),
}


@router.get("/batches/{name}/tub")
def tub(request: Request, name: str) -> Response:
    """One batch's tub."""
    of = record_of(request, name)
    stage = _stage(request, of)
    own = path_of(name)
    clock = batch_tub.clock(of, stage, now := wall_clock.now())
    wait_s = WAIT_S if asked(request, "wait") else 0.0
    act = act_parts.act_part(of, thought_of(request, of), units_of(request), house_of(request).seen.around())
    data = TubPage(
        title=f"Tub of {name}",
        screen=BATCHES.key,
        name=name,
        batch_path=batch_parts.path_of(name),
        path=own,
        stage=stage,
        open=of.is_open,
        slug=batch_parts.slug_of(name),
        act=act,
        deed=act_parts.deed_form(of, act, own),
        form=_form(of, stage, clock.words, units_of(request), f"{own}?stage={stage}"),
        since_s=-1 if clock.begun is None else round((now - clock.begun).total_seconds()),
        fills=_FILLS[stage],
        read=tuple((row.row, row.at, row.number) for row in reversed(of.rows_read) if row.stage == stage),
        now=_part(request, of, stage, "now", wait_s),
        course=_part(request, of, stage, "course", wait_s),
    )
    return page(request, "tub", data, part="tub_read")


def path_of(name: str) -> str:
    """The page of a batch's tub."""
    return f"{batch_parts.path_of(name)}/tub"


@router.get("/batches/{name}/tub/{part}")
def tub_part(request: Request, name: str, part: str) -> Response:
    """One part, or the word that it is being worked out."""
    if part not in PARTS:
        raise NoSuchPage
    of = record_of(request, name)
    return page(request, f"parts/tub_{part}", _part(request, of, _stage(request, of), part, 0.0))


def _stage(request: Request, of: BatchRecord) -> TubStage:
    given = asked(request, "stage")
    if given and given not in STAGES:
        raise NoSuchPage
    return next((one for one in STAGES if one == given), None) or batch_tub.stage_of(of)


def _form(of: BatchRecord, stage: TubStage, begins: str, system: UnitSystem, back: str) -> RecordForm:
    example = _EXAMPLES[stage, system]
    return deeds.one_deed("measure", "What you read", example, back, begins, of.name)


# What takes a while ------------------------------------------------------------------------------


def _part(request: Request, of: BatchRecord, stage: TubStage, name: str, wait_s: float) -> TubPart[Any]:
    system = units_of(request)
    own = [one for one in batch_tub.readings(of) if one.stage == stage]
    over = batch_tub.over(of, stage)
    asks = bool(of.plan) and (name == "course" or (bool(own) and not over))
    found = _worked_out(request, of, stage, name, wait_s) if asks else None
    failed = found if isinstance(found, Failed) else None
    return TubPart(
        title=of.name,
        screen=BATCHES.key,
        path=f"{path_of(of.name)}/{name}?stage={quote(stage)}",
        answer=None if failed or found is None else _SHOWN[name](found, stage, system),
        error=failed.sentence if failed else "",
        over=over,
        again=_again(request, of) if name == "now" else (),
        asked=asks,
        planned=bool(of.plan),
    )


def _again(request: Request, of: BatchRecord) -> tuple[str, ...]:
    """What the batch's page says to look at again, as far as it is known."""
    thought = thought_of(request, of)
    now = thought.good("now") if thought else None
    return batch_answers.look_again(now.report, units_of(request)) if now else ()


def _worked_out(request: Request, of: BatchRecord, stage: TubStage, name: str, wait_s: float) -> Any:
    house = house_of(request)

    def work() -> Any:
        plan = batch_tub.sized(house.book.to_read(), of)
        return batch_tub.what_now(plan, of, stage) if name == "now" else tub_course.course(plan, of)

    # A course has both stages.
    key = (name, of.mark, stage if name == "now" else "")
    found = house.beside.answer(key, work)
    with house.waits.turn(wait_s) as most_s:
        if not found.wait(most_s):
            return None
    return Failed(found.failed) if found.failed else found.value


def _now(found: Any, _: TubStage, system: UnitSystem) -> tub_now.NowShown:
    return tub_now.shown(found, system)


def _course(found: Any, stage: TubStage, system: UnitSystem) -> CourseDrawn:
    figures = (
        Figure(
            title=one.title,
            said=f"{one.title}: expected as a shade, what was read as crosses. The figures stand below.",
            soft=one.expected,
            now=one.now,
            read=one.read,
            least_span=one.least_span,
        )
        for one in tub_course.plots(found, stage, system)
    )
    return CourseDrawn(
        plots=tuple(one for one in map(line_drawing.drawn, figures) if one is not None),
        readings=tub_course.fit_rows(found, stage, system),
        figures=tub_course.figure_rows(found, stage, system),
        sentences=tub_course.sentences(found, stage),
    )


_SHOWN = {"now": _now, "course": _course}
