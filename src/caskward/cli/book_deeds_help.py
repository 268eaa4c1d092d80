"""What each deed is for, how its words are written, and its own options."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from caskward.cli.book_options import COMMON, COST, LAST, PRICE, TOOLS
from caskward.cli.loose import Option

PLACES = (
    "First the places, then the amount. A place is called as the book knows it (tub 1, cask 12, jar 7); jars "
    "need not be declared. An amount is as read, with its warmth, or all."
)
FOUND = Option("--found", "V", "All that is in it then, as measured.")
WHY = Option("--why", "WORDS", "The reason; it may also stand behind the amount.")
WITHIN = Option("--within", "X", "Good to so much, 0.5L or 2%, instead of what the instruments say.")


@dataclass(frozen=True, slots=True)
class Row:
    """A deed: its verb, what it is for, more of it, how its words are written, its options."""

    verb: str
    about: str
    words: tuple[str, ...]
    own: tuple[Option, ...] = ()
    more: str = PLACES
    price_of: str = ""

    @property
    def options(self) -> tuple[Option, ...]:
        """Its own options, and those of every deed."""
        return (*self.own, *COMMON, *LAST)


def rows() -> Iterator[Row]:
    """Every deed."""
    yield from _standing()
    yield from _tub()
    yield from _liquid()
    yield from _out()


def _standing() -> Iterator[Row]:
    yield Row(
        "declare",
        "A vessel, cask or jar and its volume.",
        ('"mash tub" 600 L', "cask 12 50 L", "jar 7 1 L"),
        (
            Option("--wood", "WORDS", "Of a cask: its wood."),
            Option("--held", "WORDS", "What was in it before."),
        ),
        "Vessels and casks are declared before anything goes in, so that a mistyped name is seen. Declared "
        "again, the last volume holds.",
    )
    yield Row(
        "receive",
        "What came in: materials, dry goods, bought spirit.",
        (
            '50 kg rye from "Hill Farm" --price "31 EUR"',
            '200 "bottle 500 mL" from "Glass House"',
            '20 L 96 % at 20 C into "jar 3" from "Old Mill"',
        ),
        (
            PRICE,
            COST,
            Option("--lot", "NAME", "The lot's own name; otherwise rye lot 31 by the entry's number."),
            Option("--supplier-lot", "NAME", "The supplier's lot number."),
            Option("--product", "NAME", "The product's name on the label."),
            Option("--use-by", "DATE", "To be used by."),
            *TOOLS,
        ),
        "Each delivery is a lot of its own, so that a sack can be found again in every bottle.",
    )
    yield Row(
        "measure",
        "Readings of a batch, which change no balance.",
        (
            '"mash 3 h: 1.060, 61 C" "ferment 4 d: 1.010, 24 C"',
            "wash: 8.4 %, 340 L",
            '"jar: 1 L, 74.2 % at 22 C, +1, bread"',
        ),
        (
            Option("--of", "PLACE", "What was read: tub 1."),
            Option("--yes", "", "It is meant as it stands, however odd: nothing is said of it."),
        ),
        "Rows are written as for plan update; book forecast follows them. Without --batch they are of the "
        "only batch that is open. A run's receivers are rows, too: jar: 1 L is the next one, jar 3: -1, glue "
        "says more of it, foreshots: 0.3 L, begins: run 2, and taken: jar 3, jar 4 what went into the heart.",
    )
    yield Row(
        "note",
        "Words to keep, about a place, a batch or the day.",
        ('"the lid was left open overnight" --about "tub 1"',),
        (Option("--about", "PLACE", "What it is about."),),
        "A note changes nothing; it may be added to a closed batch.",
    )
    yield Row("close", "The end of a batch.", ("rye 5",), (), "Nothing more is entered for it then but notes "
        "and corrections.")  # fmt: skip


def _tub() -> Iterator[Row]:
    yield Row(
        "mash",
        "Materials into a vessel, which holds so much more then.",
        ('35 kg rye, 12 kg malt into "tub 1" 180 L at 64 C',),
        (WITHIN, *TOOLS, COST),
        "Materials come from their lots, the oldest first; a lot may be named, as 12 kg rye lot 31. The "
        "volume is all that is in the vessel then.",
    )
    yield Row(
        "add",
        "Materials into a vessel whose volume they hardly change.",
        ('60 g yeast to "tub 1"', '40 mL enzyme to "tub 1"'),
        (COST,),
        "For yeast, enzymes, acid, chalk.",
    )
    yield Row(
        "convert",
        "A ferment gauged: the alcohol that was made.",
        ('"tub 1" 178 L 8.1 % at 24 C', '"tub 1" 178 L 1.008 at 24 C --original 1.062'),
        (Option("--original", "READING", "Its gravity before it fermented."), *TOOLS),
        "Alcohol comes into the book here and nowhere else, but for what is bought.",
    )
    yield Row(
        "distil",
        "A run of the still: the charge, and what became of it.",
        (
            '"pot still" into jar 1 500 mL 78 % at 18 C, jar 2 4 L 71 % at 18 C',
            '   --left "90 L 1 % at 20 C" --destroyed "foreshots 200 mL 80 % at 18 C"',
        ),
        (
            Option("--left", "AMOUNT", "What stayed in the still and was drained."),
            Option("--destroyed", "WHAT", "Thrown away: foreshots 200 mL 80 % at 18 C.", several=True),
            Option("--lost", "WHAT", "Lost otherwise: pipe 100 mL 60 % at 18 C.", several=True),
            COST,
            *TOOLS,
        ),
        "All that the book has in the still was run. Alcohol that nothing accounts for is asked about, "
        "beyond what the instruments may be wrong by. The charge tells a strip from a spirit run; where it "
        "does not, end with: as strip, or: as spirit run.",
    )


def _liquid() -> Iterator[Row]:
    yield Row(
        "move",
        "Liquid from one place to another.",
        ('"tub 1" "pot still" 120 L 8.1 % at 24 C', "jar 2 to tank all", '"tub 1" to "pot still" 26 gal'),
        (Option("--arrived", "AMOUNT", "What was found there, if less."), *TOOLS, COST),
    )
    yield Row(
        "vat",
        "Several liquids into one place.",
        ("jar 1 all, jar 2 all, jar 3 2 L into tank --found 24.1L",),
        (FOUND, *TOOLS),
    )
    yield Row(
        "reduce",
        "Water into a spirit.",
        ("tank 4.2 L", "tank 4.19 kg --found 24.1L"),
        (FOUND, *TOOLS),
        "So much water as went in. Without --found the contraction is worked out.",
    )
    yield Row(
        "fill",
        "Spirit into a cask.",
        ("tank cask 12 24.2 L 63 % at 18 C", 'tank "cask 12" all --price "180 EUR"'),
        (PRICE, COST, *TOOLS),
        price_of="cask",
    )
    yield Row(
        "top",
        "More spirit into a cask that holds some.",
        ('cask 12 from "jar 7" 500 mL 63 % at 18 C',),
        TOOLS,
    )
    yield Row(
        "gauge",
        "What a place really holds; a difference is asked about.",
        ("cask 12 23.9 L 62.4 % at 14 C on oiml-2", 'tank 31 L', "rye lot 31 23.5 kg", "jar 7 empty"),
        (WITHIN, Option("--original", "READING", "Of a wash: its gravity before it fermented."), *TOOLS),
        "Within what the instruments may be wrong by, the book's figure stays. A dip alone takes the book's "
        "strength, a strength alone its volume.",
    )  # fmt: skip
    yield Row(
        "explain",
        "Why something was missing.",
        ("cask 12 evaporation", 'tank "spilt at the tap" 300 mL'),
        (),
        "It becomes a loss by its name. What was found too much stays unaccounted, under its reason.",
    )


def _out() -> Iterator[Row]:
    yield Row("sample", "A sample that does not come back.", ("cask 12 100 mL tasting",), (WHY, *TOOLS))
    yield Row(
        "bottle",
        "Spirit into bottles.",
        ('tank L26-1 40 x 500 mL 46 % at 20 C --taken all --with "40 corks"',),
        (
            Option(
                "--taken", "AMOUNT", "What left the place, if more than went into bottles; all empties it."
            ),
            Option("--with", "GOODS", "Dry goods that went on them: 40 corks.", several=True),
            Option("--bottles", "NAME", "Which empty bottles, if not those of that size in store."),
            COST,
            *TOOLS,
        ),
    )
    yield Row(
        "sell",
        "Bottles or liquid sold.",
        ('L26-1 12 to "farm shop"', 'cask 12 20 L 60 % at 20 C to "Old Mill"'),
        (Option("--to", "NAME", "Who bought it, if not behind the word to."), *TOOLS),
    )
    yield Row(
        "destroy", "Thrown away on purpose.", ("jar 1 all foreshots", "rye lot 31 3 kg mouldy"), (WHY, *TOOLS)
    )
    yield Row("lose", "Lost, by a known cause.", ("jar 7 200 mL spilt", "L26-1 2 broken"), (WHY, *TOOLS))
