"""What the faces call: one function per thing a maker does, and the words for what comes back.

plans    plan a file, a starting point; write a plan as JSON
facts    what the catalogue knows about a material
words    figures and sentences in the maker's own units, the same on screen, paper and terminal
"""

from caskward.planning.limits import Limit
from caskward.planning.plan import (
    AccountLine,
    Band,
    Effort,
    Plan,
    Refusal,
    ShoppingLine,
    SolvedChange,
    StageCard,
    Target,
)

__all__ = [
    "AccountLine",
    "Band",
    "Effort",
    "Limit",
    "Plan",
    "Refusal",
    "ShoppingLine",
    "SolvedChange",
    "StageCard",
    "Target",
]
