"""What can be recorded from a page, each with its button, how it is written, and what it is for."""

from __future__ import annotations

import secrets

from caskward.desk.pages import Deed, RecordForm

_ROWS = (
    ("measure", "Reading", "wash: 8.4 %, 340 L", "A reading of a batch; it changes no balance."),
    ("gauge", "Gauge", "cask 12 23.9 L 62.4 % at 14 C", "What a place really holds."),
    ("move", "Move", "tub 1 to pot still 120 L 8.1 % at 24 C", "Liquid from one place to another."),
    ("convert", "Ferment gauged", "tub 1 178 L 8.1 % at 24 C", "The alcohol that a ferment made."),
    (
        "mash",
        "Mash in",
        "35 kg rye, 12 kg malt into tub 1 180 L at 64 C",
        "Materials into a vessel, and all that it holds then.",
    ),
    ("add", "Add", "60 g yeast to tub 1", "What hardly changes the volume: yeast, enzymes, acid."),
    (
        "distil",
        "Still run",
        "pot still into jar 1 4 L 70 % at 18 C, left 90 L 1 % at 20 C",
        "A run, and what became of its charge; where that does not tell: as strip, as spirit run.",
    ),
    ("vat", "Vat", "jar 1 all, jar 2 all into tank", "Several liquids into one place."),
    ("reduce", "Reduce", "tank 4.2 L", "So much water into a spirit."),
    ("fill", "Fill a cask", "tank cask 12 24.2 L 63 % at 18 C", "Spirit into a cask."),
    ("top", "Top a cask", "cask 12 from jar 7 500 mL 63 % at 18 C", "More spirit into a cask."),
    ("sample", "Sample", "cask 12 100 mL tasting", "A sample that does not come back."),
    ("bottle", "Bottle", "tank L26-1 40 x 500 mL 46 % at 20 C", "Spirit into bottles."),
    ("sell", "Sell", 'L26-1 12 to "farm shop"', "Bottles or liquid sold."),
    ("receive", "Receive", '50 kg rye from "Hill Farm"', "Materials, dry goods, bought spirit that came in."),
    ("explain", "Explain", "cask 12 evaporation", "Why something was missing."),
    ("lose", "Lose", "jar 7 200 mL spilt", "Lost, by a known cause."),
    ("destroy", "Destroy", "jar 1 all foreshots", "Thrown away on purpose."),
    ("note", "Note", '"the lid was left open"', "Words to keep."),
    ("declare", "Declare", "cask 12 50 L", "A vessel, cask or jar and its volume."),
    ("begin", "Begin a batch", "rye 5", "A batch begins."),
    ("close", "Close a batch", "rye 5", "The end of a batch."),
)
_IN_GALLONS = {
    "measure": "wash: 8.4 %, 90 gal",
    "gauge": "cask 12 6.31 gal 124 proof at 57 F",
    "move": "tub 1 to pot still 32 gal 8.1 % at 75 F",
    "convert": "tub 1 47 gal 8.1 % at 75 F",
    "mash": "77 lb rye, 26 lb malt into tub 1 47 gal at 147 F",
    "add": "2 oz yeast to tub 1",
    "distil": "pot still into jar 1 1 gal 140 proof at 64 F, left 24 gal 1 % at 68 F",
    "reduce": "tank 1.1 gal",
    "fill": "tank cask 12 6.4 gal 126 proof at 64 F",
    "top": "cask 12 from jar 7 0.13 gal 126 proof at 64 F",
    "sample": "cask 12 3 fl oz tasting",
    "bottle": "tank L26-1 40 x 750 mL 92 proof at 68 F",
    "receive": '110 lb rye from "Hill Farm"',
    "lose": "jar 7 7 fl oz spilt",
    "declare": "cask 12 13 gal",
}
"""How the same is written in US units, where it has any."""
DEEDS = {
    row[0]: Deed(
        verb=row[0], name=row[1], example=row[2], in_gallons=_IN_GALLONS.get(row[0], row[2]), help=row[3]
    )
    for row in _ROWS
}
"""By the service's verb, in the order of a batch."""


_WORK = (
    *("mash", "add", "convert", "move", "distil", "vat", "reduce", "fill"),
    *("gauge", "explain", "lose", "destroy"),
)
_NEXT = {
    "convert": "add",
    "ferment": "convert",
    "separate": "move",
    "strip": "distil",
    "charge": "distil",
    "spirit": "vat",
    "fill": "gauge",
}
"""What is most likely done next, by the stage at which a batch was last seen."""


def any_deed(back: str, batches: tuple[str, ...] = (), verb: str = "measure") -> RecordForm:
    """A form to record anything."""
    return RecordForm(
        key=new_key(), deeds=tuple(DEEDS.values()), verb=verb, words="", batches=batches, back=back
    )


def work_of(batch: str, stage: str, back: str) -> RecordForm:
    """A form for a batch's own work, with what comes next at its stage chosen. stage: key, "" before any."""
    return RecordForm(
        key=new_key(), deeds=tuple(DEEDS[verb] for verb in _WORK), verb=_NEXT.get(stage, "mash"), words="",
        batch=batch, back=back,
    )  # fmt: skip


def one_deed(verb: str, label: str, example: str, back: str, before: str = "", batch: str = "") -> RecordForm:
    """A form for one deed at one place."""
    return RecordForm(
        key=new_key(), deeds=(DEEDS[verb],), verb=verb, words="", before=before, label=label,
        example=example, batch=batch, back=back,
    )  # fmt: skip


def new_key() -> str:
    """A key that no other form has."""
    return secrets.token_hex(12)
