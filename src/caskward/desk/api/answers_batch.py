"""What comes back of batches: where each stands, what is believed of it, what to read, what can be done."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from caskward.desk.api.answers import Answer, EntryLine, Missing, Sentences

State = Literal["no plan", "thinking", "ready", "failed"]
_STATE = (
    "`ready`: here it is. `thinking`: it is being worked out, ask again in a second or give `wait_s`. "
    "`no plan`: the batch has none. `failed`: `sentence` says why."
)


class Band(Answer):
    """A forecast: the truth lies between low and high 8 times in 10."""

    low: float = Field(description="Below it 1 time in 10.", examples=[21.4])
    mid: float = Field(description="As often above as below.", examples=[24.6])
    high: float = Field(description="Above it 1 time in 10.", examples=[27.3])


class BatchLine(Answer):
    """A batch in short."""

    name: str = Field(description="Its name.", examples=["rye 4"])
    is_open: bool = Field(description="Whether it goes on.", examples=[True])


class Batches(Answer):
    """Batches of a page: the open ones first, each kind by its name."""

    batches: list[BatchLine] = Field(description="Those of this page.")
    total: int = Field(description="How many there are in all.", ge=0, examples=[6])


class Row(Answer):
    """A reading as it was typed."""

    stage: str = Field(description="Of which stage; empty for what was done.", examples=["wash"])
    row: str = Field(description="As it was typed.", examples=["wash: 8.4 %, 340 L"])
    entry: int = Field(description="The entry that it stands in.", ge=1, examples=[212])


class Reach(Answer):
    """Where a batch's alcohol is on its way [L of pure alcohol at 20 °C]."""

    key: str = Field(description="materials, tub, wash, low wines, charge, heart or cask.", examples=["wash"])
    planned_l: Band | None = Field(description="By the plan; null while it is worked out, or without one.")
    expected_l: Band | None = Field(description="After all readings; null likewise.")
    recorded_l: float | None = Field(description="By the book; null if it has not come so far.")


class Batch(BatchLine):
    """A batch whole."""

    where: str = Field(description="Where it stands, in a word or two.", examples=["fermenting"])
    sentence: str = Field(description="How far its alcohol has come, in the units asked for.")
    planned: bool = Field(description="Whether it has a plan.", examples=[True])
    rows: list[Row] = Field(description="Every reading, in order.")
    reaches: list[Reach] = Field(description="Its alcohol on its way, as far as it is known yet.")
    entries: list[EntryLine] = Field(description="Its newest entries, 200 at most, the newest last.")
    more: bool = Field(description="Whether it has older entries: ask `/entries` with `batch`.")


class Thought(Answer):
    """What is worked out beside the book, as far as it is known."""

    state: State = Field(description=_STATE)
    sentence: str = Field(description="The answer in a sentence, or why there is none; may be empty.")


class Forecast(Thought):
    """How sure the cask fills; figures are null unless `state` is `ready`."""

    chance: float | None = Field(description="That the cask fills, 0 to 1.", ge=0, le=1, examples=[0.62])
    chance_before: float | None = Field(description="The same before its readings, 0 to 1.", ge=0, le=1)
    fill_l: Band | None = Field(description="Spirit for the cask at its entry strength [L at 20 °C].")
    wanted_l: float | None = Field(description="How much the cask takes [L at 20 °C].")
    entry_pct_vol: float | None = Field(description="The strength it goes in at [%vol at 20 °C].")
    rough: bool | None = Field(description="Whether few of the plan's worlds fit the readings.")
    cautions: Sentences
    notes: Sentences


class NextReading(Answer):
    """A reading that can be taken."""

    stage: str = Field(description="At which stage.", examples=["wash"])
    quantity: str = Field(description="Of what.", examples=["strength"])
    words: str = Field(description="The same as a person says it.")
    unit: str = Field(description="Unit of `expects`.", examples=["pct_vol"])
    at_h: float = Field(description="So long after the stage began [h]; 0 if that does not matter.")
    at_l: float = Field(description="When so much has come over [L]; 0 if that does not matter.")
    minutes: float = Field(description="About so much work [min].")
    expects: Band = Field(description="What it is expected to show.")
    width_after: float = Field(
        description="Width of the band of the fill that it is expected to leave [L at 20 °C]."
    )
    now: bool = Field(description="Whether it can be taken at this point.")


class NextReadings(Thought):
    """What to read next: what can be taken now, the best for its work first, then what comes later."""

    begin: str = Field(description="How the row of the best one begins.", examples=["wash"])
    example: str = Field(description="What might be typed behind it.", examples=["8.4 %"])
    readings: list[NextReading] = Field(description="All that can be read; empty unless `ready`.")


class Remedy(Answer):
    """Something that can still be done."""

    key: str = Field(description="What kind of remedy.")
    words: str = Field(description="What to do, in the units asked for.")
    chance: float = Field(description="That the cask fills then, 0 to 1.", ge=0, le=1)
    gain: float = Field(description="So much chance is added, 0 to 1.")
    takes: float = Field(description="Money, hours and alcohol, as a share of the whole batch's.")
    fill_l: Band = Field(description="Spirit for the cask then [L at 20 °C].")
    helps: bool = Field(description="Whether it changes the chance enough to speak of.")


class Remedies(Thought):
    """What would make the cask surer to fill."""

    needed: bool | None = Field(
        description="Whether the chance is below what the plan wanted; null unless `ready`."
    )
    remedies: list[Remedy] = Field(description="What can be done, by rank.")


class Task(Answer):
    """What an open batch asks of the hands now."""

    batch: str = Field(description="The batch.", examples=["rye 4"])
    where: str = Field(description="Where it stands.", examples=["fermenting"])
    sentence: str = Field(description="How far its alcohol has come.")
    state: State = Field(description=_STATE)
    read: str = Field(description="The reading to take next; empty while unknown, or if there is none.")
    expect: str = Field(description="What it is expected to show.")
    begin: str = Field(description="How its row begins.")
    cautions: Sentences


class Bench(Answer):
    """What needs hands now."""

    tasks: list[Task] = Field(description="Open batches, the one that was worked on last first; 12 at most.")
    unexplained: list[Missing] = Field(description="Differences that a reason is asked for.")
    last: list[EntryLine] = Field(description="What was recorded last, the newest first.")


class Recorded(Answer):
    """What was entered."""

    number: int = Field(description="The entry's number.", ge=1, examples=[241])
    repeated: bool = Field(description="Whether this key was entered before, so that nothing was changed.")
    sentences: Sentences


class ReadingRecorded(Recorded):
    """What was entered, and what it changes; the figures are null where that is not known yet."""

    chance_before: float | None = Field(description="That the cask fills, before it: 0 to 1.", ge=0, le=1)
    chance: float | None = Field(description="That the cask fills, with it: 0 to 1.", ge=0, le=1)
    fill_l: Band | None = Field(description="Spirit for the cask with it [L at 20 °C].")
    exact: bool | None = Field(
        description="False: quickly worked out, ask `forecast` for what is exact; true: that already."
    )
