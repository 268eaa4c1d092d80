"""What is asked about before it is entered: it can be typed, but hardly be so."""

from __future__ import annotations

from collections.abc import Sequence

from caskward.errors.book import BookRefusal
from caskward.errors.common import InputError


class NoMashThere(BookRefusal):
    """A ferment of a batch that has no mash in the vessel."""

    def __init__(self, place: str, batch: str, others: Sequence[str]) -> None:
        named = ", ".join(repr(other) for other in others)
        there = f"; what is there is of {named}" if others else ""
        ways = f' or name the other batch: --batch "{others[0]}"' if others else " or check both names"
        super().__init__(
            f"The batch {batch!r} has no mash in {place}{there}. Enter what went into it first (caskward "
            f'book mash 35 kg rye into "{place}" 180 L),{ways}.'
        )


class HotOntoFermented(BookRefusal):
    """A hot mash put into a vessel whose wash has not been taken out."""

    def __init__(self, place: str, there: str, hot: str) -> None:
        super().__init__(
            f"The book still has {there} in {place}, and a mash at {hot} would go on top of it. Move that "
            "out first, or name the vessel that the mash went into; if it is long gone, gauge it as empty."
        )


class MoreThanWentIn(BookRefusal):
    """A ferment of more liquid than was put in."""

    def __init__(self, place: str, found: str, there: str, room: str) -> None:
        super().__init__(
            f"{place} was found with {found}, but the book has {there} in it, and the instruments and what "
            f"grain and sugar give up explain no more than {room} besides. Check the volume and the name. If "
            f'it is true, enter first what else went in, or gauge it: caskward book gauge "{place}" {found}'
        )


class MoreThanItCouldMake(BookRefusal):
    """A ferment of more alcohol than its materials hold sugar for."""

    def __init__(self, place: str, batch: str, made: str, could: str) -> None:
        super().__init__(
            f"{place} would make {made} of pure alcohol for {batch!r} in all, but were everything that the "
            f"book has used for it pure starch, it could make {could}. Check the strength and its unit, and "
            "enter first what else was mashed."
        )


class DatedBeforeOthers(BookRefusal):
    """All that is in a place, as of a time before something else was entered of it."""

    def __init__(self, place: str, done: str, numbers: Sequence[int], newest: str) -> None:
        several = len(numbers) > 1
        which = f"entries {_listed(numbers)} are" if several else f"entry {numbers[0]} is"
        back = "take those back, the newest first" if several else "take that one back"
        super().__init__(
            f"This is dated {done} and says what {place} held, but {which} of a later time (the newest "
            f"{newest}) and changed that already. Date it later if it was so; else {back} (caskward "
            f'book correct {numbers[-1]} --why "out of order"), enter this, and then the rest again.'
        )


class HowMuchOfIt(InputError):
    """A strength where an amount is taken."""

    def __init__(self, given: str, place: str = "") -> None:
        of = f" of {place}" if place else ""
        super().__init__(f"{given!r} says how strong, but no amount{of}. Write 50 mL before it, or all.")


class AllIsNoGauge(InputError):
    """A gauge of all that the book has, which measures nothing."""

    def __init__(self, given: str, place: str) -> None:
        super().__init__(
            f"{given!r} is what the book has already; a gauge says what was measured. Write the volume or "
            f'the mass that you found, like caskward book gauge "{place}" 20 L, or empty.'
        )


class HowMuchWater(InputError):
    """A strength where water is to be said."""

    def __init__(self, given: str, place: str, needs: str) -> None:
        takes = f" To come to that strength it takes about {needs} of water." if needs else ""
        water = needs or "4.2 L"
        super().__init__(
            f"{given!r} is a strength; how much water went in?{takes} Once it is in, write: caskward book "
            f'reduce "{place}" {water}, and --found with the volume that you measured then. What it takes, '
            "by volume and on a scale, says: caskward proof 20 L 63 % to 40 %"
        )


class StrengthInName(InputError):
    """Goods whose name has a strength in it: spirit that would lose its alcohol."""

    def __init__(self, name: str, strength: str) -> None:
        super().__init__(
            f"{name!r} has a strength in it, {strength!r}, and would be entered as goods without alcohol. "
            'Spirit is entered with the place that it went into: caskward book receive 2 L 40 % at 20 C into '
            '"jar 7" from "Old Mill". Anything else is named without a strength.'
        )  # fmt: skip


class NoMassSaid(InputError):
    """Sacks, of which nobody knows how much is in them."""

    def __init__(self, given: str, holder: str) -> None:
        super().__init__(
            f"{given!r} says how many {holder}, but not how much is in them. Write the mass, like 50 kg "
            "corn; things that are counted by their number, like 200 corks."
        )


class NoLotNamed(InputError):
    """Bottles without the name of their lot."""

    def __init__(self, given: str, example: str) -> None:
        super().__init__(
            f"{given!r} names no lot for the bottles. Put its name first: caskward book {example}"
        )


def _listed(numbers: Sequence[int]) -> str:
    return f"{', '.join(str(number) for number in numbers[:-1])} and {numbers[-1]}"
