"""Answers of gauging in words, the same on screen, paper and terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.gauging.balling import balling_shortfall
from caskward.gauging.us_manual import rounded_proof
from caskward.properties import alcohol
from caskward.services.gauging_asks import GaugeAnswer, LabelAnswer, MixAnswer, ReduceAnswer, WashAnswer
from caskward.services.gauging_figures import (
    amount,
    plain,
    with_doubt,
)
from caskward.services.gauging_mixing_words import label, mixed, reduced
from caskward.services.gauging_phrases import NO_ADVICE, Words, sureness
from caskward.units.types import UnitSystem

if TYPE_CHECKING:
    from caskward.gauging.attenuation import Washed
    from caskward.gauging.figure import Figure
    from caskward.gauging.gravity import Must
    from caskward.gauging.strength import Agreement, Gauged, Hidden, Quantity

__all__ = ["Answer", "Words", "strength", "words"]

Answer = GaugeAnswer | WashAnswer | ReduceAnswer | MixAnswer | LabelAnswer


def words(answer: Answer, system: UnitSystem = "metric") -> Words:
    """Any answer in words."""
    if isinstance(answer, GaugeAnswer):
        return _gauged(answer.gauged, answer.assumed, system)
    if isinstance(answer, WashAnswer):
        return _wash(answer)
    if isinstance(answer, ReduceAnswer):
        return reduced(answer, system)
    if isinstance(answer, MixAnswer):
        return mixed(answer, system)
    return label(answer)


# A spirit -----------------------------------------------------------------------------------------


def strength(figure: Figure, proof: Figure, system: UnitSystem) -> str:
    """A strength with its doubt in the maker's own terms."""
    return with_doubt(proof, "proof", 1) if system == "us" else with_doubt(figure, "%vol")


def _gauged(gauged: Gauged, assumed: tuple[str, ...], system: UnitSystem) -> Words:
    said = strength(gauged.pct_vol, gauged.us_proof, system)
    how_much = ""
    if gauged.quantity:
        how_much = f", {amount(gauged.quantity.volume_20_l, 'L', 'metric')} at 20 °C"
        if system == "us":
            how_much = f", {with_doubt(gauged.quantity.wine_gallons, 'gal', 3)} at 60 °F"
        how_much += f" with {_pure(gauged.quantity, system)}"
    lines = [
        ("True strength at 20 °C", with_doubt(gauged.pct_vol, "%vol")),
        ("By mass", with_doubt(gauged.pct_mass, "%mass")),
        ("US proof at 60 °F", with_doubt(gauged.us_proof, "proof")),
        ("Density at 20 °C", with_doubt(gauged.density_20_kg_m3, "kg/m³")),
        ("Density at 20 °C in air", with_doubt(gauged.density_air_20_kg_m3, "kg/m³")),
        *(_quantity_lines(gauged.quantity, system) if gauged.quantity else ()),
    ]
    notes = [
        *_agreement(gauged.agreement, [with_doubt(one, "%vol") for one in gauged.each_pct_vol]),
        *(_hidden(gauged, gauged.hidden, system) if gauged.hidden else ()),
        *sureness(gauged.shares),
        *assumed,
    ]
    cautions = [NO_ADVICE] if gauged.quantity or gauged.hidden else []
    record = _for_a_record(gauged.hidden) if gauged.hidden else ""
    return Words(f"This is {said}{how_much}{record}.", tuple(lines), tuple(notes), tuple(cautions))


def _for_a_record(hidden: Hidden) -> str:
    """The proof that a US record takes, where that is not the true one."""
    if hidden.record_proof is None or hidden.verdict != "ignore":
        return ""
    return f"; for a US record it is {plain(rounded_proof(hidden.record_proof), 1)} proof"


def _pure(quantity: Quantity, system: UnitSystem) -> str:
    if system == "us":
        return with_doubt(quantity.proof_gallons, "proof gallons", 3)
    return f"{with_doubt(quantity.lpa, 'L', 3)} of pure alcohol"


