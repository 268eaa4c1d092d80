"""What readings of a whole batch can get wrong."""

from __future__ import annotations

from caskward.errors.common import InputError, MissingValue


class NoBatchReadings(MissingValue):
    """A plan to be brought up to date by no reading at all."""

    def __init__(self) -> None:
        super().__init__("plan update", "at least one reading", '--reading "mash 3 h: 1.060"')


class MomentMissing(InputError):
    """A reading of a stage that changes as it goes, without when."""

    def __init__(self, stage: str, kind: str, example: str, more: str = "") -> None:
        sentence = f"A {stage} is read at {kind}, and this reading has none. Write: {example!r}."
        super().__init__(f"{sentence} {more}".strip())


class WhoseWarmth(InputError):
    """A tub's gravity at a warmth, which may be the tub's own or that of a sample."""

    def __init__(self, given: str, gravity: str, temp: str) -> None:
        super().__init__(
            f"{given!r} can be the warmth of the tub or that of a sample. If the tub was at {temp}, write "
            f"{gravity}, {temp}; if a sample was cooled and strained, write gravity cooled {gravity}."
        )


class MomentNotNeeded(InputError):
    """A reading of something that is read once, with a time."""

    def __init__(self, stage: str, moment: str, instead: str) -> None:
        super().__init__(f"A {stage} is read as a whole, but {moment!r} stands behind it. Write: {instead}.")


class NotAtTheSpout(InputError):
    """Something other than a strength, read at some litres of a run."""

    def __init__(self, stage: str, given: str, example: str, whole: str) -> None:
        super().__init__(
            f"{given!r} can't be read at the spout: there a {stage} shows its strength, {example}. What all "
            f"of them gave together is a row of its own: {whole!r}."
        )


class MoreThanThereIs(InputError):
    """More litres collected than a charge has."""

    def __init__(self, said: str, collected: str, charge: str, stage: str, times: int) -> None:
        each = f", each of {times}" if times > 1 else ""
        super().__init__(
            f"{said!r}: {collected} collected, but a {stage} of this plan is charged with about {charge}"
            f"{each}. Count litres from the first drop of the one that you are running."
        )


class MoreThanItHolds(InputError):
    """A volume that is more than its vessel, or than what went in."""

    def __init__(self, said: str, most: str, of: str) -> None:
        super().__init__(
            f"{said!r}: no more than {most} can be there, by {of}. Look at the figure and its unit again; "
            "where another vessel was used, write that into the plan."
        )


class MoreThanTheWhole(InputError):
    """A strength at the spout at more litres than came over in all."""

    def __init__(self, said: str, whole: str, stage: str) -> None:
        super().__init__(
            f"{said!r} is read after more litres than {whole!r} says the {stage} gave in all. Count litres "
            "from the first drop, and measure the whole when it has ended."
        )


class NothingFollowed(InputError):
    """Readings none of which says anything about the plan."""

    def __init__(self, rows: tuple[str, ...]) -> None:
        given = ", ".join(repr(row) for row in rows)
        super().__init__(
            f"None of this moves the plan: {given}. Read a gravity, a volume or a strength, such as "
            '"mash 3 h: 1.060" or "wash: 8.4 %, 340 L".'
        )


class NoWorldFits(InputError):
    """Readings that no batch of this plan could show together."""

    def __init__(self) -> None:
        super().__init__(
            "No batch of this plan could show these readings together. Check their units and moments, and "
            "whether the file is the one of this batch."
        )


class RowNotQuoted(InputError):
    """A reading that was taken for the name of a file."""

    def __init__(self, command: str, given: str) -> None:
        super().__init__(
            f"One file's name is wanted, but {given!r} was given. Put a reading behind --reading and in "
            f'quotes: caskward {command} mine.toml --reading "mash 3 h: 1.060". A name with a space or a '
            "colon in it is fine once that file exists."
        )


class NotOffered(InputError):
    """A move that is asked for and is not open, for a reason; without one it is open and in vain."""

    def __init__(self, name: str, offered: tuple[str, ...], shut_for: str = "") -> None:
        why = f"is not open: {shut_for}" if shut_for else "is open, but does not raise the chance"
        other = f"Open are: {', '.join(offered)}." if offered else "No move is needed or open."
        super().__init__(f"The move {name!r} {why}. {other}")
