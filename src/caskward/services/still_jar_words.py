"""What choosing jars, learning a still and methanol say in words."""

from __future__ import annotations

from collections.abc import Iterator

from caskward.planning.choice import JarWorth
from caskward.planning.plan import Band
from caskward.planning.strengths import said
from caskward.properties import alcohol
from caskward.services.still_choice import ChoiceReport, JarLine, Level, Portion, Wish
from caskward.services.still_learned import DoubtedLine, HabitLine, LearnedReport
from caskward.services.still_methanol import MethanolReport
from caskward.services.still_own_units import pure_words
from caskward.services.still_run_words import volume_words
from caskward.services.still_words import litre_unit, litres, rough
from caskward.services.words import banded, counted, figure
from caskward.units import show
from caskward.units.types import UnitSystem

JAR_DOUBT = "In brackets: 8 in 10, from the jug (1 %) and the meter (0.3 %vol) that read all jars."
YOUR_NOSE = "The marks are yours, and your nose decides; a choice is only as good as they are."
A_FORECAST = (
    "These jars are a forecast's middle figures: how far the run itself may go another way is not in the "
    "bands. Gauge them before you fill."
)
NO_CASK = "No cask is named, so nothing asks for more litres: give --cask to fill one."
LEARNED_MEANS = (
    "What is learned is an effective reflux: it also takes up what the model of the pot leaves out. Log more "
    "runs, some of them at another power, to narrow it."
)
LIMITS_CHANGE = (
    "Rules change. Where it says check your local rule, the figure is from memory and nobody read the rule "
    "for this: read it before you sell."
)
CHECK = "check your local rule"
_A_DROP_SHORT = 5e-4
"""Share of a cask that nobody would call short."""
_STANDING = {
    "under": "under",
    "in doubt": "in doubt",
    "over": "over",
}


def choice_headline(report: ChoiceReport, wish: Wish, system: UnitSystem) -> str:
    """Which jars, and what they make, in one sentence."""
    whole = [line.name for line in _in(report) if line.share >= 1.0]
    parts = [f"{show.share(line.share)} of {line.name}" for line in _in(report) if line.share < 1.0]
    taken = whole + parts
    if not taken:
        return "No jar is taken."
    named = taken[0] if len(taken) == 1 else f"{', '.join(taken[:-1])} and {taken[-1]}"
    weak = report.heart.pct_vol.mid < wish.entry_pct_vol - 0.05
    at = said(report.heart.pct_vol.mid if weak else wish.entry_pct_vol, system)
    made = f"{banded(report.reduced.volume_l, 'L', system)} at {at}"
    sure = ""
    if wish.wanted_l > 0.0:
        wanted = figure(wish.wanted_l, "L", system)
        sure = f" The cask's {wanted} are full with {show.in_ten(report.chance)} confidence."
    return f"Take {named}: {made}, {report.how}.{sure}"


def choice_warnings(report: ChoiceReport, wish: Wish, system: UnitSystem) -> tuple[str, ...]:
    """Where a choice breaks a limit or a mark, as only a maker's own can, or has no marks to go by."""
    return (*_unmarked(report), *_broken(report, wish, system))


def _unmarked(report: ChoiceReport) -> tuple[str, ...]:
    """Where every jar that could be taken bears one mark, and choices differ in nothing that was tasted."""
    open_to_it = [line for line in report.jars if line.place == "maybe"]
    if not report.judged or len(open_to_it) < 2 or len({line.mark for line in open_to_it}) > 1:
        return ()
    return (
        "Every jar that may be taken bears the same mark, so any of these choices is as good as another: "
        "nose them, and mark them -2 to 2.",
    )


def _broken(report: ChoiceReport, wish: Wish, system: UnitSystem) -> Iterator[str]:
    for line in report.jars:
        if line.share > 0.0 and line.place == "discard":
            yield f"{_jar(line)} is marked discard: foreshots never go where a person drinks from."
        elif line.share > 0.0 and line.place == "out":
            yield f"{_jar(line)} is marked out, and is taken."
        elif line.share < 1.0 and line.place == "in":
            yield f"{_jar(line)} is marked in, and is left out."
    if report.heart.pct_vol.mid < wish.entry_pct_vol - 0.05:
        strength, entry = said(report.heart.pct_vol.mid, system), said(wish.entry_pct_vol, system)
        yield f"The heart has {strength}, weaker than the {entry} asked: no water brings it there."
    short_l = wish.wanted_l - report.in_cask_l.mid
    if short_l > max(1e-3, _A_DROP_SHORT * wish.wanted_l) and report.chance < 0.5:
        yield f"The cask stays {figure(short_l, 'L', system)} short."
    for level in report.levels:
        if level.mg_per_l is None:
            yield f"{_capital(level.words)} is not known of every jar taken: the limit may be broken."
        elif level.mg_per_l.mid > level.most_mg_per_l:
            most = f"{_in_unit(level.most_mg_per_l, level):g} {level.unit}"
            yield f"{_capital(level.words)} comes to {_level(level)}, over your limit of {most}."


