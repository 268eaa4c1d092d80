"""The tub in time: a mash and a ferment as planned, as read, and what may be wrong with them.

schedule     one tub's mash as planned: rests, doses, pH
mash         the mash of a plan carried through its hours, as its labels promise or as it truly is
cooking, additions, brew, brew_doubts, draining    one tub's pots, sugar, yeast and ferment, straining
pitching     where a plan, its tub and its readings pitch; rests: what is cooled or kept warm for each
simulate     the whole tub side of a plan, by readings where there are any; timings: what cards say of time
explain      causes weighed by how well they explain every reading; checks by what they would settle
mash_causes, mash_model        what can go wrong in a mash, and a mash that can be asked
ferment_causes, ferment_model  the same of a ferment (ferment_driven, ferment_followed: its worlds)
mend, ferment_mend     what to do about a cause; ferment_rest: what then comes of a ferment, and is it dry
trials, ferment_trials         tubs with a known fault, to see whether the question finds it
"""
