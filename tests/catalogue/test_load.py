"""Looking things up, a maker's own folder and a maker's own analysis, and every refusal."""

from __future__ import annotations

import pytest

from caskward.catalogue import load, material_from_analysis
from caskward.errors import BadCatalogueEntry, MissingValue, UnknownName


@pytest.mark.parametrize(
    ("lookup", "given", "nearest"),
    [
        ("material", "rey malt", "rye-malt"),
        ("material", "maltd barley", "barley-malt"),
        ("material", "molases", "blackstrap-molasses"),
        ("enzyme", "glucoamilase", "sweetening"),
        ("yeast", "wisky", "whisky"),
        ("still", "pot-barre", "pot-bare"),
        ("tub", "insulatd", "insulated"),
        ("straining", "pres", "press"),
        ("pot", "gas rng", "gas-ring"),
        ("practice", "grian", "grain"),
        ("wood", "seasond", "seasoned"),
    ],
)
def test_a_slip_of_the_finger_is_met_with_the_nearest_name(catalogue, lookup, given, nearest):
    with pytest.raises(UnknownName) as refusal:
        getattr(catalogue, lookup)(given)
    assert refusal.value.nearest == nearest
    assert f"{given!r} is not a known" in str(refusal.value)
    assert f"Did you mean {nearest!r}?" in str(refusal.value)


def test_a_name_like_nothing_lists_a_few_that_are_known(catalogue):
    with pytest.raises(UnknownName, match=r"'xyzzy' is not a known material. Known: maize, .*, \.\.\. All"):
        catalogue.material("xyzzy")
    with pytest.raises(UnknownName, match=r"Known: new, seasoned"):
        catalogue.wood("xyzzy")


def test_the_catalogue_is_read_once():
    assert load() is load()
    assert load().material("rye") is load().material("Rye")


@pytest.fixture
def own(tmp_path):
    (tmp_path / "materials").mkdir()
    return tmp_path


def write(folder, path, text):
    (folder / path).write_text(text, encoding="utf-8")
    return folder


def test_a_maker_s_folder_changes_one_fact_and_keeps_the_rest(own):
    write(own, "materials/mine.toml", "[rye]\nmoisture = 0.12\nstarch_dry = { low = 0.6, likely = 0.64 }\n")
    mine, packaged = load(own).material("rye"), load().material("rye")
    assert (mine.moisture.low, mine.moisture.high, mine.moisture.how) == (0.12, 0.12, "maker")
    assert (mine.starch_dry.high, mine.starch_dry.source) == (0.64, "maker")
    assert mine.sugars_dry == packaged.sugars_dry
    assert packaged.moisture.likely != 0.12


def test_a_maker_s_own_source_stands_over_their_facts(own):
    write(own, "materials/mine.toml", '[rye]\nsource = "common-practice"\nhow = "memory"\nmoisture = 0.12\n')
    moisture = load(own).material("rye").moisture
    assert (moisture.source, moisture.how) == ("common-practice", "memory")
    assert load(own).material("rye").sugars_dry.source == "inrae-feedtables"


MARSH_OATS = """
[marsh-oats]
name = "Marsh oats"
plural = "marsh oats"
kind = "grain"
prepare = "mash"
usual_style = "grain"
source = "maker"
how = "maker"
moisture = 0.1
starch_dry = { low = 0.5, likely = 0.55, high = 0.6 }
water_l_per_kg = 4
bulk_density_kg_l = 0.5
yan_mg_per_kg = 300
"""


def test_a_maker_s_folder_adds_a_material_beside_the_others(own):
    write(own, "materials/mine.toml", MARSH_OATS)
    mine = load(own)
    assert mine.material("Marsh oats").starch_dry.likely == 0.55
    assert len(mine.materials) == len(load().materials) + 1


def test_a_maker_s_folder_changes_gear_inside_its_part(own):
    write(own, "gear.toml", "[tub.insulated]\nheat_loss_w_k_200l = 1.8\n")
    assert load(own).tub("insulated").heat_loss_w_k_200l.likely == 1.8
    assert load(own).tub("insulated").headspace_share == load().tub("insulated").headspace_share
    assert set(load(own).stills) == set(load().stills)


def test_a_folder_that_is_not_there_is_refused(tmp_path):
    with pytest.raises(BadCatalogueEntry, match=r"there is no such folder\. Name the folder"):
        load(tmp_path / "nowhere")


