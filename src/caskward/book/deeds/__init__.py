"""A function for each act of a maker; each makes a `Deed`, and none of them changes anything.

act      who did it, when, what it cost; the postings of one deed
standing declare, begin, plan, measure, note, close · stores: receive, throw away, use up
tub      mash, convert · moves: move, vat, reduce · still: distil
casks    fill, top, sample · bottling: bottle, and what leaves the house: sell, destroy, lose
gauging  gauge, explain · mending: correct, withdraw
"""

from caskward.book.deeds.act import Act, Cost, Goods, Postings
from caskward.book.deeds.bottling import Bottling, bottle, destroy, lose, sell, sell_bottles, send_bottles
from caskward.book.deeds.casks import fill, sample, top
from caskward.book.deeds.gauging import explain, gauge, gauge_goods
from caskward.book.deeds.mending import correct, withdraw
from caskward.book.deeds.moves import Part, all_of, move, reduce, some_of, vat
from caskward.book.deeds.standing import begin, close, declare, measure, note, plan
from caskward.book.deeds.still import Run, distil
from caskward.book.deeds.stores import discard, receive, receive_liquid, use
from caskward.book.deeds.tub import convert, mash

__all__ = [
    "Act",
    "Bottling",
    "Cost",
    "Goods",
    "Part",
    "Postings",
    "Run",
    "all_of",
    "begin",
    "bottle",
    "close",
    "convert",
    "correct",
    "declare",
    "destroy",
    "discard",
    "distil",
    "explain",
    "fill",
    "gauge",
    "gauge_goods",
    "lose",
    "mash",
    "measure",
    "move",
    "note",
    "plan",
    "receive",
    "receive_liquid",
    "reduce",
    "sample",
    "sell",
    "sell_bottles",
    "send_bottles",
    "some_of",
    "top",
    "use",
    "vat",
    "withdraw",
]
