"""What a maker's wish, bill or gear can get wrong before anything is solved."""

from __future__ import annotations

from caskward.errors.common import ImpossibleIntent, InputError


class BadCatalogueEntry(InputError):
    """A catalogue file, or a maker's own entry, holds something that cannot be used."""

    def __init__(self, where: str, problem: str, advice: str) -> None:
        super().__init__(f"{where}: {problem}. {advice}")
        self.where, self.problem, self.advice = where, problem, advice


class FillOutOfReach(ImpossibleIntent):
    """However much is mashed, the cask does not fill at entry strength."""

    def __init__(self, wanted_l: float) -> None:
        super().__init__(
            f"{wanted_l:.1f} L at entry strength is out of reach whatever is mashed: "
            "the heart runs out of strength before the cask is full."
        )


class RemedyOutOfDate(InputError):
    """A remedy was solved for a plan or for readings that have changed since."""

    def __init__(self) -> None:
        super().__init__(
            "This remedy was worked out before a reading or a change of plan. Ask for the remedies again."
        )


class SharesDoNotAddUp(InputError):
    """The bill's shares are not a whole."""

    def __init__(self, total: float) -> None:
        by = f"{abs(1 - total) * 100:.4g} %"
        mend = f"Take {by} off one of them." if total > 1 else f"Add {by} to one of them."
        super().__init__(
            f"The bill's shares add up to {total * 100:.4g} %; they must add up to 100 %. {mend}"
        )


class NothingFerments(InputError):
    """A bill with no sugar and no starch."""

    def __init__(self, names: str) -> None:
        super().__init__(
            f"The bill ({names}) holds nothing that ferments: no sugar and no starch. "
            "Add a grain, a fruit or a sugar, or correct the analysis."
        )


class NoEnzymes(InputError):
    """Starch that nothing would turn into sugar."""

    def __init__(self, grain: str, power_lintner: float, least_lintner: float) -> None:
        super().__init__(
            f"{grain} brings starch, and nothing is there to turn it into sugar: malt gives the grist "
            f"{power_lintner:.0f} °Lintner, and it needs about {least_lintner:.0f}. Add more malt, or an "
            '[[enzyme]] with does = "sweeten" (and usually one with does = "thin"), with its label\'s window.'
        )


class NoCookPot(InputError):
    """Grain that must be cooked, and nothing to cook it in."""

    def __init__(self, names: str) -> None:
        super().__init__(
            f"{names} must be cooked, but no pot is given. "
            "Add a [cook_pot] with its kind, working_volume and power."
        )


class TooStrongForStill(InputError):
    """An entry strength that no cut of this still can reach."""

    def __init__(self, asked_pct_vol: float, most_pct_vol: float, charge_pct_vol: float) -> None:
        super().__init__(
            f"The cask asks for {asked_pct_vol:.1f} %vol, but this still gives at most "
            f"{most_pct_vol:.1f} %vol in its first drops, from a charge at {charge_pct_vol:.0f} %vol, "
            f"and less in a whole heart. "
            f"Ask for well under {most_pct_vol:.0f} %vol."
        )


class TwoStrengths(InputError):
    """Both of the cask's strengths are given, or neither."""

    def __init__(self, given: bool) -> None:
        start = (
            "Both entry_strength and settle_strength are given" if given else "The cask's strength is missing"
        )
        super().__init__(
            f'{start}; [cask] needs exactly one of them: entry_strength = "63 %" (as filled) or '
            'settle_strength = "60 %" (after the wood\'s water has mixed in).'
        )


class TooManyUnknowns(InputError):
    """A bill so long that its doubt cannot be drawn evenly."""

    def __init__(self, given: int, most: int) -> None:
        super().__init__(
            f"This bill has {given} things that are not known for sure, and {most} is the most that can be "
            "drawn together. Leave out or merge some of its materials."
        )


class TwiceInTheBill(InputError):
    """One material in two rows of the bill."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name} stands in the bill twice. Add its shares up into one row, "
            "or give each lot a name of its own."
        )


class NothingHeatsTheWater(InputError):
    """Malt needs hot water, and there is no pot."""

    def __init__(self, names: str) -> None:
        super().__init__(
            f"{names} must be mashed with hot water, but nothing is there to heat it. "
            "Add a [cook_pot] with its kind, working_volume and power."
        )


class CannotDissolve(InputError):
    """A starchy material that is only dissolved."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f'{name} holds starch, but its prepare is "dissolve" or "crush", which leaves starch as it is. '
            'Write prepare = "cook", or "mash" for malt.'
        )
