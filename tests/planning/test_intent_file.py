"""A maker's file: strict keys, their own units, and one sentence for whatever is wrong."""

from __future__ import annotations

import re

import pytest

from caskward.catalogue.load import load
from caskward.errors import InputError
from caskward.planning.intent_file import read_intent
from caskward.properties import alcohol
from caskward.services.plans import starting_point, starting_points

RYE = starting_point("rye")


def read(text: str):  # type: ignore[no-untyped-def]
    return read_intent(text, load())


def changed(old: str, new: str) -> str:
    assert RYE.count(old) >= 1, old
    return RYE.replace(old, new, 1)


@pytest.mark.parametrize("name", starting_points())
def test_starting_points_read(name: str) -> None:
    intent = read(starting_point(name))
    assert sum(item.share for item in intent.bill) == pytest.approx(1.0)
    assert intent.invented


def test_units_are_the_maker_s() -> None:
    text = changed('capacity = "25 L"', 'capacity = "6.6 gal"')
    text = text.replace('settle_strength = "60 %"', 'entry_strength = "126 proof"')
    text = text.replace('water_temperature = "11 C"', 'water_temperature = "52 F"')
    text = text.replace('altitude = "140 m"', 'altitude = "460 ft"').replace(
        'power = "9 kW"', 'power = "30700 BTU/h"'
    )
    intent = read(text)
    assert intent.cask.capacity_l == pytest.approx(24.98, abs=0.01)
    assert intent.cask.entry_pct_vol == pytest.approx(float(alcohol.pct_vol_20_from_proof(126.0)))
    assert intent.site.water_c == pytest.approx(11.11, abs=0.01)
    assert intent.gear.strip_still.power_kw == pytest.approx(9.0, abs=0.01)


def test_own_analysis_and_defaults() -> None:
    text = changed(
        'material = "rye"\nshare = "55 %"',
        'material = "rye from the lower field"\nshare = "55 %"\nanalysis = { moisture = "14 %", '
        'starch = "52 %" }',
    )
    material = read(text).bill[0].material
    rye = load().material("rye")
    assert material.starch_dry.likely == pytest.approx(0.52 / 0.86)
    assert material.moisture.likely == 0.14
    assert (material.cook_c, material.sugars_dry.likely) == (rye.cook_c, rye.sugars_dry.likely)


def test_a_grain_without_a_namesake_is_still_cooked() -> None:
    text = changed(
        'material = "rye"\nshare = "55 %"',
        'material = "emmer"\nshare = "55 %"\nanalysis = { moisture = "12 %", starch = "54 %" }',
    )
    material = read(text).bill[0].material
    assert material.cook_c is not None
    assert material.cook_c.likely > 60


def test_one_still_may_do_both_and_two_may_differ() -> None:
    assert read(RYE).gear.spirit_still is read(RYE).gear.strip_still or (
        read(RYE).gear.spirit_still == read(RYE).gear.strip_still
    )
    two = read(RYE + '\n[spirit_still]\ncharge_limit = "60 L"\npower = "5 kW"\nkind = "pot-lyne-arm"\n')
    assert two.gear.spirit_still.charge_limit_l == 60.0
    assert two.gear.strip_still.charge_limit_l == 110.0


