"""Mixtures and labels in words: what to add, what it makes, whether the label holds."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.gauging.figure import figure
from caskward.properties import alcohol
from caskward.services.gauging_asks import LabelAnswer, MixAnswer, ReduceAnswer
from caskward.services.gauging_figures import exact_mass, exact_volume, plain, temperature, with_doubt
from caskward.services.gauging_phrases import NO_ADVICE, Words, causes, sureness
from caskward.units.types import UnitSystem

if TYPE_CHECKING:
    from caskward.gauging.label import LabelCheck
    from caskward.gauging.liquids import Pour
    from caskward.gauging.mixing import Mixture
    from caskward.gauging.steps import Step

WEIGH = (
    "Weigh it in if you can: a mass needs no correction for temperature and no allowance for contraction; "
    "volumes need both."
)
HOLD_BACK = (
    "Hold a little back, mix well, let it cool to room temperature and rest, gauge it, then add the rest."
)
LOCAL_LAW = "That tolerance is from memory: check your local rule."


# A mixture ----------------------------------------------------------------------------------------


def reduced(answer: ReduceAnswer, system: UnitSystem) -> Words:
    """What to add, and what it makes."""
    mixture = answer.mixture
    makes = f"{exact_volume(mixture.makes.volume_l, system)} at {_strength(mixture, system)}"
    taken = " and ".join(
        f"{exact_volume(one.volume_l, system)} of {one.name} at {_pct(one.pct_vol, system)}"
        for one in mixture.take
    )
    if mixture.add:
        added = f"{exact_mass(mixture.add.shown_kg, system)} of {mixture.add.name}"
        volume = exact_volume(mixture.add.volume_l, system)
        headline = f"Add {added} ({volume}) to {taken}: that makes {makes}."
    else:
        headline = f"Nothing is to be added: {taken} is what you asked for."
    how = (WEIGH, HOLD_BACK) if mixture.add else ()
    headline = f"{headline[:-1]}{_as_exact(mixture)}."
    notes = (*how, *_exactness(mixture), *answer.assumed)
    lines = (*_mixture_lines(mixture, system), *_step_lines(answer.steps, system))
    return Words(headline, lines, notes, _cautions(mixture))


def mixed(answer: MixAnswer, system: UnitSystem) -> Words:
    """What results."""
    mixture = answer.mixture
    makes = f"{exact_volume(mixture.makes.volume_l, system)} at {_strength(mixture, system)}"
    notes = (*_exactness(mixture), *answer.assumed)
    return Words(
        f"That makes {makes}{_as_exact(mixture)}.", _mixture_lines(mixture, system), notes, _cautions(mixture)
    )


def _mixture_lines(mixture: Mixture, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    lines = [(f"Take {one.name}", _poured(one, system)) for one in mixture.take]
    if mixture.add:
        lines.append((f"Add {mixture.add.name}", _poured(mixture.add, system)))
    lines += [
        ("Makes", _poured(mixture.makes, system)),
        _contraction(mixture.contraction_l, system),
        ("Pure alcohol", _pure(mixture, system)),
        ("Strength it will have", _strength(mixture, system)),
    ]
    return tuple(lines)


def _contraction(lost_l: float, system: UnitSystem) -> tuple[str, str]:
    return "Lost to contraction" if lost_l >= 0.0 else "Gained on mixing", exact_volume(abs(lost_l), system)


def _poured(one: Pour, system: UnitSystem) -> str:
    """`10.00 L at 25 °C, 8.825 kg on a scale, 70.0 %vol`."""
    measured = f"{exact_mass(one.shown_kg, system)} on a scale"
    volume = f"{exact_volume(one.volume_l, system)} at {temperature(one.temp_c, system)}"
    return f"{measured}, {volume}" + (f", {_pct(one.pct_vol, system)}" if one.pct_vol else "")


def _pure(mixture: Mixture, system: UnitSystem) -> str:
    """`7.00 ± 0.08 LPA`, and for a US maker proof gallons first."""
    lpa = with_doubt(mixture.lpa, "LPA", 3)
    if system == "metric":
        return lpa
    return f"{with_doubt(mixture.proof_gallons, 'proof gallons', 3)} ({lpa})"


def _step_lines(steps: tuple[Step, ...], system: UnitSystem) -> tuple[tuple[str, str], ...]:
    lines = []
    for step in steps:
        add = step.mixture.add
        what = f"add {_poured(add, system)}" if add else "add nothing"
        rest = f", rest {plain(step.rest_days, 1).removesuffix('.0')} d" if step.rest_days else ""
        lines.append((f"Step {step.number}", f"{what}; then {_pct(step.rests_at_pct_vol, system)}{rest}"))
    return tuple(lines)


def step_rows(steps: tuple[Step, ...], system: UnitSystem) -> tuple[tuple[str, ...], ...]:
    """Each addition for a table: day, what to weigh in, the same by volume, the strength it then rests at."""
    rows, day = [], 1.0
    for step in steps:
        add = step.mixture.add
        rows.append(
            (
                f"day {plain(day, 1).removesuffix('.0')}",
                exact_mass(add.shown_kg, system) if add else "nothing",
                exact_volume(add.volume_l, system) if add else "",
                _pct(step.rests_at_pct_vol, system),
            )
        )
        day += step.rest_days
    return tuple(rows)


def _exactness(mixture: Mixture) -> tuple[str, ...]:
    if mixture.strength.standard == 0.0:
        return ()
    return causes(mixture.shares)


def _as_exact(mixture: Mixture) -> str:
    """What the doubt in the first sentence leaves out: strengths that came without one."""
    without = mixture.taken_as_exact
    if not without:
        return ""
    return f", taking the strength of {' and '.join(without)} as exact"


def _strength(mixture: Mixture, system: UnitSystem) -> str:
    """The strength with its doubt; a %vol is two proof, near enough for a doubt."""
    of = mixture.strength
    if system == "metric":
        return with_doubt(of, "%vol")
    return with_doubt(figure(float(alcohol.proof_60f(of.value)), 2.0 * of.standard, 0.0, 200.0), "proof")


def _cautions(mixture: Mixture) -> tuple[str, ...]:
    from caskward.catalogue import load  # only what mixes spirit pays for it

    strongest = max(one.pct_vol for one in mixture.take)
    return tuple(one.text for one in load().cautions.at("reduce")) if strongest > 20.0 else ()


def _pct(pct_vol: float, system: UnitSystem) -> str:
    if system == "us":
        return f"{plain(float(alcohol.proof_60f(pct_vol)), 1)} proof"
    return f"{plain(pct_vol, 2).removesuffix('0')} %vol"


# A label ------------------------------------------------------------------------------------------


def label(answer: LabelAnswer) -> Words:
    """Whether the label holds, and what would tell."""
    check = answer.check
    basis = "" if check.rule.basis == "20 C" else " at 60 °F"
    measured = f"{with_doubt(check.strength, '%vol')}{basis}"
    allowed = f"{plain(check.low, 2)} to {plain(check.high, 2)} %vol ({check.rule.name})"
    verdict = {
        "passes": f"The label holds: {measured}, and {allowed} is allowed.",
        "fails": f"The label does not hold: {measured}, and {allowed} is allowed.",
        "cannot be told": f"This reading cannot tell: {measured}, and {allowed} is allowed.",
    }[check.verdict]
    lines = (
        ("Label", f"{plain(check.label_pct_vol, 2).removesuffix('0')} %vol{basis}"),
        ("Measured", measured),
        ("Allowed", f"{plain(check.low, 2)} to {plain(check.high, 2)} %vol"),
        ("Rule", f"{check.rule.name}: {check.rule.law}"),
        ("Verdict", check.verdict),
    )
    notes = [
        *_tellers(check),
        *filter(None, [check.rule.note]),
        *sureness(answer.gauged.shares),
        *answer.assumed,
    ]
    own = check.rule.checked or check.rule.source == "maker"
    cautions = [NO_ADVICE] if own else [LOCAL_LAW, NO_ADVICE]
    return Words(verdict, lines, tuple(notes), tuple(cautions))


def _tellers(check: LabelCheck) -> tuple[str, ...]:
    if check.verdict != "cannot be told":
        return ()
    if not check.tellers:
        near = plain(abs(check.room), 2)
        return (f"It lies {near} %vol from the limit, too near for any of the instruments known here.",)
    first = check.tellers[0]
    gear = f"{_with_article(first.instrument.name)} with a {first.thermometer.name}"
    others = ", and so would finer ones" if len(check.tellers) > 1 else ""
    return (f"{gear} would tell, to ± {plain(first.half_width, 2)} %vol{others}.",)


def _with_article(noun: str) -> str:
    return f"{'An' if noun[0] in 'aeiou' else 'A'} {noun}"
