"""Methanol as it is told: what is asked for, which limits stand beside it, what holds whatever comes."""

from __future__ import annotations

import pytest

from caskward.catalogue.load import load
from caskward.errors import InputError, MissingValue, UnknownName
from caskward.services import still_jar_words as words
from caskward.services.still_methanol import methanol, style_of

GENERAL = {"EU, spirits in general, methanol that occurs naturally"}
NEUTRAL = {
    "EU, vodka",
    "EU, alcohol for London gin",
    "EU, ethyl alcohol of agricultural origin",
    "Australia/NZ, whisky, rum, gin, vodka",
}
BRANDY = {"US, brandy (imports)", "Australia/NZ, other spirits, fruit wine"}
PEAR_LIKE = (
    "EU, fruit spirit: apple, apricot, plum, mirabelle, peach, pear (not Williams), blackberry, raspberry"
)
WILLIAMS = "EU, fruit spirit: Williams pear, quince, currants, rowan, elder, juniper berry"


def limits_of(bill: str = "", style: str = "") -> set[str]:
    return {f"{one.jurisdiction}, {one.product}" for one in methanol(bill, style).limits}


@pytest.mark.parametrize(
    ("bill", "own"),
    [
        ("rye", NEUTRAL),
        ("60 kg rye, 20 kg barley malt", NEUTRAL),
        ("blackstrap molasses", NEUTRAL),
        ("potatoes", NEUTRAL),
        ("60 kg sugar, 10 kg rye", NEUTRAL),
        ("pears", BRANDY | {"EU, cider or perry spirit", PEAR_LIKE, WILLIAMS}),
        ("60 kg pears, 20 kg apples", BRANDY | {"EU, cider or perry spirit", PEAR_LIKE}),
        ("quinces", BRANDY | {WILLIAMS}),
        ("60 kg quinces, 20 kg plums", BRANDY | {"EU, fruit spirit, fruit not named otherwise"}),
        ("cherries", BRANDY | {"EU, fruit spirit, fruit not named otherwise"}),
        ("grape pomace", BRANDY | {"EU, grape marc spirit"}),
        ("wine grapes", BRANDY | {"EU, wine spirit", "EU, brandy", "Chile, wine distillates"}),
        ("cooked agave", {"Australia/NZ, other spirits, fruit wine"}),
        ("60 kg rye, 60 kg pears", {"Australia/NZ, other spirits, fruit wine"}),
    ],
)
def test_only_limits_on_what_it_could_be_sold_as_are_shown(bill: str, own: set[str]) -> None:
    """The products as the rules name them (sources stand in limits.toml); a general limit holds for all."""
    assert limits_of(bill) == own | GENERAL


def test_every_name_in_a_limit_is_a_material_or_a_kind_of_them() -> None:
    materials = load().materials
    known = set(materials) | {material.kind for material in materials.values()}
    not_kept = {"fruit-pomace", "blackberry"}
    named = {name for limit in load().legal_limits.values() for name in limit.made_of}
    assert named - known == not_kept


@pytest.mark.parametrize("style", ["sugar", "grain", "molasses"])
def test_a_style_without_pectin_has_no_pectin_and_neutral_limits(style: str) -> None:
    report = methanol(style=style)
    assert not report.from_pectin
    assert limits_of(style=style) == NEUTRAL | GENERAL
    assert "has no pectin" in words.methanol_line(report)


def test_sugar_makes_practically_no_methanol_and_fruit_does() -> None:
    assert "practically no methanol" in words.methanol_headline(methanol(style="sugar"))
    assert "little methanol" in words.methanol_headline(methanol("rye"))
    for fruit in (methanol("plums"), methanol(style="fruit"), methanol("sugar beet")):
        assert "may bring" in words.methanol_headline(fruit)
        assert fruit.from_pectin


def test_pomace_is_a_style_of_its_own() -> None:
    style, bill = style_of("pomace")
    assert limits_of(bill, style) == BRANDY | GENERAL | {"EU, grape marc spirit"}
    assert "EU, grape marc spirit" not in limits_of(style="fruit")


def test_a_bill_is_fermented_as_its_heaviest_material_is() -> None:
    assert methanol("60 kg rye, 1 kg pears").g_hl == methanol("60 kg rye, 1 kg pears", "grain").g_hl
    assert methanol("60 kg pears").g_hl == methanol("60 kg pears", "fruit").g_hl


def test_whatever_comes_it_says_that_cuts_do_not_remove_it_and_names_a_laboratory() -> None:
    for report in (methanol("pears"), methanol(style="sugar")):
        assert "Cuts do not remove methanol" in report.sentences[0]
        assert "laboratory" in report.sentences[1]
        assert words.methanol_headline(report).endswith("only a laboratory tells.")


def test_a_limit_from_memory_says_check_your_local_rule() -> None:
    report = methanol("rye")
    rules = {row[0]: row[3] for row in words.limit_rows(report)[1:]}
    assert rules["EU, vodka"] == "check your local rule"
    assert rules["Australia/NZ, whisky, rum, gin, vodka (0.4 g/L)"] == "read; rules change"
    assert all(
        (rules_ == words.CHECK) == one.from_memory
        for one, rules_ in zip(report.limits, rules.values(), strict=True)
    )


def test_a_limit_on_the_spirit_itself_says_for_which_bottle() -> None:
    """0.35 % of methanol by volume, 791.4 kg/m3: at 45 %vol 615.5 g/hL of pure alcohol."""
    report = methanol("plums", bottled_pct_vol=45.0)
    us = next(one for one in report.limits if one.jurisdiction == "US")
    assert us.limit_g_hl == pytest.approx(615.5, abs=0.1)
    assert "bottle of 45.0 %vol" in words.bottle_line(report, "metric")
    assert "proof" in words.bottle_line(report, "us")
    assert words.bottle_line(methanol("rye"), "metric") == ""


def test_without_words_it_asks_what_the_batch_is_made_of() -> None:
    with pytest.raises(MissingValue, match="what the batch is made of"):
        methanol()
    with pytest.raises(UnknownName, match="grain, fruit, sugar"):
        methanol(style="wine")


@pytest.mark.parametrize(
    "bill", ["60 kg", "60 L pears", "pears, apples", "60 kg unobtainium", "0 kg pears", "-5 kg pears"]
)
def test_a_bill_that_cannot_be_read_ends_in_a_sentence(bill: str) -> None:
    with pytest.raises(InputError):
        methanol(bill)
