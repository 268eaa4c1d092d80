"""Volume times strength, as the book rounds it, against printed gauging arithmetic.

The source of each figure stands beside the check; both were read. Only the printed products are checked,
which hold in any unit: here in whole millionths of it.
"""

from __future__ import annotations

from caskward.book.amounts import liquid


def test_us_proof_gallons() -> None:
    """4,286.94 gallons of 86.8 proof are 3,721.06392 proof gallons, said 3,721.1. Source: 27-cfr-30, 30.51.

    86.8 proof is 43.4 per cent by definition; exact, since all that is done is a product of decimals.
    """
    spirit = liquid("4286.94", "43.4")
    assert 2 * spirit.alcohol_ul == 3_721_063_920
    assert round(2 * spirit.alcohol_ul / 1e6, 1) == 3721.1


def test_british_proof_gallons() -> None:
    """91 gallons at 21 over proof are 110.11 of proof. Source: Cooley's Cyclopaedia, 6th edition.

    Over 100 %, so worked as 91 gallons of 60.5 % with twice the unit; exact for the same reason.
    """
    assert 2 * liquid(91, "60.5").alcohol_ul == 110_110_000
