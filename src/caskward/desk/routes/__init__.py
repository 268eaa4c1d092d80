"""One module for each screen: a route parses what was asked, calls one service, and renders.

gauging        true strength, water, blends            · book, reports   entries, accounts, the proof, copies
casks, stores, gear   what stands where                · batches, bench  what is open now
record         what was done goes into the book        · live, files     live updates; styles, scripts, type
access, people_page   who comes in                     · more            looks, units, law and safety, a phone
api_page       what programs can ask                   · labels          of casks and bottles, to print
run_day        a strip or spirit run while it runs
photos         of a batch or a cask, with notes
to_cask        from heart to cask: what is next
corrections    an entry that was wrong
tub            a batch's mash and ferment: readings, course, what now
wishes         a new batch, answered while one types   · plans          a batch's plan to print, and its end

A module has a `router`; a new one is added to `MODULES`, and its screen to `screens`.
"""

from __future__ import annotations

from caskward.desk.routes import (
    access,
    api_page,
    batches,
    bench,
    book,
    casks,
    corrections,
    files,
    gauging,
    gear,
    labels,
    live,
    more,
    people_page,
    photos,
    plans,
    record,
    reports,
    run_day,
    stores,
    to_cask,
    tub,
    wishes,
)

MODULES = (
    *(bench, wishes, plans, batches, to_cask, tub, run_day, casks, labels, photos, stores, gear),
    *(book, corrections, reports, gauging),
    *(record, live, more, access, people_page, api_page, files),
)