WRONG = {
    "misspelt key": (changed("capacity =", "capacty ="), r"capacty.*capacity"),
    "misspelt table": (changed("[tub]", "[tubb]"), r"tub"),
    "unquoted unit": (changed('capacity = "25 L"', "capacity = 25 L"), r"TOML.*quotes"),
    "share over one": (changed('share = "55 %"', "share = 55"), r"55 %.*0\.55"),
    "fill over the brim": (changed('fill = "97 %"', 'fill = "120 %"'), r"120.*100 %|120.*0 to 100|120"),
    "wrong kind of unit": (changed('capacity = "25 L"', 'capacity = "25 kg"'), r"kg"),
    "negative power": (changed('power = "9 kW"', 'power = "-9 kW"'), r"-9"),
    "unknown material": (changed('material = "oats"', 'material = "oatz"'), r"oatz.*oats"),
    "unknown yeast": (changed('yeast = "distillers"', 'yeast = "distilers"'), r"distillers"),
    "shares short": (changed('share = "20 %"', 'share = "10 %"'), r"90.*100 %"),
    "both strengths": (
        changed('staves = "soaked"', 'staves = "soaked"\nentry_strength = "63 %"'),
        r"exactly one",
    ),
    "no strength": (changed('settle_strength = "60 %"', ""), r"exactly one"),
    "too strong": (changed('settle_strength = "60 %"', 'entry_strength = "94 %"'), r"at most .* first drops"),
    "staves word": (changed('staves = "soaked"', 'staves = "wet"'), r"soaked.*dry"),
    "no pot": (re.sub(r"\[cook_pot\].*?\n\n", "", RYE, flags=re.S), r"cooked.*cook_pot"),
    "no enzymes": (
        re.sub(r"\[\[enzyme\]\].*?\n\n", "", RYE, flags=re.S).replace('"barley malt"', '"wheat"'),
        r"enzyme",
    ),
    "window backwards": (changed('["60 C", "75 C"]', '["75 C", "60 C"]'), r"low first"),
    "ph of 53": (changed("ph = [5.3, 6.5]", "ph = [53, 65]"), r"pH"),
    "proof over 200": (changed('settle_strength = "60 %"', 'entry_strength = "230 proof"'), r"200"),
    "minimum over limit": (changed('minimum_charge = "25 L"', 'minimum_charge = "130 L"'), r"130"),
    "hot water main": (changed('water_temperature = "11 C"', 'water_temperature = "120 C"'), r"120"),
    "no ferments": (changed("most_ferments = 1", "most_ferments = 0"), r"whole number"),
    "number as text": (changed("water_l_per_kg = 3.4", 'water_l_per_kg = "thick"'), r"thick"),
    "no cask": (re.sub(r"\[cask\].*?\n\n", "", RYE, flags=re.S), r"\[cask\]"),
    "certain": (changed('"8 in 10"', '"10 in 10"'), r"certain|9\.9"),
    "charge over 40": (RYE + '\n[cuts]\ncharge_strength_limit = "50 %"\n', r"40.*site_rule"),
    "material twice": (changed('material = "oats"', 'material = "rye"'), r"twice"),
    "hot tap": (changed('water_temperature = "11 C"', 'water_temperature = "60 C"'), r"vapour"),
    "enzyme by the jug": (changed('dose = "0.35 mL/kg"', 'dose = "0.35 L/kg"'), r"drops"),
    "no foam room": (changed('headspace = "15 %"', 'headspace = "0 %"'), r"foams"),
    "bare number in a US file": (
        changed('show = "metric"', 'show = "us"').replace('"11 C"\naltitude', "52\naltitude"),
        r"52.*unit",
    ),
    "confidence of 8": (changed('"8 in 10"', "8"), r"8 in 10"),
    "malt and no pot": (
        re.sub(r"\[cook_pot\].*?\n\n", "", RYE, flags=re.S)
        .replace('"rye"', '"rye malt"')
        .replace('"oats"', '"oat malt"')
        .replace('oats = "10 kg"', "")
        .replace('oats = "0.58"', "")
        .replace('rye = "0.62"', ""),
        r"heat it.*cook_pot",
    ),
    "starch only dissolved": (
        changed(
            'material = "rye"',
            'material = "flour"\nanalysis = { moisture = 0.1, starch = 0.6, prepare = "dissolve" }',
        ),
        r"prepare",
    ),
    "empty": ("", r"cask|bill"),
    "nothing ferments": (
        changed('material = "rye"', 'material = "sawdust"\nanalysis = { moisture = 0.1, sugars = 0.0 }')
        .replace(
            'material = "barley malt"', 'material = "chaff"\nanalysis = { moisture = 0.1, sugars = 0.0 }'
        )
        .replace('material = "oats"', 'material = "straw"\nanalysis = { moisture = 0.1, sugars = 0.0 }'),
        r"nothing that ferments",
    ),
}


@pytest.mark.parametrize("case", WRONG)
def test_wrong_values_get_one_sentence(case: str) -> None:
    text, said = WRONG[case]
    with pytest.raises(InputError, match=said) as caught:
        read(text)
    sentence = str(caught.value)
    assert caught.value.exit_code == 2
    assert "\n" not in sentence
    assert 20 < len(sentence) < 400, sentence


@pytest.mark.parametrize("seed", range(40))
def test_any_key_misspelt_is_named(seed: int) -> None:
    """Every key of the starting file, spelt wrong, is refused by name."""
    keys = list(re.finditer(r"^([a-z_]+) = ", RYE, flags=re.M))
    key = keys[seed % len(keys)]
    text = RYE[: key.start(1)] + key.group(1) + "x" + RYE[key.end(1) :]
    with pytest.raises(InputError) as caught:
        read(text)
    assert key.group(1) in str(caught.value)
