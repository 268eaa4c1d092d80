"""What the catalogue says a tonne can give, beside published yields."""

from __future__ import annotations

import pytest

from caskward.catalogue import material_from_analysis

# The table's yields are dry starch x 0.720 L/kg x 0.915, printed to 1 L/t with starch to 0.1 %: 0.5 L of the
# printed yield and 0.05/70 of 400 L make 0.8, so 1 L/t. Saskatchewan Agriculture and Food (1993), read.
TABLE_EFFICIENCY = 0.915
TABLE = [("maize", 0.138, 0.718, 408), ("wheat", 0.109, 0.638, 375)]

# No yeast gives more than Pasteur's 0.484 kg of the 0.5114 that the equation allows (from memory), and none
# of these houses less than the 0.75 a small batch falls to (common practice). Fruit loses more: skins, stones
# and pulp hold a fifth of the juice back, so 0.60.
BEST = 0.484 / 0.5114
SMALL_BATCH = 0.75
FRUIT_MASH = 0.60

HOUSES = [
    # key, litres of pure alcohol for each tonne as it arrives
    ("maize", 410),  # Russell (ed.), Whisky, 2003, from memory
    ("wheat", 385),  # the same, from memory
    ("rye", 365),  # The Alcohol Textbook, 2003, from memory
    ("sorghum", 390),  # the same, from memory
    ("potato", 100),  # the same, from memory
    ("blackstrap-molasses", 285),  # the same, from memory
    ("barley-malt", 410),  # predicted yield at 4.5 % moisture; Russell (ed.), from memory
]
ORCHARDS = [("apple", 50), ("pear", 45), ("plum", 60), ("grape", 100)]  # common practice, from memory


@pytest.mark.parametrize(("key", "moisture", "starch", "litres"), TABLE)
def test_the_yield_table_is_starch_times_its_own_efficiency(key, moisture, starch, litres):
    analysis = {"like": key, "moisture": moisture, "starch_dry": starch, "sugars_dry": 0.0}
    lot = material_from_analysis(f"table {key}", analysis)
    assert lot.potential_lpa_per_kg * 1000 * TABLE_EFFICIENCY == pytest.approx(litres, abs=1.0)


@pytest.mark.parametrize(("key", "litres_per_dry_tonne"), [("wheat", 457.7), ("maize", 441.7)])
def test_a_laboratory_cook_at_85_c_gets_a_likely_part_of_what_is_there(catalogue, key, litres_per_dry_tonne):
    """Trade summary of a laboratory study, read; yields for dry weight."""
    material = catalogue.material(key)
    dry = material.potential_lpa_per_kg / (1 - material.moisture.likely)
    assert SMALL_BATCH <= litres_per_dry_tonne / 1000 / dry <= BEST


@pytest.mark.parametrize(("key", "litres"), HOUSES)
def test_houses_get_a_likely_part_of_what_is_there(catalogue, key, litres):
    assert SMALL_BATCH <= litres / 1000 / catalogue.material(key).potential_lpa_per_kg <= BEST


@pytest.mark.parametrize(("key", "litres"), ORCHARDS)
def test_orchards_get_a_likely_part_of_what_is_there(catalogue, key, litres):
    assert FRUIT_MASH <= litres / 1000 / catalogue.material(key).potential_lpa_per_kg <= BEST


@pytest.mark.parametrize(
    ("key", "litres", "why"), [("dextrose", 648, "hexose"), ("cane-sugar", 682, "sucrose")]
)
def test_pure_sugars_give_what_the_equation_gives(catalogue, key, litres, why):
    """0.5114 kg/kg over 0.78924 kg/L, and 1.0526 times that for sucrose: to the 1 L/t those are known to."""
    material = catalogue.material(key)
    dry = material.potential_lpa_per_kg / (1 - material.moisture.likely) / material.sugars_dry.likely
    assert dry * 1000 == pytest.approx(litres, abs=1.0), why


@pytest.mark.parametrize("style", ["grain", "fruit", "sugar", "molasses", "agave"])
def test_good_practice_with_enzymes_is_what_small_batches_reach(catalogue, style):
    """Overall 0.75-0.88 (common practice): starch, fermentable part, what the yeast uses, and its yield."""
    p = catalogue.practice(style)
    yeast = next(y for y in catalogue.yeasts.values() if style in y.suits)
    overall = yeast.attenuation.likely * p.ferment_yield.likely * (1 - p.co2_ethanol_loss.likely)
    if style == "grain":
        overall *= p.conversion.likely * p.fermentable_share.likely
    assert 0.75 <= overall <= (0.88 if style == "grain" else BEST)


def test_malt_alone_does_a_little_worse_than_bought_enzymes(catalogue):
    p = catalogue.practice("grain")
    with_enzymes = p.conversion.likely * p.fermentable_share.likely
    malt_only = p.conversion_malt_only.likely * p.fermentable_share_malt_only.likely
    assert 0.75 < malt_only < with_enzymes
