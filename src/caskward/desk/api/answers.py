"""What comes back of places, accounts and entries. Amounts are metric whatever a maker types.

All liquid is counted at 20 °C: `_l` is litres, `_pct_vol` per cent by volume, `alcohol_l` pure alcohol.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

Text = Annotated[str, Field(description="Plain text, never markup.")]
Sentences = Annotated[list[str], Field(description="Sentences for a person to read.")]
Moment = Annotated[
    str, Field(description="A moment in UTC, ISO 8601.", examples=["2025-11-06T20:30:00.000000Z"])
]
Bulk = Annotated[float, Field(description="Liquid of any strength [L at 20 °C].", examples=[13.2])]
Alcohol = Annotated[float, Field(description="Pure alcohol [L at 20 °C].", examples=[7.91208])]


class Answer(BaseModel):
    """What every answer is: whole, with no field that is not described."""

    model_config = ConfigDict(frozen=True, extra="forbid", from_attributes=True)


class Problem(Answer):
    """Why something was not done: the sentence that a page would show, too."""

    error: str = Field(
        description="What was given, what is allowed, what to do next.",
        examples=["There is no batch 'rye 9' in the book. Begin it first."],
    )


class Place(Answer):
    """A place and the liquid in it."""

    account: str = Field(description="Its account in the book.", examples=["cask/2"])
    name: str = Field(description="What it is called.", examples=["cask 2"])
    kind: str = Field(description="vessel, cask, jar or bottles.", examples=["cask"])
    bulk_l: Bulk
    alcohol_l: Alcohol
    strength_pct_vol: float | None = Field(
        description="Strength [%vol at 20 °C]; null if it is empty.", examples=[59.94]
    )
    room_l: float | None = Field(
        description="What it takes in all [L]; null if that was never declared.", examples=[25.0]
    )
    level: float | None = Field(
        description="How full it is, 0 to 1; null where `room_l` is.", ge=0, le=1, examples=[0.528]
    )
    pieces: int = Field(description="Bottles in it; 0 for other places.", examples=[0])


class Places(Answer):
    """Places, in the order of their names."""

    places: list[Place] = Field(description="Those of this page.")
    total: int = Field(description="How many there are in all.", ge=0, examples=[5])
    alcohol_l: float = Field(description="Pure alcohol in all of them [L at 20 °C].", examples=[64.28])


class Amount(Answer):
    """So much of something."""

    of: str = Field(description="What: liquid, pure alcohol, or goods by their name.", examples=["liquid"])
    amount: float = Field(description="How much, in `unit`; out of an account below zero.", examples=[13.2])
    unit: Literal["L", "kg", "pieces"] = Field(description="L of liquids is at 20 °C.", examples=["L"])


class Lot(Answer):
    """Material or dry goods of one lot."""

    account: str = Field(description="Its account in the book.", examples=["lot/rye 25-1"])
    name: str = Field(description="What the lot is called.", examples=["rye 25-1"])
    what: str = Field(description="What it is.", examples=["rye"])
    amount: float = Field(description="How much is left, in `unit`.", examples=[35.5])
    unit: Literal["L", "kg", "pieces"] = Field(description="In what it is counted.", examples=["kg"])


class Missing(Answer):
    """A difference that nobody has explained yet."""

    place: str = Field(description="Where.", examples=["vessel feints"])
    of: str = Field(description="Of what.", examples=["pure alcohol"])
    amount: float = Field(description="How much is missing, in `unit`; below zero: too much.", examples=[0.2])
    unit: Literal["L", "kg", "pieces"] = Field(description="In what it is counted.", examples=["L"])


class Stores(Answer):
    """What there is to work with."""

    lots: list[Lot] = Field(description="Materials and dry goods, those of this page.")
    total: int = Field(description="How many lots there are in all.", ge=0)
    liquids: list[Place] = Field(description="Vessels and jars that hold something.")
    unexplained: list[Missing] = Field(description="Differences that a reason is asked for.")
    alcohol_l: float = Field(description="Pure alcohol in all places, casks too [L at 20 °C].")


class Balance(Answer):
    """What an account holds."""

    account: str = Field(description="Its path.", examples=["cask/2"])
    holds: list[Amount] = Field(description="Every amount that is not zero.")


class Balances(Answer):
    """What is where."""

    balances: list[Balance] = Field(description="Accounts of this page, by their path.")
    total: int = Field(description="How many there are in all.", ge=0)


class LeafLine(Answer):
    """What one entry changed in an account."""

    entry: int = Field(description="The entry's number.", ge=1, examples=[226])
    done_at: Moment
    kind: str = Field(description="What kind of deed.", examples=["gauged"])
    change: Amount = Field(description="What came in; what went out is below zero.")
    then: Amount = Field(description="What was there after it.")


class Account(Answer):
    """An account and what happened in it."""

    account: str = Field(description="Its path.", examples=["cask/2"])
    holds: list[Amount] = Field(description="What it holds now.")
    room_l: float | None = Field(description="Its declared volume [L], if any.", examples=[25.0])
    lines: list[LeafLine] = Field(description="What went in and out, the newest first.")
    more: bool = Field(description="Whether there are older lines: ask with a larger `limit`.")


class Posting(Answer):
    """So much into an account, or out of it."""

    account: str = Field(description="Which.", examples=["cask/2"])
    change: Amount = Field(description="Below zero: out of it.")


class Reading(Answer):
    """A reading as it was taken; numbers are decimals as text, exactly as they were read."""

    quantity: str = Field(description="Of what.", examples=["gravity"])
    typed: str = Field(description="As it was typed.", examples=["0.999 at 30 C"])
    value: str = Field(description="The number in it.", examples=["0.999"])
    unit: str = Field(description="Its unit.", examples=["sg"])
    instrument: str = Field(description="What it was read on; may be empty.")
    temp_c: str | None = Field(description="The sample's temperature [°C].", examples=["30"])
    tolerance: str | None = Field(description="Plus or minus so much, in `unit`.", examples=["0.001"])


class EntryLine(Answer):
    """An entry in short."""

    number: int = Field(description="Its number, from 1 on.", ge=1, examples=[200])
    kind: str = Field(description="What kind of deed.", examples=["measured"])
    summary: str = Field(description="What it says, in the units asked for.")
    done_at: Moment
    by: str = Field(description="Who recorded it: a person, or a token by its name.", examples=["Jory"])
    batch: str | None = Field(description="Of which batch.", examples=["rye 4"])
    corrects: int | None = Field(description="The entry that it puts right.", examples=[None])


class Entries(Answer):
    """Entries of a page, the newest first."""

    entries: list[EntryLine] = Field(description="Those of this page.")
    before: int | None = Field(
        description="Ask again with this as `before` for older ones; null if there are none.", examples=[216]
    )


class Entry(EntryLine):
    """An entry whole."""

    recorded_at: Moment
    site: str = Field(description="Where it was done.", examples=["Low Marl Farm (invented)"])
    note: str = Field(description="Words kept with it.")
    key: str = Field(description="The key that its sender gave it.", examples=["low-marl-2025-0200"])
    hash: str = Field(description="Its hash, which holds that of the entry before.", min_length=64)
    before: str = Field(description="The hash of the entry before it.", min_length=64)
    readings: list[Reading] = Field(description="What was read.")
    postings: list[Posting] = Field(description="What moved.")
    details: dict[str, Any] = Field(
        description="What else belongs to this kind of deed, as it is hashed: amounts in µL, mg, pieces."
    )


class Finding(Answer):
    """Something that does not hold."""

    sentence: str = Field(description="What was found.")


class Check(Answer):
    """Whether the book holds: file, guards, chain, sums, balances."""

    whole: bool = Field(description="Whether all of it holds.", examples=[True])
    entries: int = Field(description="How many entries were proved.", ge=0, examples=[240])
    head: str | None = Field(description="The newest entry's hash: keep it elsewhere.")
    first_bad: int | None = Field(description="The first entry that does not hold.", examples=[None])
    findings: list[Finding] = Field(description="What was found; empty if all holds.")
    sentences: Sentences
