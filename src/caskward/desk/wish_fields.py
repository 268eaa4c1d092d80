"""The form of a new batch: its fields in a maker's words, group by group, with what each offers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from caskward.desk.wish_pages import WishField, WishGroup, WishRow, WishRows
from caskward.services import wish_form
from caskward.services.wish_choices import Choice, Choices
from caskward.units.types import UnitSystem

LABELS: Final = {
    "capacity": "How large the cask is",
    "wood": "Its wood",
    "staves": "When it is filled, its staves are",
    "fill": "How full",
    "strength_is": "Strength is meant",
    "strength": "Strength",
    "sure": "How sure it should fill",
    "ratio": "Litres of water to the kilogram",
    "yeast": "Yeast",
    "straining": "Solids",
    "ferments": "Ferments you are willing to run",
    "pot_kind": "Cook pot, heated by",
    "pot_volume": "It works with",
    "pot_power": "Its heat",
    "tub_kind": "Tub",
    "tub_volume": "To the brim it holds",
    "tub_free": "Left free for foam",
    "still_kind": "Still",
    "still_most": "Charged with at the most",
    "still_least": "Left in it at the least",
    "still_power": "Heat of the still",
    "still_heat": "Heated by",
    "buy_more": "What is not in store",
    "water_temp": "Cold water comes at",
    "room_temp": "The room is at",
    "altitude": "Height above the sea",
    "title": "What the plan is called",
    "site": "Place",
    "show": "Answers in",
}
ROW_LABELS: Final = {
    ("bill", "material"): "Material",
    ("bill", "share"): "Share",
    ("enzyme", "name"): "Product",
    ("enzyme", "does"): "What it does",
    ("enzyme", "window"): "Works from ... to",
    ("enzyme", "ph"): "pH from ... to",
    ("enzyme", "dose"): "Dose",
    ("enzyme", "hold"): "Hold",
    ("spirit", "kind"): "What",
    ("spirit", "volume"): "How much",
    ("spirit", "strength"): "Strength",
    ("store", "material"): "Material",
    ("store", "amount"): "How much",
}
_EXAMPLES: Final[Mapping[UnitSystem, Mapping[str, str]]] = {
    "metric": {
        "capacity": "25 L", "fill": "97 %", "strength": "60 %", "sure": "8 in 10", "ratio": "3.4",
        "ferments": "1", "pot_volume": "120 L", "pot_power": "22 kW", "tub_volume": "600 L",
        "tub_free": "15 %",
        "still_most": "110 L", "still_least": "25 L", "still_power": "9 kW", "water_temp": "11 C",
        "room_temp": "18 C", "altitude": "140 m", "title": "Rye for the small cask", "site": "the farm",
        "share": "55 %", "material": "rye", "name": "Thinning enzyme", "window": "60 C to 75 C",
        "ph": "5.3 to 6.5", "dose": "0.35 mL/kg", "hold": "90 min", "volume": "8 L", "amount": "25 kg",
    },
    "us": {
        "capacity": "7 gal", "fill": "97 %", "strength": "120 proof", "sure": "8 in 10", "ratio": "3.4",
        "ferments": "1", "pot_volume": "32 gal", "pot_power": "75000 BTU/h", "tub_volume": "160 gal",
        "tub_free": "15 %", "still_most": "29 gal", "still_least": "7 gal", "still_power": "9 kW",
        "water_temp": "52 F", "room_temp": "64 F", "altitude": "450 ft", "title": "Rye for the small cask",
        "site": "the farm", "share": "55 %", "material": "rye", "name": "Thinning enzyme",
        "window": "140 F to 167 F", "ph": "5.3 to 6.5", "dose": "0.35 mL/kg", "hold": "90 min",
        "volume": "2 gal", "amount": "55 lb",
    },
}  # fmt: skip
_STRENGTH_IS: Final = (("settle_strength", "once it has settled"), ("entry_strength", "as it goes in"))
_STAVES: Final = (("soaked", "soaked tight"), ("dry", "dry"))
_SURE: Final = tuple((f"{n} in 10", f"{n} in 10") for n in range(5, 10))
_BUY: Final = (("yes", "is bought"), ("no", "is not bought: only what is there"))
_SHOW: Final = (("metric", "litres, kilograms, °C, %vol"), ("us", "gallons, pounds, °F, proof"))
_DOES: Final = (
    ("thin", "thins"), ("sweeten", "sweetens"), ("loosen", "loosens gums"), ("fruit", "opens fruit"),
)  # fmt: skip
_SPIRITS: Final = (("feints", "feints"), ("low wines", "low wines"))
_OFFERS: Final[Mapping[tuple[str, str], tuple[Choice, ...]]] = {
    ("enzyme", "does"): _DOES,
    ("spirit", "kind"): _SPIRITS,
}
ADDS: Final = {"bill": "One more material", "enzyme": "One more enzyme", "spirit": "Feints or low wines",
               "store": "One more material in store"}  # fmt: skip
_LEFT: Final = {
    "wood": "choose", "staves": "soaked tight, as usual", "buy_more": "is bought, as usual",
    "sure": "8 in 10, as usual", "show": "as this browser has it", "straining": "choose",
}  # fmt: skip
_CATALOGUE: Final = "as usual"


def groups(
    fields: Mapping[str, str], offer: Choices, system: UnitSystem, wrong: str = ""
) -> tuple[WishGroup, ...]:
    """Every group of the form. wrong: the field that the refusal is about."""

    def field(name: str, options: tuple[Choice, ...] = (), *, empty: bool = True) -> WishField:
        return _field(name, LABELS[name], fields.get(name, ""), options, system, wrong, empty)

    cask = (
        field("capacity"), field("wood", offer.woods), field("staves", _STAVES),
        field("fill"), field("strength"), field("strength_is", _STRENGTH_IS, empty=False),
        field("sure", _SURE),
    )  # fmt: skip
    mash = (
        field("ratio"),
        field("ferments"),
        field("yeast", offer.yeasts),
        field("straining", offer.strainings),
    )
    gear = (
        field("pot_kind", offer.pots), field("pot_volume"), field("pot_power"),
        field("tub_kind", offer.tubs), field("tub_volume"), field("tub_free"),
        field("still_kind", offer.stills), field("still_most"), field("still_least"),
        field("still_power"), field("still_heat", offer.pots),
    )  # fmt: skip
    place = (
        field("water_temp"), field("room_temp"), field("altitude"), field("title"), field("site"),
        field("show", _SHOW),
    )  # fmt: skip
    more = {kind: _rows(kind, fields, system, wrong) for kind in wish_form.ROWS}
    return (
        WishGroup("cask", "The cask", cask, (), always=True),
        WishGroup("bill", "What goes in, by share", (), (more["bill"],), always=True),
        WishGroup("mash", "Mash and yeast", mash, (more["enzyme"],), open=_is_in(wrong, mash, ("enzyme",))),
        WishGroup("gear", "Gear", gear, (), open=_is_in(wrong, gear, ()) or not fields.get("still_most")),
        WishGroup(
            "stock", "From Stores, for it", (field("buy_more", _BUY),), (more["spirit"], more["store"]),
            open=_is_in(wrong, (), ("spirit", "store", "buy_more")),
        ),
        WishGroup("place", "Place, names, units", place, (), open=_is_in(wrong, place, ())),
    )  # fmt: skip


def _is_in(wrong: str, fields: tuple[WishField, ...], rows: tuple[str, ...]) -> bool:
    return bool(wrong) and (wrong in [one.name for one in fields] or wrong.partition("-")[0] in rows)


def empty_row(name: str, number: int, system: UnitSystem = "metric") -> WishRow:
    """A row to type in."""
    return _row(name, number, {}, system, "")


def _rows(name: str, fields: Mapping[str, str], system: UnitSystem, wrong: str) -> WishRows:
    numbers = wish_form.rows_in(fields, name)
    rows = tuple(_row(name, number, fields, system, wrong) for number in numbers)
    return WishRows(name, ADDS[name], rows, (max(numbers) + 1) if numbers else 0)


def _row(name: str, number: int, fields: Mapping[str, str], system: UnitSystem, wrong: str) -> WishRow:
    made = []
    for column in wish_form.ROWS[name].columns:
        key = f"{name}-{number}-{column}"
        offer = _OFFERS.get((name, column), ())
        made.append(
            _field(key, ROW_LABELS[name, column], fields.get(key, ""), offer, system, wrong, not offer)
        )
    return WishRow(f"{name}-{number}", tuple(made))


def _field(
    name: str,
    label: str,
    value: str,
    options: tuple[Choice, ...],
    system: UnitSystem,
    wrong: str,
    empty: bool,
) -> WishField:
    column = name.rpartition("-")[2]
    if options and value and value not in dict(options):
        options = ((value, value), *options)
    if options and empty and (not value or name not in _LEFT):
        options = (("", _LEFT.get(name, _CATALOGUE)), *options)
    return WishField(
        name=name,
        label=label,
        value=value,
        options=options,
        example=_EXAMPLES[system].get(column, ""),
        offered="materials" if column == "material" else "",
        wrong=name == wrong,
    )
