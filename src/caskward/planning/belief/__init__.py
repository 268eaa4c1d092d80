"""How readings move worlds: what is believed once they are in, and what would teach most next.

tempering      worlds carried from the prior, or an earlier belief, to a new one (proposals, payloads)
kinds          the same where worlds are of two kinds, one of them rare
by_surface     the same by way of a cheap stand-in: two or three runs (surrogate)
gauss_newton   the same in a blink, as one Gaussian, from worlds already run (sites: its readings)
weighing       how likely a reading is in each world, weighted summaries · doubting  readings hard to believe
shares         whose doubt an outcome's doubt is · settling  what a reading not yet taken would settle
"""