def _jar(line: JarLine) -> str:
    return _capital(line.name) if line.name.casefold().startswith("jar") else f"Jar {line.name}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _in_unit(mg_per_l: float, level: Level) -> float:
    return mg_per_l / 10.0 if level.unit == "g/hL" else mg_per_l


def _level(level: Level) -> str:
    if level.mg_per_l is None:
        return "not known"
    of = level.mg_per_l
    return rough(Band(*(_in_unit(value, level) for value in (of.low, of.mid, of.high))))


def choice_lines(report: ChoiceReport, wish: Wish, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The figures of a choice."""
    rows = [
        ("heart, as it stands", _portion(report.heart, system)),
        ("pure alcohol in it", pure_words(report.heart.lpa, system)),
        (f"water to {said(wish.entry_pct_vol, system)}", _volume(report.water_l, system)),
    ]
    if wish.wanted_l > 0.0:
        rows += [
            ("in the cask", _volume(report.in_cask_l, system)),
            ("over and above", _volume(report.surplus_l, system)),
        ]
    rows.append(("average mark, by alcohol", f"{report.mean_mark:+.2f}"))
    if report.judged:
        gap = {None: "not known", 0.0: "nothing: proven"}.get(report.gap, f"{report.gap or 0.0:.2g} at most")
        rows.append(("left to gain by another", gap))
    rows.append(("feints, next batch", _portion(report.feints, system)))
    if report.discarded.volume_l.high > 0.0:
        rows.append(("discarded, not to drink", _portion(report.discarded, system)))
    for level in report.levels:
        most = f"at most {_in_unit(level.most_mg_per_l, level):g} {level.unit} of pure alcohol"
        rows.append((level.words, f"{_level(level)}, {most}"))
    return tuple(rows)


def _mark(mark: float) -> str:
    return "0" if mark == 0.0 else f"{mark:+g}"


def _portion(of: Portion, system: UnitSystem) -> str:
    if of.volume_l.high <= 0.0:
        return "nothing"
    return f"{_volume(of.volume_l, system)} at {banded(of.pct_vol, 'pct_vol', system)}"


def _volume(b: Band, system: UnitSystem) -> str:
    """A volume with its band, in one unit also where its ends lie on either side of a gallon or a litre."""
    units = {figure(v, "L", system).partition(" ")[2] for v in (b.low, b.mid, b.high)}
    return banded(b, "L", system) if len(units) == 1 else volume_words(b, system)


def jar_rows(report: ChoiceReport, wish: Wish, system: UnitSystem) -> list[tuple[str, ...]]:
    """A head, then every jar with what the choice becomes if it alone changes sides."""
    unit = litre_unit(system)
    strength = "proof" if system == "us" else "%vol"
    rows: list[tuple[str, ...]] = [("", "", unit, strength, "mark", f"then {unit}", "then mark", "then full")]
    for line in report.jars:
        worth = line.worth
        rows.append(
            (
                line.name,
                _place(line),
                f"{litres(line.volume_l, system):.2f}",
                _strength(line.pct_vol, system),
                line.place if line.place != "maybe" else _mark(line.mark),
                *(_moved(worth, wish, system) if worth else ("", "", "")),
            )
        )
    return rows


def _strength(pct_vol: float, system: UnitSystem) -> str:
    return f"{float(alcohol.proof_60f(pct_vol)) if system == 'us' else pct_vol:.1f}"


def _moved(worth: JarWorth, wish: Wish, system: UnitSystem) -> tuple[str, str, str]:
    """What the choice becomes; nothing where the maker's mark or a limit forbids the change."""
    if worth.moved_breaks == "mark":
        return "", "", "your mark"
    if worth.moved_breaks == "strength":
        return "", "", "too weak"
    full = "over a limit" if worth.moved_breaks else show.in_ten(worth.moved_chance)
    if not worth.moved_breaks and wish.wanted_l <= 0.0:
        full = ""
    return f"{litres(worth.moved_l, system):.2f}", f"{worth.moved_mark:+.2f}", full


def _in(report: ChoiceReport) -> list[JarLine]:
    return [line for line in report.jars if line.share > 0.0]


def _place(line: JarLine) -> str:
    if line.share >= 1.0:
        return "█ cask"
    if line.share > 0.0:
        return f"▒ {show.share(line.share)}"
    return "  away" if line.place == "discard" else "  feints"


def learned_headline(report: LearnedReport) -> str:
    """How much stands behind what was learned, in one sentence."""
    rest = "" if report.settled else " The fit did not come to rest: take the figures as rough."
    return (
        f"{report.still}: {counted(report.runs, 'run')} with {counted(report.readings, 'reading')} stand "
        f"behind what follows.{rest}"
    )


def told_apart(report: LearnedReport) -> tuple[HabitLine, ...]:
    """Habits, but for the heat lost in a strip: one still loses the same share in both kinds of run."""
    return tuple(habit for habit in report.habits if habit.key != "strip.heat_lost")


def habit_sentence(habit: HabitLine, system: UnitSystem) -> str:
    """Learned against the catalogue; a dead volume in the maker's own units."""
    if habit.unit != "L" or not habit.runs:
        return habit.sentence
    words = habit.words[:1].upper() + habit.words[1:]
    default, learned = banded(habit.default, "L", system), banded(habit.learned, "L", system)
    behind = f"{counted(habit.runs, 'run')}, {counted(habit.readings, 'reading')}"
    return f"{words}: you thought {default}, your runs say {learned} ({behind})."


def doubted_sentences(report: LearnedReport, system: UnitSystem) -> tuple[str, ...]:
    """Readings that do not fit, each in a sentence."""
    return tuple(_doubted(one, system) for one in report.doubted)


def _doubted(one: DoubtedLine, system: UnitSystem) -> str:
    if one.collected_l is None:
        where, read, fits = "the heat-up", show.duration(one.read), show.duration(one.expected)
    else:
        where = f"at {figure(one.collected_l, 'L', system)}"
        read, fits = (said(value, system) for value in (one.read, max(one.expected, 0.0)))
    share = "next to nothing"
    if one.counts_for >= 0.005:
        share = f"only {show.share(one.counts_for)} of a good reading"
    return (
        f"Hard to believe: {one.run}, {where}: {read} was read where {fits} would fit. It is kept, but "
        f"counts for {share}. Look at your note again."
    )


PRACTICALLY_NONE_G_HL, LITTLE_G_HL = 10.0, 50.0
"""High ends of a band up to which a bill makes practically no methanol, or little; *common practice, no
source*: pure cane sugar lies under the first, grain under the second, no fruit does."""


def methanol_headline(report: MethanolReport) -> str:
    """The band in one sentence."""
    bill = report.bill[:1].upper() + report.bill[1:]
    figures = f"{rough(report.g_hl)} g per hectolitre of pure alcohol"
    if report.g_hl.high < PRACTICALLY_NONE_G_HL:
        return f"{bill} makes practically no methanol, {figures}; only a laboratory tells."
    if report.g_hl.high < LITTLE_G_HL:
        return f"{bill} makes little methanol, {figures}; only a laboratory tells."
    return (
        f"{bill} may bring {rough(report.g_hl)} g of methanol per hectolitre of pure alcohol; only a "
        "laboratory tells."
    )


def methanol_line(report: MethanolReport) -> str:
    """The band, and what it is reckoned from."""
    if report.measured:
        return (
            f"{rough(report.g_hl)}, your laboratory's figure for the charge. Under or over a limit: with "
            "9 in 10 confidence by its doubt, otherwise in doubt."
        )
    like = f"what washes like it hold, as {report.bill} has no pectin"
    came = f"the pectin of {report.bill}" if report.from_pectin else like
    return (
        f"{rough(report.g_hl)}, reckoned from {came}. Under or over a limit: so in 9 of 10 possible "
        "batches, otherwise in doubt."
    )


def bottle_line(report: MethanolReport, system: UnitSystem) -> str:
    """At what strength limits on the spirit itself are held; empty where there is none."""
    if not any("% vol" in one.said for one in report.limits):
        return ""
    strength = said(report.bottled_pct_vol, system)
    return f"A limit in % vol of the spirit is reckoned for a bottle of {strength}."


def limit_rows(report: MethanolReport) -> list[tuple[str, ...]]:
    """A head, then every limit with how the band stands to it."""
    found = "your figure" if report.measured else "forecast"
    rows: list[tuple[str, ...]] = [("", "at most", found, "the rule")]
    for one in report.limits:
        source = CHECK if one.from_memory else "read; rules change"
        own_unit = "" if one.said.endswith("g/hL") else f" ({one.said})"
        named = f"{one.jurisdiction}, {one.product}{own_unit}"
        rows.append((named, f"{one.limit_g_hl:.0f}", _STANDING[one.standing], source))
    return rows
