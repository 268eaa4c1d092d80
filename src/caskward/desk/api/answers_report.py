"""What comes back of traces and periods; alcohol in µL at 20 °C, whole, so that sums close exactly."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field

from caskward.desk.api.answers import Answer, Moment, Sentences

_UL = "[µL of pure alcohol at 20 °C]"


class Report(Answer):
    """What every report says of itself."""

    note: str = Field(description="What it is not: a filing with any authority.")
    invented: bool = Field(description="Whether the book says of itself that it is made up.", examples=[True])
    sentences: Sentences


class TraceLot(Answer):
    """A lot that something came from."""

    account: str = Field(description="Its account.", examples=["lot/rye 25-1"])
    commodity: str = Field(description="What it is.", examples=["mass/rye"])
    amount: int = Field(description="How much of it is in there [mg, µL or pieces, by `commodity`].")
    supplier: str = Field(description="Whose it was.", examples=["the grain farm"])
    supplier_lot: str = Field(description="The supplier's own number of it.", examples=["G-311"])
    product: str = Field(description="The product's name, if it was kept.")
    received_at: Moment
    author: str = Field(description="Who took it in.", examples=["Jory"])
    entry: int = Field(description="In which entry.", ge=1, examples=[5])


class TraceEnd(Answer):
    """Where something is now, or whom it went to."""

    account: str = Field(description="Where.", examples=["vessel/feints"])
    of_the_lot: int = Field(description="How much of the lot is in it [mg, µL or pieces].")
    alcohol_ul: int = Field(description=f"Alcohol in it {_UL}.")
    bulk_ul: int = Field(description="Liquid in it [µL at 20 °C].")
    pieces: int = Field(description="Bottles.")
    gone: bool = Field(description="Whether it has left the house.")


class TraceAlcohol(Answer):
    """Where alcohol came from."""

    origin: str = Field(description="A batch's ferment, or a supplier.", examples=["made/fermentation/rye 2"])
    alcohol_ul: int = Field(description=f"So much {_UL}.", examples=[4655519])


class TraceStep(Answer):
    """A step on the way."""

    step: int = Field(description="Its number in `ways`.", ge=0)
    accounts: list[str] = Field(description="Places it went through.")
    times: int = Field(description="How often.")
    batch: str | None = Field(description="Of which batch.")
    first: Moment
    last: Moment
    people: list[str] = Field(description="Who recorded it.")
    entries: list[int] = Field(description="In which entries.")


class TraceWay(Answer):
    """From one step to another."""

    source: int = Field(description="Number of the step it leaves.", ge=0)
    target: int = Field(description="Number of the step it comes to.", ge=0)
    amounts: dict[str, int] = Field(description="By commodity [mg, µL or pieces].")


class Trace(Report):
    """Back to every lot and person, or forward to every cask, bottle and customer."""

    direction: Literal["back", "forward"] = Field(description="Which way.")
    account: str = Field(description="Of what.", examples=["cask/2"])
    lots: list[TraceLot] = Field(description="Back: the lots it came from.")
    ends: list[TraceEnd] = Field(description="Forward: where it is and went.")
    alcohol: list[TraceAlcohol] = Field(description="Back: whose the alcohol is.")
    people: list[str] = Field(description="Everybody who recorded something on the way.")
    entries: list[int] = Field(description="Every entry on the way.")
    starts: list[int] = Field(description="Numbers of the steps to begin reading at.")
    steps: list[TraceStep] = Field(description="Every step.")
    ways: list[TraceWay] = Field(description="What went from step to step.")


class PeriodLine(Answer):
    """Alcohol by one cause."""

    cause: str = Field(description="Its account.", examples=["made/fermentation"])
    alcohol_ul: int = Field(description=f"What came in is above zero, what went out below {_UL}.")


class Closed(Answer):
    """opening + lines = closing, exactly."""

    opening_ul: int = Field(description=f"At its beginning {_UL}.")
    lines: list[PeriodLine] = Field(description="What came in, what went out and why.")
    closing_ul: int = Field(description=f"At its end {_UL}.")


class PeriodLoss(Answer):
    """A loss against the maker's own limit."""

    cause: str = Field(description="Its cause.", examples=["evaporated"])
    lost_ul: int = Field(description=f"So much {_UL}.")
    handled_ul: int = Field(description=f"All that the period handled {_UL}.")
    limit_pct: str = Field(description="The limit [% of what was handled], a decimal as text.")
    pct: float | None = Field(description="The loss [% of what was handled].")
    over: bool = Field(description="Whether it is over the limit.")


class PeriodCask(Answer):
    """What a cask lost."""

    account: str = Field(description="The cask.", examples=["cask/2"])
    lost_ul: int = Field(description=f"So much {_UL}.")
    pct_a_year: float | None = Field(description="By the year [%]; null where the time is too short.")
    over: bool | None = Field(description="Whether it is over the limit; null where there is none.")


class PeriodOpen(Answer):
    """A difference without a reason."""

    place: str = Field(description="Where.", examples=["vessel feints"])
    commodity: str = Field(description="Of what.", examples=["alcohol"])
    amount: int = Field(description="So much is missing [µL, mg or pieces]; below zero: too much.")


class PeriodDuty(Answer):
    """An estimate at the maker's own rate."""

    alcohol_ul: int = Field(description=f"On so much {_UL}.")
    minor_per_lpa: str = Field(description="Rate [cents for a litre of pure alcohol], a decimal as text.")
    minor: int = Field(description="So much [cents].")
    currency: str = Field(description="Of which money.", examples=["EUR"])


class Period(Report):
    """The alcohol account of a period."""

    begins: Moment
    ends: Moment
    entries: int = Field(description="How many entries it knows.", ge=0)
    head: str | None = Field(description="Hash of the newest of them.")
    account: Closed = Field(description="The account as it was recorded.")
    as_put_right: Closed = Field(description="The account with later corrections counted in.")
    moved_ul: int = Field(description=f"What went from place to place {_UL}.")
    held_ul: dict[str, int] = Field(description=f"What each place holds at its end {_UL}.")
    losses: list[PeriodLoss] = Field(description="Losses that a limit is set for.")
    casks: list[PeriodCask] = Field(description="What each cask lost.")
    cask_limit_pct_a_year: str | None = Field(description="The limit for casks [% a year], as text.")
    no_limit_for: list[str] = Field(description="Causes of loss that have no limit.")
    unexplained: list[PeriodOpen] = Field(description="What nobody has explained at its end.")
    corrections: list[dict[str, Any]] = Field(
        description="Corrections made in the period: number, corrects, at, author, meant, why."
    )
    corrected_later: list[dict[str, Any]] = Field(description="Those made after it, of what was done in it.")
    duty: PeriodDuty | None = Field(description="An estimate; null where no rate is set.")
