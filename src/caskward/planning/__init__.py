"""From a wish to a plan, and later from readings to a better one.

intent     what is wanted and what there is; the maker writes it (intent_file reads it)
unknowns   what is not known, as distributions; worlds are draws of them
method     what will be done, the same in every world
forecast   the one path from method to outcome, over all worlds
sizing     backward from the cask: a root-find over forecast
limits     which vessel or stock binds; advice: changes that make a wish possible
plan       what a person needs to know, as plain numbers
readings, observing, likelihood    what is read, what a world would show, and how likely that is
update, belief    readings move a batch's worlds (belief: sampler, preview, shares of doubt)
as_done, late, late_moves    what was done beside the plan, and what each move changes
remedies, remedy_...    what may still be done: moves, trials of them, prices, weights

jars, wish, choice, free_choice    which receivers go into the cask
recycling, throw_away              feints fed back over many batches
still_log, log_checks, still_learning, learned_still    a still learned from its runs, and kept in a file
learned_gear, learning, learned_file    what closed batches taught: the prior of the next, and its file
methanol                           methanol of a bill, and what a law says to a forecast
"""
