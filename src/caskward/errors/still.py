"""What a charge, a choice of jars or a still's record can get wrong."""

from __future__ import annotations

from caskward.errors.common import CaskwardError, ImpossibleIntent, InputError


class UnreadableNotes(InputError):
    """A file of jars or of logged runs that cannot be opened or is not text."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(f"{path} cannot be read: {why}. Check its name and the folder that it is in.")


class NamedTwice(InputError):
    """Two jars, runs or columns of one name."""

    def __init__(self, what: str, name: str) -> None:
        super().__init__(f"Two {what} are called {name!r}. Give each a name of its own.")


class ImpossibleReading(InputError):
    """A reading of a logged run that nature does not allow."""

    def __init__(self, run: str, row: str, what: str, advice: str) -> None:
        super().__init__(f"{run}, {row}: {what}. That cannot be. {advice}")
        self.run, self.row = run, row


class NotALearnedStill(InputError):
    """A file that does not hold what a still's runs taught."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(
            f"{path} is no file of a learned still: {why} Write one from your log with: "
            "caskward still learn runs.toml --save my-still.toml"
        )


class NotLearnedBatches(InputError):
    """A file that does not hold what closed batches taught."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(
            f"{path} does not hold what batches taught: {why} Write one when a batch is closed, with: "
            "caskward plan learn mine.toml --log batch.txt --save my-gear.toml"
        )


class WouldLoseBatches(InputError):
    """What a batch taught, to be saved over what others taught that its plan did not begin with."""

    def __init__(self, path: str) -> None:
        super().__init__(
            f"{path} holds other batches, and this plan does not begin with them: they would be lost. Save "
            f'to another file, or begin the plan with them: learned = "{path}" at the top of its file.'
        )


class BatchLearnedAlready(InputError):
    """A batch that has been learned from, given once more."""

    def __init__(self, readings: int) -> None:
        super().__init__(
            f"These {readings} readings have been learned from already: this plan begins with them. A batch "
            "counts once. Give the readings of the next one."
        )


class OtherStillLearned(InputError):
    """What was learned of a still of one kind, asked for on one of another kind."""

    def __init__(self, learned: str, asked: str) -> None:
        super().__init__(
            f"What was learned is of a {learned} still, but this still is a {asked}. Take the file of this "
            f"still, or write its kind as {learned}."
        )


class WouldLoseNotes(InputError):
    """A file to save to that holds something already, such as the log itself or a maker's readings."""

    def __init__(self, path: str) -> None:
        super().__init__(
            f"{path} is there already, and what stands in it would be lost. Name another file, or move it."
        )


class NothingToChoose(InputError):
    """A choice without a jar that could be chosen."""

    def __init__(self) -> None:
        super().__init__(
            "There is no jar to choose from. Give at least one that is not marked out or discard."
        )


class NoTraceFigure(InputError):
    """A cap on a congener that nothing is known about in a jar."""

    def __init__(self, congener: str, jar: str) -> None:
        super().__init__(
            f"{congener} is to stay under a limit, but {jar} has no figure for it. "
            f"Give {jar} one, mark it out, or drop the limit."
        )


class NoSuchChoice(ImpossibleIntent):
    """No choice of jars meets every limit; `nearest` says how near each comes with the others kept."""

    def __init__(self, nearest: tuple[str, ...], together: bool = True) -> None:
        kept = "with every other limit kept, " if together else "even alone, "
        super().__init__(f"No choice of these jars meets every limit: {kept}{', or '.join(nearest)}.")
        self.nearest = nearest


class ChargeRefused(InputError):
    """A charge that must not be lit as it stands; `reasons` say why and what mends it."""

    def __init__(self, charge: str, reasons: tuple[str, ...]) -> None:
        super().__init__(f"{charge} must not be charged like this: {'; and '.join(reasons)}.")
        self.reasons = reasons


class NothingCovers(InputError):
    """A charge that bares its element before the stop, which nothing mends in this pot."""

    def __init__(self, begin: str) -> None:
        super().__init__(
            f"{begin}: no stop, charge or water mends that in this pot, which has too little room over it, "
            "so do not light it. Take a larger pot, or check what covers the element (--least)."
        )


class LastReceiverMissing(InputError):
    """A plan of receivers after whose last one the still would run on the floor."""

    def __init__(self, last: str) -> None:
        what = f"The last receiver, {last!r}, is taken away before the run ends"
        what = what if last else "No receiver is planned"
        super().__init__(f"{what}. Plan one more, without a stop, that takes all that still comes.")


class NoChoiceInTime(CaskwardError):
    """The search for a choice of jars ran out of time before it found a first one."""

    def __init__(self, time_limit_s: float) -> None:
        super().__init__(
            f"In {time_limit_s:g} s no choice of jars was found, nor was it shown that there is none. "
            "Give more time, or allow a jar to be shared between cask and feints."
        )


class NeverSettles(InputError):
    """Feints that go on changing from batch to batch."""

    def __init__(self, batches: int) -> None:
        super().__init__(
            f"After {batches} batches the feints still change from one to the next. Perhaps the number of "
            "charges goes back and forth: choose a charge limit that is not so near."
        )


class BuildUpOutOfReach(ImpossibleIntent):
    """A congener that no throwing away keeps under its limit; levels in g/hL of pure alcohol."""

    def __init__(self, words: str, part: str, most_g_hl: float, reached_g_hl: float, chance: float) -> None:
        mend = "Try --throw feints, cut" if part != "feints" else "Cut"
        mend += " the heart narrower, or look for the cause in the wash."
        if words == "methanol":
            mend = "No cut removes methanol: look for the cause in what was fermented."
        super().__init__(
            f"Even with all {part} thrown away each time, the level of {words} in the heart is "
            f"{reached_g_hl:.3g} g/hL of pure alcohol at {100 * chance:.0f} % confidence, over the limit of "
            f"{most_g_hl:.4g}. {mend}"
        )


class CaskwardWarning(UserWarning):
    """Something risky but possible, said in one sentence; the figure is given all the same."""


class BeyondTraceCurves(CaskwardWarning):
    """A liquid on the plates stronger than any congener's curve reaches."""

    def __init__(self, x_ethanol: float, most: float) -> None:
        super().__init__(
            f"The liquid high in the column holds {x_ethanol:.3f} mol of ethanol per mol, and the curves of "
            f"the congeners end at {most:g}: beyond it their volatility is held at that of the end. "
            "Take what is shown of congeners in the first runnings as a rough sign."
        )
