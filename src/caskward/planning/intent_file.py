"""The maker's file becomes an intent: strict keys, the maker's own units, the catalogue's defaults."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any, Literal, cast

from caskward.catalogue.fact import Fact
from caskward.catalogue.kinds import Material, Practice, StillKind
from caskward.catalogue.load import Catalogue, material_from_analysis
from caskward.errors import NotToml, WrongShape
from caskward.planning.checks import checked
from caskward.planning.intent import (
    BillItem,
    CaskWish,
    CookPot,
    Cuts,
    EnzymeLabel,
    Gear,
    Intent,
    Prices,
    Site,
    SpiritStock,
    StillGear,
    Stock,
    Tub,
)
from caskward.planning.toml_section import Section, flag, one_of, text, whole
from caskward.properties import alcohol
from caskward.units import parse
from caskward.units.types import Dose, UnitSystem

_WORLDS, _FEWEST, _MOST = 2048, 256, 65536


def read_intent(source: str, catalogue: Catalogue) -> Intent:
    """Read a maker's file.

    Args:
        source: the file's text, TOML.
        catalogue: facts that stand in for what the maker does not say.

    Raises:
        InputError: one sentence about the first thing that cannot be used.
    """
    try:
        top = Section("", tomllib.loads(source))
    except tomllib.TOMLDecodeError as error:
        raise NotToml(str(error)) from None
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
        gear=_gear(top, catalogue),
        stock=_stock(top, catalogue, materials),
        enzymes=tuple(_enzyme(row, catalogue) for row in top.sections("enzyme")),
        yeast=catalogue.yeast(top.take("yeast", text, '"distillers"', "distillers")),
        site=_site(top),
        prices=_prices(top, catalogue, materials),
        cuts=_cuts(top, practice),
        worlds=_power_of_two(top.take("worlds", whole(_FEWEST, _MOST), str(_WORLDS), _WORLDS)),
        seed=top.take("seed", whole(0, 2**31 - 1), "1", 1),
        invented=top.take("invented", flag, "true", default=False),
    )
    top.done()
    return checked(intent)


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


def _strength(given: Any, *, what: str) -> float:
    """A strength in %vol at 20 °C, from whatever basis the maker wrote."""
    strength = parse.strength(given, what=what)
    if strength.basis == "us_proof_60f":
        return float(alcohol.pct_vol_20_from_proof(strength.value))
    if strength.basis == "pct_mass":
        return float(alcohol.pct_vol(strength.value / 100.0))
    return strength.value


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
        entry_pct_vol=part.take("entry_strength", _strength, '"63 %"', None),
        settle_pct_vol=part.take("settle_strength", _strength, '"60 %"', None),
    )
    part.done()
    return wish


def _area(part: Section, catalogue: Catalogue, capacity_l: float) -> Fact:
    if part.has("wood_area_m2"):
        return _certain(part.take("wood_area_m2", _positive, "0.45"))
    return catalogue.cask(capacity_l).wood_area_m2


def _certain(value: float) -> Fact:
    return Fact(value, value, value, "maker", "maker")


def _positive(given: Any, *, what: str) -> float:
    if not isinstance(given, int | float) or isinstance(given, bool) or not 0 < given < 1e6:
        raise WrongShape(what, given, "a number above 0, without quotes")
    return float(given)


def _bill(top: Section, catalogue: Catalogue) -> tuple[tuple[BillItem, ...], dict[str, Material]]:
    items = []
    for row in top.sections("bill"):
        name = row.take("material", text, '"rye"')
        analysis = row.mapping("analysis")
        material = material_from_analysis(name, _shares(analysis)) if analysis else catalogue.material(name)
        items.append(BillItem(material, row.take("share", parse.share, '"55 %"')))
        row.done()
    return tuple(items), {item.material.key: item.material for item in items}


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
    ratio = part.take("water_l_per_kg", _positive, "3.6", None)
    part.done()
    return ratio


def _gear(top: Section, catalogue: Catalogue) -> Gear:
    strip_still = _still(top, "strip_still", catalogue, None)
    straining = top.take("straining", text, '"bag"')
    return Gear(
        cook_pot=_cook_pot(top, catalogue),
        tub=_tub(top, catalogue),
        strip_still=strip_still,
        spirit_still=_still(top, "spirit_still", catalogue, strip_still),
        straining=catalogue.straining(straining),
    )


def _cook_pot(top: Section, catalogue: Catalogue) -> CookPot | None:
    part = top.section("cook_pot")
    if part is None:
        return None
    pot = CookPot(
        name=part.take("name", text, '"cook pot"', "cook pot"),
        kind=catalogue.pot(part.take("kind", text, '"gas-ring"')),
        working_volume_l=part.take("working_volume", parse.volume_l, '"100 L"'),
        power_kw=part.take("power", parse.power_kw, '"12 kW"'),
    )
    part.done()
    return pot


def _tub(top: Section, catalogue: Catalogue) -> Tub:
    part = top.section("tub", needed=True, example='volume = "500 L"')
    assert part is not None
    kind = catalogue.tub(part.take("kind", text, '"insulated"', "insulated"))
    volume_l = part.take("volume", parse.volume_l, '"500 L"')
    loss = part.take("heat_loss", parse.heat_loss_w_k, '"2.2 W/K"', None)
    tub = Tub(
        name=part.take("name", text, '"tub"', "tub"),
        kind=kind,
        volume_l=volume_l,
        headspace_share=part.take("headspace", parse.share, '"15 %"', kind.headspace_share.likely),
        heat_loss_w_k=_certain(loss) if loss is not None else kind.heat_loss_w_k(volume_l),
    )
    part.done()
    return tub


def _still(top: Section, key: str, catalogue: Catalogue, same: StillGear | None) -> StillGear:
    part = top.section(key, needed=same is None, example='charge_limit = "100 L"')
    if part is None:
        assert same is not None
        return same
    kind = catalogue.still(part.take("kind", text, '"pot-bare"', "pot-bare"))
    still = StillGear(
        name=part.take("name", text, '"still"', "still"),
        kind=kind,
        charge_limit_l=part.take("charge_limit", parse.volume_l, '"100 L"'),
        minimum_charge_l=part.take("minimum_charge", parse.volume_l, '"25 L"', 0.0),
        power_kw=part.take("power", parse.power_kw, '"6 kW"'),
        reflux_strip=_reflux(part, "head_reflux_strip", kind, "reflux_strip"),
        reflux_spirit=_reflux(part, "head_reflux", kind, "reflux_spirit"),
    )
    part.done()
    return still


def _reflux(part: Section, key: str, kind: StillKind, fact: str) -> Fact:
    own = part.take(key, parse.share, '"10 %"', None)
    return _certain(own) if own is not None else cast(Fact, getattr(kind, fact))


def _stock(top: Section, catalogue: Catalogue, materials: dict[str, Material]) -> Stock:
    part = top.section("stock")
    if part is None:
        return Stock()
    on_shelf = {
        _material_key(name, catalogue, materials): parse.mass_kg(given, what=f"stock.materials.{name}")
        for name, given in part.mapping("materials").items()
    }
    spirits = []
    for row in part.sections("spirit"):
        kind = row.take("kind", one_of("feints", "low wines"), '"feints"')
        volume_l = row.take("volume", parse.volume_l, '"8 L"')
        spirits.append(
            SpiritStock(
                cast(Literal["feints", "low wines"], kind),
                volume_l,
                row.take("strength", _strength, '"28 %"'),
            )
        )
        row.done()
    buys_more = part.take("buy_more", flag, "true", default=True)
    part.done()
    return Stock(on_shelf, tuple(spirits), buys_more)


def _material_key(name: str, catalogue: Catalogue, materials: dict[str, Material]) -> str:
    for key, material in materials.items():
        if name in (key, material.name):
            return key
    return catalogue.material(name).key


def _enzyme(row: Section, catalogue: Catalogue) -> EnzymeLabel:
    kind = catalogue.enzyme(row.take("kind", text, '"sweetening"')) if row.has("kind") else None
    does = row.take(
        "does", one_of("thin", "sweeten", "loosen", "fruit"), '"sweeten"', kind.does if kind else _NEEDED
    )
    if does is _NEEDED:
        row.take("does", one_of("thin", "sweeten", "loosen", "fruit"), '"sweeten"')
    label = EnzymeLabel(
        name=row.take("name", text, '"Sweetening enzyme, 1 L can"', kind.name if kind else does),
        does=does,
        window_c=_window(
            row, "window", parse.temperature_c, kind.window_c if kind else None, '["55 C", "65 C"]'
        ),
        window_ph=_window(row, "ph", _ph, kind.window_ph if kind else None, "[3.8, 5.0]"),
        dose=_dose(row, kind.dose.likely if kind else None, kind.dose_unit if kind else None),
        hold_h=row.take("hold", parse.duration_h, '"90 min"', kind.hold_min.likely / 60.0 if kind else 1.0),
        kind=kind,
    )
    row.done()
    return label


_NEEDED: Any = object()


def _dose(row: Section, value: float | None, unit: str | None) -> Dose:
    if value is None or unit is None:
        return row.take("dose", parse.dose, '"0.5 mL/kg"')
    return row.take("dose", parse.dose, '"0.5 mL/kg"', Dose(value, cast(Any, unit)))


def _ph(given: Any, *, what: str) -> float:
    if not isinstance(given, int | float) or isinstance(given, bool) or not 1.0 <= given <= 12.0:
        raise WrongShape(what, given, "a pH between 1 and 12, without quotes")
    return float(given)


def _window(row: Section, key: str, read: Any, fact: Fact | None, example: str) -> tuple[float, float]:
    if not row.has(key) and fact is not None:
        return fact.low, fact.high
    return row.take(key, lambda given, what: _edges(given, read, what, example), example)


def _edges(given: Any, read: Any, what: str, example: str) -> tuple[float, float]:
    if not isinstance(given, list) or len(given) != 2:
        raise WrongShape(what, given, f"two values, low and high, like {example}")
    low, high = (float(read(edge, what=what)) for edge in given)
    if not low < high:
        raise WrongShape(what, given, "low first, then high")
    return low, high


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


def _prices(top: Section, catalogue: Catalogue, materials: dict[str, Material]) -> Prices:
    part = top.section("prices")
    if part is None:
        return Prices("")
    per_kg = {
        _material_key(name, catalogue, materials): parse.money(given, what=f"prices.per_kg.{name}")
        for name, given in part.mapping("per_kg").items()
    }
    prices = Prices(
        currency=part.take("currency", text, '"EUR"'),
        per_kg=per_kg,
        energy_per_kwh=part.take("energy_per_kwh", parse.money, "0.30", None),
    )
    part.done()
    return prices


def _cuts(top: Section, practice: Practice) -> Cuts:
    part = top.section("cuts") or Section("cuts", {})
    cuts = Cuts(
        strip_stop_pct_vol=part.take("strip_stop", _strength, '"3 %"', practice.strip_stop_pct_vol.likely),
        charge_limit_pct_vol=part.take(
            "charge_strength_limit", _strength, '"40 %"', practice.charge_limit_pct_vol.likely
        ),
        foreshots_share=part.take("foreshots", parse.share, '"0.5 %"', practice.foreshots_share.likely),
        heads_share=part.take("heads", parse.share, '"8 %"', practice.heads_share.likely),
        heart_end_pct_vol=part.take("heart_end", _strength, '"62 %"', practice.heart_end_pct_vol.likely),
        tails_stop_pct_vol=part.take("tails_stop", _strength, '"10 %"', practice.tails_stop_pct_vol.likely),
        jar_l=part.take("jar", parse.volume_l, '"1 L"', practice.jar_l.likely),
    )
    part.done()
    return cuts
