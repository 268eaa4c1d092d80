"""What is not known of a tub by the hour: its walls and room, the pot's, and how lively a pitch is.

The names come last in the alphabet, so that a draw of these with those of a plan (`doubts`) leaves every
world of the plan as it was.
"""

from __future__ import annotations

from typing import Final

from caskward.catalogue.fact import Fact
from caskward.planning.doubts import PRACTICE, as_taught, doubts
from caskward.planning.intent import Intent
from caskward.planning.unknowns import Draw, Unknown, draw

CELLS_PER_G, LAG_H, SPEED = "yeast.cells_per_g", "yeast.lag_h", "yeast.speed"
FOOD, DEXTRIN_PER_H = "yeast.food", "yeast.splits_per_h"
WAKES_AGAIN_H: Final = "yeast.wakes_again_h"
"""How long a yeast that stopped takes to move again [h at its best temperature]."""
POT_W_K, TUB_W_K, ROOM_K = "your.pot_w_k", "your.tub_w_k", "your.room_k"

_SPEED: Final = (0.6, 0.85, 1.2)
"""Against the stirred flasks that the rates were read from: a tub with grain in it that nobody stirs is
slower; *common practice, no source*, beside the days that yeasts usually take."""
_SPEED_FRUIT: Final = (0.25, 0.4, 0.65)
"""Yeast that is kept cool in sour fruit: slower still; *common practice, no source*, in the same way."""


LAG_BAND_H: Final = (1.5, 3.0, 7.0)
"""How long a yeast takes to start, at its best temperature [h]; *common practice, no source*."""


WAKES_AGAIN_BAND_H: Final = (6.0, 24.0, 72.0)
"""*Common practice, no source*: a stopped yeast is slow to wake, fresh yeast among alcohol too."""


def speed_of(intent: Intent) -> tuple[float, float, float]:
    """How fast a plan's yeast works against the rates as published: low, likely, high."""
    return _SPEED_FRUIT if "fruit" in intent.yeast.suits else _SPEED


def course_doubts(intent: Intent) -> tuple[Unknown, ...]:
    """Unknowns of a tub's course beyond those of the plan, in a fixed order."""
    pot = intent.gear.cook_pot
    pots = () if pot is None else (_wall(POT_W_K, "pot", pot.kind.heat_loss_w_k(pot.working_volume_l)),)
    cells = (0.5e10, 1.5e10, 2.5e10)
    every = (
        *pots,
        _wall(TUB_W_K, "tub", intent.gear.tub.heat_loss_w_k),
        Unknown(ROOM_K, "how warm the room is", "gear", "real", -2.0, 0.0, 2.0, PRACTICE),
        Unknown(CELLS_PER_G, "living cells in the yeast", "material", "positive", *cells, PRACTICE),
        Unknown(LAG_H, "how long the yeast takes to start", "material", "positive", *LAG_BAND_H, PRACTICE),
        Unknown(
            WAKES_AGAIN_H,
            "how long a ferment takes that stopped and is mended",
            "material",
            "positive",
            *WAKES_AGAIN_BAND_H,
            PRACTICE,
        ),
        Unknown(SPEED, "how fast the yeast works", "material", "positive", *speed_of(intent), PRACTICE),
        Unknown(FOOD, "nitrogen that the bill brings", "material", "positive", 0.7, 1.0, 1.5, PRACTICE),
        Unknown(
            DEXTRIN_PER_H,
            "how fast enzymes go on in the tub",
            "material",
            "positive",
            0.02,
            0.05,
            0.12,
            PRACTICE,
        ),
    )
    # Some were learned together with those of the plan, so they are placed together with them.
    return as_taught((*doubts(intent), *every), intent)[-len(every) :]


def course_worlds(intent: Intent, count: int | None = None) -> Draw:
    """Worlds of a plan and of its tub's course together; fewer of them are the first of all."""
    return draw((*doubts(intent), *course_doubts(intent)), count or intent.worlds, intent.seed)


def _wall(name: str, what: str, fact: Fact) -> Unknown:
    words = f"heat that the {what} loses"
    return Unknown(name, words, "gear", "positive", fact.low, fact.likely, fact.high, fact.source)
