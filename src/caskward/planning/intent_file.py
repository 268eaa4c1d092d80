"""The maker's file becomes an intent: strict keys, the maker's own units, the catalogue's defaults."""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping
from typing import Any, cast

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import Material, Practice
from caskward.catalogue.load import Catalogue, material_from_analysis
from caskward.errors import NotALearnedStill, NotLearnedBatches, NotToml, WrongShape
from caskward.planning.checks import checked
from caskward.planning.intent import (
    BillItem,
    CaskWish,
    Cuts,
    Intent,
    Site,
)
from caskward.planning.intent_gear import Learned, certain, positive, read_gear
from caskward.planning.intent_stock import malt_enzymes, read_enzyme, read_prices, read_stock
from caskward.planning.learned_gear import LearnedGear
from caskward.planning.learned_still import LearnedHabits
from caskward.planning.strengths import read_strength
from caskward.planning.toml_section import Section, flag, one_of, text, whole
from caskward.units import parse
from caskward.units.types import UnitSystem

_WORLDS, _FEWEST, _MOST = 2048, 256, 65536
_WITH_UNITS = (
    parse.volume_l,
    parse.mass_kg,
    parse.temperature_c,
    parse.power_kw,
    parse.length_m,
    parse.heat_loss_w_k,
)
"""Amounts a US maker must give with a unit: a bare 52 would be taken for degrees Celsius."""


def nothing_learned(name: str) -> LearnedHabits:
    """Where no file can be looked for: refuses the name of a learned still."""
    raise NotALearnedStill(name, "no file can be looked for from here.")


Closed = Callable[[str], LearnedGear]
"""Reads what closed batches taught, by the name that the maker's file gives."""


def no_batch_closed(name: str) -> LearnedGear:
    """Where no file can be looked for: refuses the name of what batches taught."""
    raise NotLearnedBatches(name, "no file can be looked for from here.")


def read_intent(
    source: str,
    catalogue: Catalogue,
    learned: Learned = nothing_learned,
    closed: Closed = no_batch_closed,
) -> Intent:
    """Read a maker's file.

    Args:
        source: the file's text, TOML.
        catalogue: facts that stand in for what the maker does not say.
        learned: reads the file of a learned still by the name that the maker's file gives it.
        closed: reads the file of what closed batches taught, in the same way.

    Raises:
        InputError: one sentence about the first thing that cannot be used.
    """
    try:
        table = tomllib.loads(source)
    except tomllib.TOMLDecodeError as error:
        raise NotToml(str(error)) from None
    top = Section("", table, _WITH_UNITS if table.get("show") == "us" else ())
    bill, materials = _bill(top, catalogue)
    practice = catalogue.practice(top.take("style", text, '"grain"', _style_of(bill)))
    intent = Intent(
        name=top.take("name", text, '"Rye for the small cask"'),
        place=top.take("place", text, '"the farm"', ""),
        show=cast(UnitSystem, top.take("show", one_of("metric", "us"), '"metric"', "metric")),
        confidence=top.take("confidence", _confidence, '"8 in 10"', 0.8),
        cask=_cask(top, catalogue),
        bill=bill,
        practice=practice,
        water_l_per_kg=_water_ratio(top),
        most_ferments=top.take("most_ferments", whole(1, 20), "1", 1),
        gear=read_gear(top, catalogue, learned),
        stock=read_stock(top, catalogue, materials),
        enzymes=tuple(read_enzyme(row, catalogue) for row in top.sections("enzyme")),
        yeast=catalogue.yeast(top.take("yeast", text, '"distillers"', "distillers")),
        site=_site(top),
        prices=read_prices(top, catalogue, materials),
        cuts=_cuts(top, practice),
        worlds=_power_of_two(top.take("worlds", whole(_FEWEST, _MOST), str(_WORLDS), _WORLDS)),
        seed=top.take("seed", whole(0, 2**31 - 1), "1", 1),
        malt_enzymes=malt_enzymes(catalogue),
        invented=top.take("invented", flag, "true", default=False),
        learned=_closed(top, closed),
    )
    top.done()
    return checked(intent)


def _closed(top: Section, closed: Closed) -> LearnedGear | None:
    name = top.take("learned", text, '"my-gear.toml"', "")
    return closed(name) if name else None


def _style_of(bill: tuple[BillItem, ...]) -> str:
    """The style that most of the bill's mass belongs to."""
    by_style: dict[str, float] = {}
    for item in bill:
        by_style[item.material.usual_style] = by_style.get(item.material.usual_style, 0.0) + item.share
    return max(by_style, key=lambda style: by_style[style], default="grain")


def _power_of_two(count: int) -> int:
    """The next count for which Sobol points stay balanced."""
    return 1 << (count - 1).bit_length()


