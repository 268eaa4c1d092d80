"""The tub in time: a mash and a ferment as planned, as read, and what may be wrong with them.

schedule     one tub's mash as planned: rests, doses, pH
mash         the mash of a plan carried through its hours, as its labels promise or as it truly is
explain      causes weighed by how well they explain every reading; checks by what they would settle
mash_causes, mash_model        what can go wrong in a mash, and a mash that can be asked
trials       tubs with a known fault, to see whether the question finds it
"""
