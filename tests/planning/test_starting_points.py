"""The starting points beside the trade's rules of thumb: *common practice, no source*, unless one is named.

A rule of thumb is a wide gate. A plan outside it is wrong somewhere; a plan inside it proves little.
"""

from __future__ import annotations

import functools

import pytest

from caskward.planning.plan import Plan, Target
from caskward.services.plans import plan_text, starting_point

POINTS = ("rye", "pears", "wheat-panela")


@functools.cache
def plan_of(name: str) -> Plan:
    outcome = plan_text(starting_point(name))
    assert isinstance(outcome, Plan)
    return outcome


def targets(name: str, stage: str) -> dict[str, Target]:
    card = next(card for card in plan_of(name).stages if card.key == stage)
    return {target.key: target for target in card.targets}


@pytest.mark.parametrize("name", POINTS)
def test_the_account_adds_up_to_the_millilitre(name: str) -> None:
    lines = plan_of(name).account
    came = sum(x.millilitres for x in lines if x.side == "in")
    went = sum(x.millilitres for x in lines if x.side in ("lost", "kept"))
    assert came == went
    assert came > 10_000


@pytest.mark.parametrize(
    ("name", "low", "high"), [("rye", 0.22, 0.34), ("wheat-panela", 0.28, 0.42), ("pears", 0.035, 0.065)]
)
def test_pure_alcohol_from_a_kilogram(name: str, low: float, high: float) -> None:
    """Litres of pure alcohol made per kilogram: small batches of grain 0.75 to 0.88 of theory, pears 35 to
    60 L/t (from memory). Made is what the account has left after the tub."""
    plan = plan_of(name)
    in_tub = (
        "starch not converted",
        "sugar left by the yeast",
        "yeast, glycerol and acids",
        "carried off with the gas",
    )
    came = sum(x.millilitres for x in plan.account if x.key.startswith("material/"))
    lost = sum(x.millilitres for x in plan.account if x.side == "lost" and x.words in in_tub)
    assert low <= (came - lost) / 1000 / plan.total_kg <= high
    if name != "pears":
        assert 0.75 <= (came - lost) / came <= 0.88


@pytest.mark.parametrize(("name", "low", "high"), [("rye", 6, 10), ("wheat-panela", 6, 11), ("pears", 4, 8)])
def test_wash_strength(name: str, low: float, high: float) -> None:
    assert low <= targets(name, "ferment")["strength"].band.mid <= high


@pytest.mark.parametrize("name", POINTS)
def test_low_wines_and_charge(name: str) -> None:
    """Low wines 15 to 32 %vol; a charge between 18 and 40 %vol, most between 24 and 30."""
    assert 15 <= targets(name, "strip")["low_wines_strength"].band.mid <= 32
    assert 18 <= targets(name, "charge")["strength"].band.mid <= 40


@pytest.mark.parametrize("name", POINTS)
def test_heart(name: str) -> None:
    """Heart begins at 69 to 84 %vol, averages 63 to 75, and takes 35 to 70 % of the charge's alcohol."""
    spirit, charge = targets(name, "spirit"), targets(name, "charge")
    assert 69 <= spirit["heart_from"].band.mid <= 84
    assert 63 <= spirit["heart_strength"].band.mid <= 75
    heart_lpa = spirit["heart"].band.mid * spirit["heart_strength"].band.mid
    charge_lpa = charge["volume"].band.mid * charge["strength"].band.mid
    assert 0.35 <= heart_lpa / charge_lpa <= 0.70


@pytest.mark.parametrize("name", POINTS)
def test_energy(name: str) -> None:
    """8 to 20 kWh per litre of pure alcohol in the cask's heart for a small still without heat recovery."""
    plan = plan_of(name)
    spirit = targets(name, "spirit")
    heart_lpa = spirit["heart"].band.mid * spirit["heart_strength"].band.mid / 100
    assert 8 <= plan.effort.energy_kwh.mid / heart_lpa <= 20


def test_grain_left_over_is_as_heavy_as_brewers_find() -> None:
    """Wet spent grain is 100 to 130 kg per 100 kg of grist (The Oxford Companion to Beer, spent grain, read);
    rye and oats with enzymes leave more fines than malt: up to 150 allowed, a press down to 80."""
    plan = plan_of("rye")
    assert 0.8 <= targets("rye", "separate")["solids"].band.mid / plan.total_kg <= 1.5


def test_gas_over_the_ferment() -> None:
    """About 267 L of carbon dioxide per kilogram of hexose: 0.28 m³ and 0.52 L of ethanol go together."""
    ferment, separate = targets("rye", "ferment"), targets("rye", "separate")
    liquid_l = sum(separate[key].band.mid for key in ("strained", "pressed", "held"))
    lpa = ferment["strength"].band.mid / 100 * liquid_l
    assert ferment["co2"].band.mid / lpa == pytest.approx(0.267 / 0.648, rel=0.06)


@pytest.mark.parametrize(
    ("name", "low", "high"), [("rye", 2, 5.5), ("wheat-panela", 2, 5.5), ("pears", 1, 3.5)]
)
def test_soaked_small_cask_loses_strength(name: str, low: float, high: float) -> None:
    """A soaked new cask of 20 to 30 L settles 2 to 5.5 %vol under its entry strength; one that held wine or
    spirit before, whose wood is part full, 1 to 3.5."""
    plan = plan_of(name)
    assert low <= plan.entry_pct_vol - plan.settled_pct_vol.mid <= high


def test_shopping_list_can_be_weighed() -> None:
    for line in plan_of("rye").shopping:
        if line.unit == "kg":
            assert line.buy * 20 == pytest.approx(round(line.buy * 20), abs=1e-6)
            assert line.need <= line.in_stock + line.buy + 1e-9
    oats = next(line for line in plan_of("rye").shopping if line.key == "oats")
    assert oats.in_stock == 10.0
    assert oats.cost == pytest.approx(oats.buy * 0.58)


def test_two_ferments_are_said() -> None:
    assert targets("wheat-panela", "pitch")["ferments"].band.mid == 2


def test_fruit_plan_has_its_cautions_and_no_cook() -> None:
    stages = {card.key: card for card in plan_of("pears").stages}
    assert "cook" not in stages
    said = " ".join(text for card in stages.values() for text in card.cautions)
    assert "ethanol" in said.lower()
    assert "methanol" in said.lower()
    assert "Never close a still" in said
