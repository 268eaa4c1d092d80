"""A plan's file as fields and back: nothing is lost, nothing is changed that was not typed."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from caskward.errors import NotToml
from caskward.planning.sizing import size
from caskward.services import plans, wish_file, wish_form, wish_units

NAMES = plans.starting_points()
keys = st.text(min_size=1, max_size=12)
words = st.text(max_size=20)
values = st.one_of(
    words, st.integers(-9, 10**6), st.booleans(), st.floats(allow_nan=False, allow_infinity=False)
)
plain = st.one_of(values, st.lists(values, max_size=3))
tables = st.dictionaries(keys, plain, max_size=4)
files = st.dictionaries(
    keys,
    st.one_of(plain, tables, st.lists(tables, min_size=1, max_size=3), st.dictionaries(keys, tables)),
    max_size=5,
)


@given(files)
def test_any_file_is_read_back_as_it_was_written(table) -> None:
    assert tomllib.loads(wish_file.as_text(table)) == table


@pytest.mark.parametrize("name", NAMES)
def test_a_file_that_nobody_changed_is_kept_to_the_letter(name: str) -> None:
    text = plans.starting_point(name)
    assert wish_form.text_with(text, wish_form.fields_of(text)) == text


@pytest.mark.parametrize(
    ("field", "typed", "path", "value"),
    [
        ("capacity", "30 L", ("cask", "capacity"), "30 L"),
        ("ratio", "3,6", ("mash", "water_l_per_kg"), 3.6),
        ("ferments", "2", ("most_ferments",), 2),
        ("buy_more", "no", ("stock", "buy_more"), False),
        ("ratio", "thick", ("mash", "water_l_per_kg"), "thick"),
        ("room_temp", "16 C", ("site", "room_temperature"), "16 C"),
    ],
)
def test_a_field_changes_its_own_key_and_no_other(field, typed, path, value) -> None:
    text = plans.starting_point("rye")
    before, after = tomllib.loads(text), tomllib.loads(wish_form.text_with(text, {field: typed}))
    *way, last = path
    place = before
    for key in way:
        place = place[key]
    place[last] = value
    assert after == before


def test_a_strength_stands_under_one_key() -> None:
    text = wish_form.text_with(
        plans.starting_point("rye"), {"strength_is": "entry_strength", "strength": "63 %"}
    )
    cask = tomllib.loads(text)["cask"]
    assert (cask.get("entry_strength"), cask.get("settle_strength")) == ("63 %", None)
    assert wish_form.fields_of(text)["strength_is"] == "entry_strength"


def test_rows_come_go_and_keep_what_no_field_shows() -> None:
    text = plans.starting_point("rye").replace(
        'share = "55 %"', 'share = "55 %"\nanalysis = { moisture = "13 %" }'
    )
    fields = wish_form.fields_of(text)
    gone = {**fields, "bill-2-material": "", "bill-2-share": "", "bill-1-share": "45 %"}
    bill = tomllib.loads(wish_form.text_with(text, gone))["bill"]
    assert [row["material"] for row in bill] == ["rye", "barley malt"]
    assert bill[0]["analysis"] == {"moisture": "13 %"}
    other = {**fields, "bill-0-material": "wheat", "bill-9-material": "spelt", "bill-9-share": "5 %"}
    bill = tomllib.loads(wish_form.text_with(text, other))["bill"]
    assert "analysis" not in bill[0], "an analysis is of the lot that it was made of"
    assert bill[-1] == {"material": "spelt", "share": "5 %"}


def test_an_empty_field_leaves_its_key_to_the_catalogue() -> None:
    text = wish_form.text_with(plans.starting_point("rye"), {"tub_free": "", "pot_volume": " "})
    table = tomllib.loads(text)
    assert "headspace" not in table["tub"]
    assert "working_volume" not in table["cook_pot"]


def test_what_is_no_plan_is_said() -> None:
    with pytest.raises(NotToml):
        wish_form.fields_of("cask = ")


@pytest.mark.parametrize("name", NAMES)
def test_in_the_other_units_it_is_the_same_wish_but_for_rounding(name: str) -> None:
    text = f"worlds = 256\n{plans.starting_point(name)}"
    us = wish_units.in_units(text, "us")
    assert " L" not in us.replace("mL/kg", "")
    one, other = (size(plans.intent_text(each), within=0.01) for each in (text, us))
    assert sum(other.method.bill_kg.values()) == pytest.approx(sum(one.method.bill_kg.values()), rel=0.03)
    assert wish_units.in_units(text, "metric") == text
