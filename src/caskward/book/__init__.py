"""The book: facts that happened, and the accounts that follow from them. Pure: no SQL, no clock, no files.

entry    Deed, Entry, Posting, Reading; canonical: the bytes that are hashed, and JSON both ways
accounts the roots and what each may hold, give, take · chain: sealing and proving
amounts  litres and kilograms to whole µL and mg, shares that add up
deeds/   a function for each act of a maker, which makes a Deed
history  as booked, or as put right by corrections · corrections: what one takes back and says
state    balances, vessels, batches as a fold; rules: what a deed may not do · checks: findings
flow, trace, costs, stock, reports, cask_losses: what is read from the entries
"""
