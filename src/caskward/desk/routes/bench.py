"""Bench: what needs hands now over all open batches, each with one field for the reading that comes next."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk import act_parts, batch_parts, entries, to_cask_pages
from caskward.desk.batch_of import at_still, reading_form, record_of, thought_of
from caskward.desk.bench_pages import BenchPage, BenchTask
from caskward.desk.forms import house_of
from caskward.desk.render import page, units_of
from caskward.desk.screens import BENCH
from caskward.desk.thoughts import ON_THE_BENCH
from caskward.errors import NoBookYet
from caskward.services.book import batch_record, shelf
from caskward.services.book.batch_record import BatchRecord
from caskward.services.book.ready_deeds import Around

router = APIRouter()
LAST = 5


@router.get("/")
def bench(request: Request) -> Response:
    """Open batches with their next act, what nobody has explained, and what was recorded last."""
    system = units_of(request)
    try:
        book = house_of(request).book.to_read()
    except NoBookYet:
        data = BenchPage(title="Bench", screen=BENCH.key, tasks=(), unexplained=(), last=())
        return page(request, "bench", data, part="bench")
    open_now = [record_of(request, name) for name in house_of(request).seen.open_batches()]
    # What the hands were last at comes first.
    open_now.sort(key=lambda one: -one.entries[-1].number)
    around = house_of(request).seen.around()
    data = BenchPage(
        title="Bench",
        screen=BENCH.key,
        tasks=tuple(_task(request, one, around) for one in open_now[:ON_THE_BENCH]),
        unexplained=shelf.unexplained(book, system),
        last=entries.newest(book, system, LAST),
    )
    return page(request, "bench", data, part="bench")


def _task(request: Request, of: BatchRecord, around: Around) -> BenchTask:
    system, thought = units_of(request), thought_of(request, of)
    act = act_parts.act_part(of, thought, system, around)
    found = act_parts.next_part(of, thought, system)
    return BenchTask(
        name=of.name,
        path=batch_parts.path_of(of.name),
        slug=batch_parts.slug_of(of.name),
        where=batch_record.stage_words(of),
        sentence=batch_record.sentence(of, system),
        planned=bool(of.plan),
        at_still=at_still(of),
        act=act,
        chance=act_parts.chance_part(of, thought, system),
        deed=act_parts.deed_form(of, act, "/"),
        next=found,
        to_cask=to_cask_pages.part_of(house_of(request).book.to_read(), of, system),
        reading=reading_form(of, "/", found.goes, big=True),
    )
