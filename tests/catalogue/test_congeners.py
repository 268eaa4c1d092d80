"""Facts about congeners and the legal limits on them: complete, sourced, in the units the laws use."""

from __future__ import annotations

import pytest

from caskward.catalogue import Fact, load
from caskward.catalogue.fact import HOW
from caskward.catalogue.traces import CHECK_LOCAL_RULE, COMES
from caskward.errors import BadCatalogueEntry, UnknownName
from caskward.properties import alcohol, vle
from caskward.properties.congeners import CONGENERS, relative_volatility
from caskward.sources import load_sources


@pytest.fixture(scope="module")
def trace_facts(catalogue):  # type: ignore[no-untyped-def]
    found = [(f"threshold {t.congener} {t.matrix}", t.mg_l) for t in catalogue.thresholds]
    for wash in catalogue.washes.values():
        found.append((f"wash {wash.key} strength", wash.strength_pct_vol))
        found += [(f"wash {wash.key} {name}", fact) for name, fact in wash.mg_l.items()]
    for spirit in catalogue.spirits.values():
        found += [(f"spirit {spirit.key} {name}", fact) for name, fact in spirit.g_hl.items()]
    found += [(f"limit {key}", limit.value) for key, limit in catalogue.legal_limits.items()]
    return [*found, ("pectin", catalogue.pectin_methanol)]


def test_there_is_one_entry_for_each_volatility_curve(catalogue) -> None:
    assert tuple(catalogue.congeners) == CONGENERS
    assert all(entry.smell and entry.name and entry.comes in COMES for entry in catalogue.congeners.values())


@pytest.mark.parametrize("name", CONGENERS)
def test_when_it_comes_over_is_what_the_curves_say(catalogue, name: str) -> None:
    """Volatility against ethanol's in a pot at 30 %vol; predictions, so the classes lie well apart."""
    x = float(vle.mole_fraction(alcohol.mass_fraction(30.0)))
    alpha = relative_volatility(name, x)
    low, high = {"early": (3.0, 1e3), "with the heart": (0.7, 2.0), "late": (0.0, 0.4)}[
        catalogue.congener(name).comes
    ]
    assert low < alpha < high


def test_every_fact_has_an_order_a_known_source_and_says_how(trace_facts) -> None:
    sources = load_sources()
    assert len(trace_facts) > 120
    assert [w for w, f in trace_facts if not 0.0 <= f.low <= f.likely <= f.high] == []
    assert [w for w, f in trace_facts if f.source not in sources or f.how not in HOW] == []
    assert [w for w, f in trace_facts if f.how == "read" and sources[f.source].how != "read"] == []
    assert [w for w, f in trace_facts if "maker" in (f.how, f.source)] == []


def test_every_style_has_a_wash_with_every_congener(catalogue) -> None:
    assert set(catalogue.washes) == set(catalogue.practices)
    for wash in catalogue.washes.values():
        assert set(wash.mg_l) == set(CONGENERS)


def test_a_wash_prior_is_milligrams_over_its_alcohol(catalogue) -> None:
    """100 mg in a litre with 0.085 L of pure alcohol: 1176 mg per litre of it, 117.6 g per hectolitre."""
    grain = catalogue.wash("grain")
    assert grain.mg_l["3-methyl-1-butanol"].likely == 100.0
    assert grain.strength_pct_vol.likely == 8.5
    prior = grain.g_per_hl("3-methyl-1-butanol")
    assert prior.likely == pytest.approx(100.0 / 0.085 / 10.0)
    assert prior.how == "derived"
    assert grain.mg_per_l_at("3-methyl-1-butanol", 17.0).likely == pytest.approx(200.0)


def test_published_figures_are_turned_into_grams_per_hectolitre(catalogue) -> None:
    """Food Chemistry (Belitz and others), table 20.28, mg/L at 40 %vol, *read* in a copy of the page; Guymon
    1970, abstract *read*, g/hL at 50 %vol. Tolerance: the digits printed in the catalogue."""
    whisky, brandy = catalogue.spirits["whisky"].g_hl, catalogue.spirits["brandy"].g_hl
    for name, malt, bourbon in (
        ("3-methyl-1-butanol", 568.1, 1062.1),
        ("2-methyl-1-butanol", 194.2, 423.8),
    ):
        assert whisky[name].likely == pytest.approx(malt / 4.0, rel=0.005)
        assert whisky[name].high == pytest.approx(bourbon / 4.0, rel=0.005)
    assert whisky["acetal"].low == pytest.approx(15.33 / 4.0, rel=0.01)
    assert whisky["acetal"].high == pytest.approx(21.86 / 4.0, rel=0.01)
    assert brandy["1-propanol"].likely == 2 * 17.2
    assert brandy["acetaldehyde"].high == 2 * 3.8


