"""`caskward tub`: the tub's questions, each a command of its own below this one."""

from __future__ import annotations

from caskward.cli.questions import Questions

QUESTIONS = {
    "simulate": "See one tub hour by hour: cook, mash, yeast, ferment, straining.",
    "ask": "Ask what is wrong with a mash or a ferment, and what to check next.",
    "acid": "How much acid, chalk, backset or calcium, by what a trial showed.",
    "pot": "How much grain fills part of a pot, its water, and whether it fits hot.",
}

COMMAND = Questions(
    "tub", "Follow a tub hour by hour, from the pot to the wash, and ask what is wrong with it.", QUESTIONS
)
