"""One class per situation that a maker can meet; the sentences are written here.

A sentence says what was given (value and unit), what is allowed, and what to do next. `exit_code` is
what a command ends with: 2 for a wrong input, 3 for an intent that cannot be met with this gear.
"""

from __future__ import annotations


class CaskwardError(Exception):
    """Anything Caskward refuses to do, said in one sentence."""

    exit_code = 1


class InputError(CaskwardError):
    """Something that was given cannot be used as it stands."""

    exit_code = 2


class OutOfRange(InputError):
    """A value lies outside what a model or a vessel allows."""

    def __init__(self, name: str, given: float, unit: str, low: float, high: float, hint: str = "") -> None:
        unit_after = f" {unit}" if unit else ""
        sentence = f"{name} is {given:g}{unit_after}, but must lie between {low:g} and {high:g}{unit_after}."
        super().__init__(f"{sentence} {hint}".strip())
        self.name, self.given, self.unit, self.low, self.high = name, given, unit, low, high


class NotUnderstood(InputError):
    """A typed value could not be read."""

    def __init__(self, what: str, given: str, examples: str) -> None:
        super().__init__(f"{given!r} is not understood as {what}. Write it like {examples}.")


class WrongKind(InputError):
    """A value was given in a unit of another kind, such as a mass where a volume is needed."""

    def __init__(self, what: str, given: str, given_kind: str, wanted_kind: str, examples: str) -> None:
        super().__init__(
            f"{given!r} is {given_kind} and cannot be used for {what}. "
            f"Give {wanted_kind}, written like {examples}."
        )


class UnclearValue(InputError):
    """A typed value can be read in more than one way, and guessing would be dangerous."""

    def __init__(self, what: str, given: str, writings: tuple[str, ...]) -> None:
        super().__init__(f"{given!r} is not clear as {what}. Write {' or '.join(writings)}.")
        self.writings = writings


class NotAnAmount(InputError):
    """A number that no vessel, scale or clock could show: below zero, infinite, absurd."""

    def __init__(self, what: str, given: str, reason: str, examples: str) -> None:
        super().__init__(f"{given!r} cannot be {what}: it is {reason}. Write it like {examples}.")


class NothingGiven(InputError):
    """A field was left empty."""

    def __init__(self, what: str, examples: str) -> None:
        super().__init__(f"Nothing was given for {what}. Write it like {examples}.")


class NotShowable(CaskwardError):
    """A result is not a number that can be shown; the fault is in the calculation, not in what was typed."""

    def __init__(self, what: str, value: float) -> None:
        super().__init__(
            f"The calculation gave {value} as {what}, which cannot be right. "
            "Please report it with what you entered."
        )


class UnknownName(InputError):
    """A name that is not in the catalogue, or a key that is not part of the file's format."""

    def __init__(self, what: str, given: str, nearest: str | None, known: tuple[str, ...] = ()) -> None:
        if nearest:
            advice = f"Did you mean {nearest!r}?"
        else:
            listed = f"Known: {', '.join(known)}"
            advice = f"{listed}{'' if listed.endswith('...') else '.'}" if known else "Leave it out."
        if what == "material":
            advice += " All of them: caskward materials"
        super().__init__(f"{given!r} is not a known {what}. {advice}")
        self.given, self.nearest = given, nearest


class MissingValue(InputError):
    """Something the answer depends on was not given."""

    def __init__(self, where: str, what: str, example: str) -> None:
        super().__init__(f"{where} needs {what}. Add, for example: {example}")


class BadCatalogueEntry(InputError):
    """A catalogue file, or a maker's own entry, holds something that cannot be used."""

    def __init__(self, where: str, problem: str, advice: str) -> None:
        super().__init__(f"{where}: {problem}. {advice}")
        self.where, self.problem, self.advice = where, problem, advice


class ImpossibleIntent(CaskwardError):
    """The wish cannot be met with this gear and these stores; says what binds."""

    exit_code = 3


class FillOutOfReach(ImpossibleIntent):
    """However much is mashed, the cask does not fill at entry strength."""

    def __init__(self, wanted_l: float) -> None:
        super().__init__(
            f"{wanted_l:.1f} L at entry strength is out of reach whatever is mashed: "
            "the heart runs out of strength before the cask is full."
        )


class WrongShape(InputError):
    """A value is of another kind than its place asks for."""

    def __init__(self, where: str, given: object, allowed: str) -> None:
        super().__init__(f"{where} is {given!r}; it must be {allowed}.")