@pytest.mark.parametrize("name", ["1-propanol", "isobutanol", "2-methyl-1-butanol", "3-methyl-1-butanol"])
def test_a_grain_wash_holds_what_whisky_holds_of_what_the_cuts_hardly_change(catalogue, name: str) -> None:
    """Two independent rows, prior of a wash and published spirits, must overlap."""
    wash, whisky = catalogue.wash("grain").g_per_hl(name), catalogue.spirits["whisky"].g_hl[name]
    assert wash.low < whisky.high
    assert whisky.low < wash.high


def test_thresholds_are_told_per_liquid_and_are_weak(catalogue) -> None:
    diacetyl = [t.mg_l.likely for t in catalogue.thresholds if t.congener == "diacetyl"]
    assert len(diacetyl) == 3
    assert max(diacetyl) / min(diacetyl) > 10.0
    assert all(t.matrix for t in catalogue.thresholds)


def test_a_limit_from_memory_says_check_your_local_rule(catalogue) -> None:
    limits = catalogue.legal_limits.values()
    remembered = [limit for limit in limits if limit.from_memory]
    assert 10 <= len(remembered) < len(limits)
    assert all(CHECK_LOCAL_RULE in limit.words for limit in remembered)
    assert all("read; rules change" in limit.words for limit in limits if not limit.from_memory)
    assert catalogue.legal_limit("eu-wine-spirit").words == (
        "EU, wine spirit: methanol at most 200 g/hL of pure alcohol "
        "(Regulation (EU) 2019/787, Annex I, category 4, read; rules change)"
    )


def test_names_are_found_and_slips_are_met_with_the_nearest(catalogue) -> None:
    assert catalogue.congener("isoamyl alcohol").key == "3-methyl-1-butanol"
    for lookup, given, near in (
        ("congener", "ethil acetate", "ethyl acetate"),
        ("wash", "molases", "molasses"),
        ("legal_limit", "us brandi", "us-brandy"),
    ):
        with pytest.raises(UnknownName) as refusal:
            getattr(catalogue, lookup)(given)
        assert refusal.value.nearest == near


def test_a_maker_s_laboratory_rules_over_the_catalogue(tmp_path) -> None:
    (tmp_path / "congeners.toml").write_text("[wash.grain.mg_l]\nmethanol = 5\n", encoding="utf-8")
    (tmp_path / "limits.toml").write_text("[eu-vodka]\nvalue = 8\n", encoding="utf-8")
    mine = load(tmp_path)
    methanol = mine.wash("grain").mg_l["methanol"]
    assert methanol == Fact(5.0, 5.0, 5.0, "maker", "maker")
    assert mine.wash("grain").mg_l["isobutanol"] == load().wash("grain").mg_l["isobutanol"]
    assert mine.legal_limit("eu-vodka").value.likely == 8.0
    assert mine.legal_limit("eu-vodka").value.how == "maker"
    assert CHECK_LOCAL_RULE in mine.legal_limit("eu-vodka").words


@pytest.mark.parametrize(
    ("path", "text", "ask", "words"),
    [
        (
            "congeners.toml",
            "[wash.grain.mg_l]\nethanal = 5\n",
            "washes",
            r"'ethanal' is not a known congener",
        ),
        (
            "congeners.toml",
            '[congener.acetal]\ncomes = "soon"\n',
            "congeners",
            r"Known: early, with the heart",
        ),
        (
            "congeners.toml",
            "[threshold]\nmg_l = 1\n",
            "thresholds",
            r"Write \[\[threshold\]\] above each one",
        ),
        ("limits.toml", '[eu-vodka]\nunit = "g/hl"\n', "legal_limits", r"Did you mean 'g/hL'\?"),
        ("limits.toml", '[eu-vodka]\nbound = "max"\n', "legal_limits", r"Known: most, least"),
    ],
)
def test_a_wrong_file_is_refused(tmp_path, path: str, text: str, ask: str, words: str) -> None:
    (tmp_path / path).write_text(text, encoding="utf-8")
    with pytest.raises((UnknownName, BadCatalogueEntry), match=words):
        getattr(load(tmp_path), ask)
