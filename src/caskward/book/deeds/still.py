"""A run of the still: a charge becomes what receivers hold, what is left in the pot, and what is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from caskward.book.accounts import ALCOHOL, BULK
from caskward.book.amounts import Liquid
from caskward.book.deeds.act import Act, Postings, deed, held_or_raise, something, whose
from caskward.book.deeds.moves import difference_account
from caskward.book.entry import Deed
from caskward.book.holdings import Holdings
from caskward.book.words import apart
from caskward.errors.book import IntoItself, MoreThanIsHeld


@dataclass(frozen=True, slots=True)
class Run:
    """What became of a charge.

    Args:
        receivers: what each place received.
        left: what stayed in the pot and was drained; None if that was not measured.
        lost: other losses by reason, such as what stayed in the pipe.
        destroyed: what was thrown away by reason, such as foreshots.
        within_ul: what all instruments together may be wrong by [µL of pure alcohol].
    """

    receivers: tuple[tuple[str, Liquid], ...]
    left: Liquid | None = None
    lost: Mapping[str, Liquid] = field(default_factory=dict)
    destroyed: Mapping[str, Liquid] = field(default_factory=dict)
    within_ul: int = 0

    def came(self, whose_run: str) -> tuple[tuple[str, Liquid], ...]:
        """Every account that something went to, and what."""
        left = ((f"lost/stillage/{whose_run}", self.left),) if self.left and self.left.bulk_ul else ()
        lost = ((f"lost/{why}/{whose_run}", liquid) for why, liquid in self.lost.items())
        thrown = ((f"destroyed/{why}/{whose_run}", liquid) for why, liquid in self.destroyed.items())
        return (*self.receivers, *left, *lost, *thrown)


def distil(
    act: Act, holdings: Holdings, still: str, run: Run, details: Mapping[str, object] | None = None
) -> Deed:
    """The whole charge that the book has in the still, run: afterwards the still is empty.

    Alcohol that no part of the run accounts for goes to `unaccounted/open/<still>`, or, within the
    instruments' doubt, to `unaccounted/measuring/<still>`. Volume is not conserved: `changed/distilling`.
    """
    charge = held_or_raise(holdings, still)
    came = run.came(whose(act, still))
    collected_ul = sum(liquid.alcohol_ul for _, liquid in came)
    if collected_ul > charge.alcohol_ul + run.within_ul:
        raise MoreThanIsHeld(
            still, "pure alcohol", *apart(collected_ul, charge.alcohol_ul, ALCOHOL, act.system)
        )
    something(len(run.receivers), "collected")
    postings = Postings()
    for account, liquid in came:
        something(liquid.bulk_ul, f"collected in {account}")
        if account == still:
            raise IntoItself(still)
        postings.pour(still, account, liquid)
    missing_ul = charge.alcohol_ul - collected_ul
    postings.send(still, difference_account(still, abs(missing_ul) <= run.within_ul), ALCOHOL, missing_ul)
    rest_ul = charge.bulk_ul - sum(liquid.bulk_ul for _, liquid in came)
    postings.send(still, f"changed/distilling/{whose(act, still)}", BULK, rest_ul)
    emptied = [(still, ALCOHOL, 0, 0), (still, BULK, 0, 0)]
    return deed(act, "distilled", postings, {**(details or {}), "from": still}, emptied)