@pytest.mark.parametrize(
    ("path", "text", "words"),
    [
        ("materials/mine.toml", "[rye\n", r"mine.toml: not readable as TOML \(.*line 1.*Mend that line"),
        (
            "materials/mine.toml",
            "[rye]\nmoistur = 0.1\n",
            r"'moistur' is not a known key of .*Did you mean 'moisture'",
        ),
        (
            "materials/mine.toml",
            "[rye]\nmoisture = 13\n",
            r"moisture: 13 to 13 is not a share between 0 and 1",
        ),
        ("materials/mine.toml", '[rye]\nkind = "grian"\n', r"'grian' is not a known .*Did you mean 'grain'"),
        ("materials/mine.toml", "[rye]\nname = 5\n", r"name: 5 does not fit. Write text in quotes"),
        ("materials/mine.toml", '[rye]\npress = "yes"\n', r"press: 'yes' does not fit. Write true or false"),
        ("materials/mine.toml", '[rye]\naliases = "ry"\n', r"aliases: 'ry' is not a list of names"),
        ("materials/mine.toml", "rye = 3\n", r"rye is not a table. Write a heading \[rye\]"),
        ("materials/mine.toml", "[fog]\nmoisture = 0.1\n", r"\[fog\] needs name. Add, for example: name = "),
    ],
)
def test_a_wrong_file_is_refused_with_the_place_and_the_cure(own, path, text, words):
    write(own, path, text)
    with pytest.raises((BadCatalogueEntry, UnknownName, MissingValue), match=words):
        dict(load(own).materials)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ('[[cook]]\ntext = "' + "x" * 120 + '"\n', "text has 120 characters"),
        ('[[cook]]\ntxt = "hot"\n', "'txt' is not a known key .*Did you mean 'text'"),
        ('[cook]\ntext = "hot"\n', r"cook is not a list. Write \[\[cook\]\] above each one"),
    ],
)
def test_a_wrong_caution_is_refused(own, text, words):
    write(own, "cautions.toml", text)
    with pytest.raises((BadCatalogueEntry, UnknownName), match=words):
        _ = load(own).cautions


def test_an_analysis_over_a_catalogue_material_changes_what_it_names():
    lot = material_from_analysis("barn rye", {"like": "rye", "moisture": 0.14, "starch": 0.516})
    assert lot.starch_dry.likely == pytest.approx(0.516 / 0.86)
    assert (lot.starch_dry.source, lot.starch_dry.how) == ("maker", "maker")
    assert lot.cook_c == load().material("rye").cook_c
    assert (lot.key, lot.name, lot.aliases) == ("barn rye", "barn rye", ())


def test_an_analysis_from_nothing_needs_moisture_and_guesses_the_rest_openly():
    lot = material_from_analysis(
        "flour", {"moisture": 0.13, "starch": {"low": 0.6, "likely": 0.65, "high": 0.7}}
    )
    assert (lot.kind, lot.prepare, lot.usual_style) == ("grain", "cook", "grain")
    assert lot.starch_dry.high == pytest.approx(0.7 / 0.87)
    assert lot.water_l_per_kg.how == "common practice"
    syrup = material_from_analysis("old honey", {"kind": "syrup", "moisture": 0.18, "sugars": 0.78})
    assert (syrup.prepare, syrup.starch_dry.likely) == ("dissolve", 0.0)
    fruit = material_from_analysis("medlars", {"kind": "fruit", "moisture": 0.75, "sugars": 0.1})
    assert (fruit.prepare, fruit.water_l_per_kg.likely) == ("crush", 0.0)


@pytest.mark.parametrize(
    ("table", "words"),
    [
        ({"starch": 0.6}, "needs moisture. Add, for example: moisture = 0.13"),
        ({"moisture": 0.1, "strach": 0.6}, r"'strach' is not a known key .*Did you mean 'starch'"),
        ({"moisture": 0.1, "starch": 0.95}, "starch 0.95 and moisture 0.1 together pass 1"),
        ({"moisture": 13, "starch": 0.6}, "moisture 13 is not a share. Write 13 % as 0.13"),
        ({"moisture": 0.1, "starch": 0.6, "starch_dry": 0.7}, "both starch and starch_dry are given"),
        ({"moisture": 0.1, "starch_dry": 0.7, "sugars_dry": 0.4}, "make 1.160 of the dry matter"),
        ({"moisture": 0.1, "starch_dry": "lots"}, "'lots' is not a finite number"),
        ({"like": "rey", "starch_dry": 0.6}, "'rey' is not a known material. Did you mean 'rye'"),
        ({"moisture": 0.1, "starch": 0.5, "kind": "stone"}, "'stone' is not a known"),
    ],
)
def test_a_wrong_analysis_is_refused(table, words):
    with pytest.raises((BadCatalogueEntry, UnknownName, MissingValue), match=words):
        material_from_analysis("lot 7", table)