class SharesDoNotAddUp(InputError):
    """The bill's shares are not a whole."""

    def __init__(self, total: float) -> None:
        super().__init__(
            f"The bill's shares add up to {total * 100:.4g} %; they must add up to 100 %. "
            f"Change one of them by {(1 - total) * 100:+.4g} %."
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


class NotToml(InputError):
    """A file that is not TOML."""

    def __init__(self, problem: str) -> None:
        what, _, where = problem.partition(" (at ")
        place = f"At {where.rstrip(')')} the" if where.startswith("line") else "The"
        super().__init__(
            f"{place} file cannot be read as TOML ({what[:1].lower()}{what[1:]}). Each key stands once, "
            'before a "="; words and amounts with a unit stand in straight quotes, like capacity = "25 L".'
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


class UnreadableFile(InputError):
    """A file that cannot be opened or is not text."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(
            f"{path} cannot be read: {why}. Check the name, or begin with: caskward plan --new > mine.toml"
        )


class UnreadableNotes(InputError):
    """A file of jars or of logged runs that cannot be opened or is not text."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(f"{path} cannot be read: {why}. Check its name and the folder that it is in.")


class UnwritableFile(InputError):
    """A file that cannot be written where it was asked for."""

    def __init__(self, path: str, why: str) -> None:
        super().__init__(
            f"{path} cannot be written: {why}. Name a file in a folder that exists and that you may write to."
        )


class WouldOverwrite(InputError):
    """A file to print that holds something else already."""

    def __init__(self, given: str) -> None:
        super().__init__(f"{given} is there already and is no printed sheet. Name another, or move it.")


class WrongFileKind(InputError):
    """A file to write whose name says that it is of another kind."""

    def __init__(self, given: str, wanted: str, example: str) -> None:
        super().__init__(f"{given!r} is not the name of a {wanted} file. Name it like {example}.")


class OptionsClash(InputError):
    """Two options of a command that cannot be had together."""

    def __init__(self, first: str, second: str, advice: str) -> None:
        super().__init__(f"{first} and {second} do not go together. {advice}")


class NewGoesToTheScreen(InputError):
    """A file name where a starting point's name belongs."""

    def __init__(self, given: str) -> None:
        super().__init__(
            f"{given!r} is a file, but --new takes the name of a starting point, such as rye, and writes to "
            "the screen. To keep what it writes: caskward plan --new > mine.toml"
        )


class HotSample(InputError):
    """A sample too warm for the tables behind a reading."""

    def __init__(self, temp_c: float, most_c: float) -> None:
        meant = f" If {temp_c:g} °F was meant, write {temp_c:g} F." if 45.0 <= temp_c <= 104.0 else ""
        super().__init__(
            f"The sample is at {temp_c:g} °C, and can be read up to {most_c:g} °C. Cool it, covered so that "
            f"nothing steams off, to near 20 °C and read it again.{meant}"
        )


class FrozenSample(InputError):
    """A sample colder than any table of strength, or than where spirit of its strength begins to freeze."""

    def __init__(self, temp_c: float, least_c: float, pct_vol: float | None = None) -> None:
        if pct_vol is not None:
            super().__init__(
                f"At {temp_c:.4g} °C spirit of {pct_vol:.3g} %vol is partly frozen: it begins to freeze near "
                f"{least_c:.2g} °C, and what stays liquid is stronger. Warm it to near 20 °C until nothing "
                "is frozen, stir, and measure it again."
            )
            return
        super().__init__(
            f"The sample is at {temp_c:g} °C, and can be read down to {least_c:g} °C. "
            "Warm it to near 20 °C and read it again."
        )


class TemperatureNotSaid(InputError):
    """A reading whose temperature the answer depends on."""

    def __init__(self, reading: str) -> None:
        super().__init__(
            f"{reading} says little without the sample's temperature: 10 °C shift it by about 3 %vol. "
            f"Write it like {reading} at 22 C."
        )


class HeavierThanWater(InputError):
    """A density that no mixture of water and ethanol has, on the heavy side."""

    def __init__(self, shown: str, temp_c: float, water: str, meant: str = "") -> None:
        super().__init__(
            f"{shown} at {temp_c:g} °C is heavier than water ({water}), so sugar or other solids are in it. "
            + (meant or "Gauge a wash by its gravity; of sweet spirit distil a sample, or say the sugar.")
        )


class LighterThanAlcohol(InputError):
    """A density that no mixture of water and ethanol has, on the light side."""

    def __init__(self, shown: str, temp_c: float, ethanol: str, meant: str = "") -> None:
        super().__init__(
            f"{shown} at {temp_c:g} °C is lighter than pure alcohol ({ethanol}). "
            + (meant or "Check the reading and the temperature.")
        )


class ScaleCannotShow(InputError):
    """An alcoholometer's mark that no mixture floats it to at this temperature."""

    def __init__(self, shown: str, temp_c: float, least: str, most: str, meant: str = "") -> None:
        super().__init__(
            f"At {temp_c:g} °C no spirit shows {shown} on this scale; it can show {least} to {most}. "
            + (meant or "Check the reading, the temperature and what the scale is made for.")
        )


class PerhapsProof(InputError):
    """A strength over 100 % that would be a proof."""

    def __init__(self, pct_vol: float) -> None:
        super().__init__(
            f"{pct_vol:g} %vol is more than pure alcohol. If {pct_vol:g} US proof was meant, which is about "
            f"{pct_vol / 2:g} %vol, write {pct_vol:g} proof."
        )


class TooSweetToTell(InputError):
    """A wash's reading that no mixture of water, alcohol and sugar has."""

    def __init__(self, first: str, second: str, why: str) -> None:
        super().__init__(
            f"{first} and {second} do not belong to one wash: {why}. "
            "Filter the sample, let the gas out, and read both again at the same temperature."
        )


class NoSuchBlend(ImpossibleIntent):
    """A strength that does not lie between those of the liquids to be mixed."""

    def __init__(self, wanted_pct_vol: float, weaker_pct_vol: float, stronger_pct_vol: float) -> None:
        if wanted_pct_vol > stronger_pct_vol:
            advice = f"Blend with something stronger than {wanted_pct_vol:.4g} %vol."
        else:
            advice = f"Blend with something weaker than {wanted_pct_vol:.4g} %vol, such as water."
        super().__init__(
            f"{wanted_pct_vol:.4g} %vol cannot be mixed from {weaker_pct_vol:.4g} and {stronger_pct_vol:.4g} "
            f"%vol: a mixture lies between the two. {advice}"
        )


class NotEnoughSpirit(ImpossibleIntent):
    """More of a liquid is needed than there is."""

    def __init__(self, name: str, needed_l: float, there_l: float, most_l: float) -> None:
        super().__init__(
            f"That takes {needed_l:.4g} L of {name}, and there are {there_l:.4g} L, which make {most_l:.4g} "
            "L. Ask for less, or use it all."
        )


class NoSuchCard(InputError):
    """A correction card on which every place would be empty."""

    def __init__(self, first: float, last: float, unit: str) -> None:
        super().__init__(
            f"No spirit shows {first:g} to {last:g} {unit} at these temperatures: the card is empty. "
            "Give the marks that you read, and how warm your samples are."
        )


class TooLittleToAdd(ImpossibleIntent):
    """Not enough of the stronger spirit that is to lift a mixture."""

    def __init__(self, name: str, there: str, needed_l: float, needed_kg: float) -> None:
        super().__init__(
            f"That takes {needed_l:.4g} L ({needed_kg:.4g} kg) of {name}, and there are {there}. "
            "Add something stronger, or ask for less."
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

    def __init__(self, volume_l: float, pct_vol: float, reasons: tuple[str, ...]) -> None:
        super().__init__(
            f"{volume_l:.4g} L at {pct_vol:.1f} %vol must not be charged like this: {'; and '.join(reasons)}."
        )
        self.reasons = reasons


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


class NeverSettles(CaskwardError):
    """Feints that go on changing from batch to batch."""

    def __init__(self, batches: int) -> None:
        super().__init__(
            f"After {batches} batches the feints still change from one to the next. Perhaps the number of "
            "charges goes back and forth: choose a charge limit that is not so near."
        )


class BuildUpOutOfReach(ImpossibleIntent):
    """A congener that no throwing away keeps under its limit."""

    def __init__(self, words: str, part: str, most_mg_per_l: float, reached_mg_per_l: float) -> None:
        super().__init__(
            f"Even with all {part} thrown away each time the heart holds {reached_mg_per_l:.4g} mg of "
            f"{words} per litre of pure alcohol, over the limit of {most_mg_per_l:.4g}. "
            "Cut the heart narrower, or look for the cause in the wash."
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


class SweetDiluent(InputError):
    """Something with sugar in it, where water or spirit is added."""

    def __init__(self, name: str) -> None:
        super().__init__(
            f"{name.capitalize()} brings sugar, which takes up room and hides strength, and this sum knows "
            "spirit and water alone. Reduce with water first, then sweeten, and have the strength found by "
            "distilling."
        )


class LighterThanWater(InputError):
    """A lone gravity under water's, read as sugar."""

    def __init__(self, plato: float) -> None:
        super().__init__(
            f"This is lighter than water ({plato:.1f} °P), so it is no sugar in water. For a finished wash "
            "give its original gravity (--original) or a refractometer reading; for a spirit say --spirit."
        )