def _quantity_lines(quantity: Quantity, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    return (
        ("Volume at 20 °C", amount(quantity.volume_20_l, "L", system)),
        ("Volume at 60 °F", amount(quantity.volume_60f_l, "L", system)),
        ("Mass on a scale", amount(quantity.shown_kg, "kg", system)),
        ("True mass", amount(quantity.mass_kg, "kg", system)),
        ("Pure alcohol at 20 °C", with_doubt(quantity.lpa, "LPA", 3)),
        ("US gallons at 60 °F", with_doubt(quantity.wine_gallons, "gal", 3)),
        ("US proof gallons", with_doubt(quantity.proof_gallons, "PG", 3)),
    )


def _agreement(agreement: Agreement, each: list[str]) -> tuple[str, ...]:
    several = f"{', '.join(each[:-1])} and {each[-1]}" if len(each) > 1 else ""
    if agreement == "unchecked":
        return ()
    if agreement == "agree":
        return (f"The readings agree: {several}.",)
    if agreement == "hardly agree":
        return (f"The readings hardly agree: {several}. Read both again.",)
    return (
        f"The readings disagree beyond doubt: {several}. Honest readings lie so far apart less than once in "
        "a hundred times; find which one is wrong before you rely on this.",
    )


def _hidden(gauged: Gauged, hidden: Hidden, system: UnitSystem) -> tuple[str, ...]:
    solids = f"{hidden.mg_100ml:.0f} mg of solids in 100 mL"
    notes = []
    if hidden.hidden_proof is not None and hidden.apparent_pct_vol is not None:
        how = "by the US rule" if hidden.by_rule else "as sugar would"
        seems = hidden.apparent_pct_vol
        more = f"{plain(gauged.each_pct_vol[0].value - seems, 2)} %vol"
        shown = f"{plain(seems, 1)} %vol"
        if system == "us":
            more = f"{plain(hidden.hidden_proof, 1)} proof"
            shown = f"{plain(float(alcohol.proof_60f(seems)), 1)} proof"
        notes.append(f"{solids} hide {more} {how}; unknown, this would be taken for {shown}.")
    notes.append(
        {
            "ignore": "Up to 400 mg in 100 mL the US rule leaves the hydrometer's proof as it is: the true "
            "strength is what you mix and blend by, the hydrometer's what goes into the record.",
            "add": "From 400 to 600 mg in 100 mL the US rule adds what is hidden.",
            "distil": "Above 600 mg in 100 mL only distilling a sample tells the strength well enough for "
            "the US rule; take this as an estimate.",
        }[hidden.verdict]
    )
    return tuple(notes)


# A wash -------------------------------------------------------------------------------------------


def _wash(answer: WashAnswer) -> Words:
    if answer.must:
        return _must(answer.must, answer.assumed)
    if answer.washed:
        return _washed(answer.washed, answer.assumed)
    raise AssertionError("a wash is either a must or washed")


def _must(must: Must, assumed: tuple[str, ...]) -> Words:
    potential = must.potential_pct_vol
    could = f", enough for {with_doubt(potential, '%vol', 1)} if all of it ferments" if potential else ""
    lines = [
        ("Gravity at 20 °C", with_doubt(must.sg, "", 4)),
        ("Extract (°Brix, °Plato)", with_doubt(must.plato, "°P")),
        ("Density at 20 °C", with_doubt(must.density_20_kg_m3, "kg/m³", 1)),
        ("Sugar", with_doubt(must.sugar_g_l, "g/L", 1)),
    ]
    if must.potential_pct_vol and must.wine_rule_pct_vol:
        lines.append(("Potential strength (Balling)", with_doubt(must.potential_pct_vol, "%vol")))
        lines.append(("Potential strength (16.83 g/L)", with_doubt(must.wine_rule_pct_vol, "%vol")))
    notes = (
        "Read as sugar in water: once alcohol is in it, give two readings to know what is really there.",
        *sureness(must.shares),
        *assumed,
    )
    gravity = f"{with_doubt(must.sg, '', 4)}, {with_doubt(must.plato, '°P')}"
    headline = f"This is a gravity of {gravity}{could}."
    return Words(headline, tuple(lines), notes)


def _washed(washed: Washed, assumed: tuple[str, ...]) -> Words:
    left = with_doubt(washed.real_extract_plato, "°P")
    found = f"{with_doubt(washed.pct_vol, '%vol')} in it, and {left} of extract left."
    headline = f"There is {found}"
    if washed.agreement == "disagree":
        headline = f"These readings do not belong together; taken all the same, there is {found}"
    lines = (
        ("Alcohol", with_doubt(washed.pct_vol, "%vol")),
        ("Alcohol by mass", with_doubt(washed.pct_mass, "%mass")),
        ("Extract left (real)", with_doubt(washed.real_extract_plato, "°P")),
        ("Extract it seems (apparent)", with_doubt(washed.apparent_extract_plato, "°P")),
        ("Gravity now", with_doubt(washed.sg, "", 4)),
        ("Original gravity", with_doubt(washed.original_sg, "", 4)),
        ("Original extract", with_doubt(washed.original_plato, "°P")),
        ("Apparent attenuation", with_doubt(washed.apparent_attenuation, "%", 1, 100.0)),
        ("Real attenuation", with_doubt(washed.real_attenuation, "%", 1, 100.0)),
    )
    notes = []
    if washed.agreement == "agree":
        notes.append("The three readings agree.")
    elif washed.agreement != "unchecked":
        notes.append("The three readings do not belong together: read them again before you rely on this.")
    notes += [*sureness(washed.shares), f"From {' and '.join(washed.method)}."]
    if "original gravity" in washed.method:
        short = 100.0 * balling_shortfall(washed.original_plato.value)
        notes.append(
            "Alcohol follows the sugar gone by Balling's balance; his tabulated factors lie "
            f"{plain(max(short, 0.4), 1)} % of the alcohol under his closed formula here."
        )
    if "refractometer now" in washed.method:
        notes.append(
            "Refractometer and gravity are solved for sugar, alcohol and water; grain extract shifts the "
            "result by a few tenths of a %vol."
        )
    return Words(headline, lines, (*notes, *assumed))