def _confidence(given: Any, *, what: str) -> float:
    """A chance, from "8 in 10", 0.8 or "80 %"; a bare 8 is asked back."""
    if isinstance(given, int | float) and not isinstance(given, bool) and given > 1:
        raise WrongShape(what, given, 'a chance like "8 in 10" or 0.8')
    return parse.share(given, what=what)


def _cask(top: Section, catalogue: Catalogue) -> CaskWish:
    part = top.section("cask", needed=True, example='capacity = "25 L"')
    assert part is not None
    capacity_l = part.take("capacity", parse.volume_l, '"25 L"')
    wood = catalogue.wood(part.take("wood", text, '"new"'))
    area = _area(part, catalogue, capacity_l)
    wish = CaskWish(
        capacity_l=capacity_l,
        fill_share=part.take("fill", parse.share, '"96 %"', 0.97),
        wood=wood,
        wood_area_m2=area,
        soaked=part.take("staves", one_of("soaked", "dry"), '"soaked"') == "soaked",
        entry_pct_vol=part.take("entry_strength", read_strength, '"63 %"', None),
        settle_pct_vol=part.take("settle_strength", read_strength, '"60 %"', None),
    )
    part.done()
    return wish


def _area(part: Section, catalogue: Catalogue, capacity_l: float) -> Fact:
    if part.has("wood_area_m2"):
        return certain(part.take("wood_area_m2", positive, "0.45"))
    return catalogue.cask(capacity_l).wood_area_m2


def _bill(top: Section, catalogue: Catalogue) -> tuple[tuple[BillItem, ...], dict[str, Material]]:
    items = []
    for row in top.sections("bill"):
        name = row.take("material", text, '"rye"')
        analysis = row.mapping("analysis")
        material = _own_lot(name, _shares(analysis), catalogue) if analysis else catalogue.material(name)
        items.append(BillItem(material, row.take("share", parse.share, '"55 %"')))
        row.done()
    return tuple(items), {item.material.key: item.material for item in items}


def _own_lot(name: str, analysis: dict[str, Any], catalogue: Catalogue) -> Material:
    """A lot with its own analysis; what that leaves out is the named material's, or its namesake's.

    "rye from the lower field" is rye in all that its analysis does not say.
    """
    if "like" not in analysis:
        namesakes = [m for m in catalogue.materials.values() if _is_in(m.name, name) or _is_in(m.key, name)]
        if namesakes:
            analysis = {**analysis, "like": max(namesakes, key=lambda m: len(m.name)).key}
    return material_from_analysis(name, analysis, catalogue)


def _is_in(known: str, name: str) -> bool:
    """True where all words of a known name stand in another."""
    words = set(known.lower().replace("-", " ").split())
    return words <= set(name.lower().replace("-", " ").split())


def _shares(table: Mapping[str, Any]) -> dict[str, Any]:
    """An analysis with shares written as "13 %" turned into numbers; other texts stay."""
    out: dict[str, Any] = {}
    for key, value in table.items():
        if isinstance(value, Mapping):
            out[key] = _shares(value)
        elif isinstance(value, str) and value.strip().endswith("%"):
            out[key] = parse.share(value, what=key)
        else:
            out[key] = value
    return out


def _water_ratio(top: Section) -> float | None:
    part = top.section("mash")
    if part is None:
        return None
    ratio = part.take("water_l_per_kg", positive, "3.6", None)
    part.done()
    return ratio


def _site(top: Section) -> Site:
    part = top.section("site")
    if part is None:
        return Site(12.0, 0.0)
    site = Site(
        water_c=part.take("water_temperature", parse.temperature_c, '"11 C"', 12.0),
        altitude_m=part.take("altitude", parse.length_m, '"140 m"', 0.0),
        room_c=part.take("room_temperature", parse.temperature_c, '"16 C"', 18.0),
    )
    part.done()
    return site


def _cuts(top: Section, practice: Practice) -> Cuts:
    part = top.section("cuts") or Section("cuts", {})
    cuts = Cuts(
        strip_stop_pct_vol=part.take(
            "strip_stop", read_strength, '"3 %"', practice.strip_stop_pct_vol.likely
        ),
        charge_limit_pct_vol=part.take(
            "charge_strength_limit", read_strength, '"40 %"', practice.charge_limit_pct_vol.likely
        ),
        foreshots_share=part.take("foreshots", parse.share, '"0.5 %"', practice.foreshots_share.likely),
        heads_share=part.take("heads", parse.share, '"8 %"', practice.heads_share.likely),
        heart_end_pct_vol=part.take("heart_end", read_strength, '"62 %"', practice.heart_end_pct_vol.likely),
        tails_stop_pct_vol=part.take(
            "tails_stop", read_strength, '"10 %"', practice.tails_stop_pct_vol.likely
        ),
        jar_l=part.take("jar", parse.volume_l, '"1 L"', practice.jar_l.likely),
        site_rule=part.take("site_rule", text, '"licence 12, hazard review of May"', ""),
    )
    part.done()
    return cuts
