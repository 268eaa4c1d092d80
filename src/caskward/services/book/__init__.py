"""What a maker does with the book: one function for each act, and what is read from it.

opened   the book named by CASKWARD_BOOK, or the user's own file, created on first use
verbs    every deed by its verb, recorded in one call; roles: who may do which
acting   who and when, entered once, corrected
asked    the words of a deed read from left to right; moments, prices: times and money in words
measured   an amount as typed, at 20 °C with its doubt; amount_said: what it came to; kept_readings: raw
liquids, stores, still, bottles, standing   what works each deed out
batches, plan_kept   a batch with its plan, which is opened again and follows what was measured
wish_starts, wish_stores, wish_begun   a new plan from one there is, with what Stores holds, begun in the book
promised   what open batches count on of it; taught_kept: what closed ones taught, for the next plan
run_deed   a run's receivers as the words of a deed; to_cask: what is next from heart to cask
batch_record, batch_flow, batch_follow   what the book has of a batch, its alcohol, what is believed of it
batch_work, next_act, ready_deeds, lacking   what is done, what comes next, its deed, what the book lacks
filled_words   what went into its cask beside what was wanted, in place of a forecast
run_kind, stage_reached, yeasts   a strip or a spirit run, how far a batch has come, what begins a ferment
at_hand, shelf   what is where now, moved on entry by entry; what pages show of it
look, words, kept   entries and balances; what was entered, in sentences; check, backup, export

pages, periods, period_report, cask_list, cost_report, stock_report, shopping   reports of what was looked at
cask_story, cask_words   a cask since its fill; tried: what a deed would do, before it is recorded
batch_tub, tub_course, tub_now   a batch's tub: its clock and readings, its course, what now
labels   what stands on a cask, and the data for a bottle; photo_notes: a photo's words and hash
lineage, trace_report   where something came from and went to; marks: a maker's own limits
demo_book   an invented year
"""
