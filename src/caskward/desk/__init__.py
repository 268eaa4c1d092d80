"""The desk: every screen as a page from this machine's own server, for a phone in the shed and a laptop.

app, serve     the application, and starting it; settings: for whom it is opened, where it keeps its files
guard, lines   what every request passes: host, size, sign-in, origin; people, session, tries: who comes in
pages          what a template may use, as frozen dataclasses; render: a page or a part of it from a template
routes/        one module for each screen: it parses, calls one service, renders
forms, deeds   what was typed; live: tells every open screen that the book has moved on; kept: the open book
batch_pages, batch_parts, river_drawing   a batch and the Bench; thoughts: what is worked out beside the pages
run_pages, run_parts, run_drawing, run_thoughts   a run while it runs: receivers, charts, forecast
casks_pages, cask_acts, cask_pictures   casks; line_drawing: a figure over time as shapes
picture, album, photo_pages   photos: what is kept of a picture, and where
act_parts, bench_pages   what to do next, and the Bench
label_pages    labels of casks and bottles; tub_pages   a batch's tub; to_cask_pages   from heart to cask
wish_forms, wish_fields, wish_pages, wish_said   a new batch; sketches: what is being typed
batch_of       the batch that a page is of; finished: reports over the whole book, beside the pages
spoken         sentences that advise a command, as a page says them
records        what the book has of each batch, read once; waits: how many may wait at once
templates/     whole pages, and `parts/` that a page and an update of it share; static/: look, scripts, type
"""
