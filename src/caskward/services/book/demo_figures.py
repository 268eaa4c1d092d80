"""The figures of Low Marl Farm's invented year: batches, lots and prices.

Grain, wash, low wines and cuts are those of Caskward's own forecasts for its three starting points, rounded
as a maker reads them off and scaled to the batch (the test holds them against the forecast). Everything else
is invented: people, suppliers, prices, marks.
"""

from __future__ import annotations

from dataclasses import dataclass

SEED = 7
SITE = "Low Marl Farm (invented)"
MAKER, HAND = "Edda", "Jory"
EUR = "EUR"


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot received: its account, commodity, amount [kg, L or pieces], price [cents], from whom, when."""

    received: str
    account: str
    commodity: str
    amount: str
    minor: int
    supplier: str
    supplier_lot: str


@dataclass(frozen=True, slots=True)
class Batch:
    """One batch as it went.

    Args:
        name: its name. day: the day of the mash.
        cooked: material and kilograms over all cooks; after: what goes into the tub after them.
        tub_l: what the tub holds then, solids and all [L].
        wash_l, wash_pct: the liquid in it once it is dry [L at 20 °C, %vol].
        solids_l: the part of that which stays in the solids [L]; nothing where all is distilled.
        small: enzymes [L] and yeast [kg] by commodity.
        cask, cask_l, cask_minor: the cask, its volume [L], its price [cents]; wood: what it is of.
        fill_l, entry_pct: what goes in [L] and at which strength [%vol].
        heart_jars: how many jars of each run are heart. gravities: of the ferment, a day apart.
        low_wines_share: litres of low wines by litre of a strip's charge.
    """

    name: str
    day: str
    cooks: int
    cooked: dict[str, str]
    after: dict[str, str]
    small: dict[str, str]
    tub_l: str
    wash_l: str
    wash_pct: str
    solids_l: str
    strips: int
    cask: str
    cask_l: str
    cask_minor: int
    wood: str
    fill_l: str
    entry_pct: str
    gravities: tuple[str, ...]
    heart_jars: int = 7
    low_wines_share: float = 0.3245
    feints: str = "vessel/feints"
    closed: bool = True


RYE, OATS, MALT, WHEAT = "mass/rye", "mass/oats", "mass/malted barley", "mass/wheat"
PANELA, PEARS = "mass/panela", "mass/pears"
THIN, SWEET, PECTIN = "volume/thinning enzyme", "volume/sweetening enzyme", "volume/pectin enzyme"
YEAST, FRUIT_YEAST = "mass/distillers' dry yeast", "mass/wine and fruit yeast"
BOTTLE, CORK, LABEL = "piece/bottle 500 mL", "piece/cork", "piece/label"

_GRAIN = "the grain farm"
_MALTINGS, _STORE, _ORCHARD, _GLASS = "the maltings", "the yeast shop", "the orchard", "the glassworks"

LOTS = (
    Lot("2025-01-06", "lot/rye 25-1", RYE, "100", 6200, _GRAIN, "G-311"),
    Lot("2025-01-06", "lot/oats 25-1", OATS, "50", 2900, _GRAIN, "G-312"),
    Lot("2025-01-07", "lot/malt 25-1", MALT, "75", 8625, _MALTINGS, "M 4471"),
    Lot("2025-01-08", "lot/thinning 25-1", THIN, "0.5", 3400, _STORE, "T-90"),
    Lot("2025-01-08", "lot/sweetening 25-1", SWEET, "0.5", 3800, _STORE, "S-17"),
    Lot("2025-01-08", "lot/yeast 25-1", YEAST, "1", 4200, _STORE, "Y-2208"),
    Lot("2025-02-18", "lot/rye 25-2", RYE, "100", 6350, _GRAIN, "G-340"),
    Lot("2025-05-20", "lot/wheat 25-1", WHEAT, "75", 3375, _GRAIN, "G-402"),
    Lot("2025-05-20", "lot/panela 25-1", PANELA, "25", 6000, "the importer", "P-8"),
    Lot("2025-05-21", "lot/oats 25-2", OATS, "50", 2950, _GRAIN, "G-403"),
    Lot("2025-05-21", "lot/malt 25-2", MALT, "50", 5800, _MALTINGS, "M 4519"),
    Lot("2025-09-19", "lot/pears 25-1", PEARS, "450", 15750, _ORCHARD, "row 4 to 9"),
    Lot("2025-09-19", "lot/pectin 25-1", PECTIN, "0.1", 1900, _STORE, "E-3"),
    Lot("2025-09-19", "lot/fruit yeast 25-1", FRUIT_YEAST, "0.5", 2600, _STORE, "Y-2290"),
    Lot("2025-10-28", "lot/rye 25-3", RYE, "75", 4800, _GRAIN, "G-455"),
    Lot("2025-11-20", "goods/bottles", BOTTLE, "120", 13440, _GLASS, "B-500"),
    Lot("2025-11-20", "goods/corks", CORK, "200", 5600, _GLASS, "C-21"),
    Lot("2025-11-21", "goods/labels", LABEL, "120", 2280, "the printer", "rye, first label"),
)
"""Every lot of the year, in the order in which they came."""


def _rye(name: str, day: str, cask: str, **more: object) -> Batch:
    """A rye batch whose charge is helped by the feints of the one before: three fifths of the first one's."""
    figures: dict[str, object] = {
        "cooks": 3,
        "cooked": {RYE: "39.5", OATS: "14.5"},
        "after": {MALT: "18"},
        "small": {THIN: "0.025", SWEET: "0.036", YEAST: "0.145"},
        "tub_l": "289",
        "wash_l": "256",
        "wash_pct": "8.8",
        "solids_l": "52.5",
        "strips": 3,
        "cask_l": "25",
        "cask_minor": 12800,
        "wood": "new oak",
        "fill_l": "24.2",
        "entry_pct": "63.0",
        "gravities": ("1.064", "1.031", "1.008", "0.999", "0.998"),
    }
    return Batch(name=name, day=day, cask=cask, **(figures | more))  # type: ignore[arg-type]


BATCHES = (
    _rye(
        "rye 1",
        "2025-01-13",
        "cask/1",
        cooks=4,
        cooked={RYE: "64.5", OATS: "23.5"},
        after={MALT: "29.5"},
        small={THIN: "0.041", SWEET: "0.059", YEAST: "0.237"},
        tub_l="473",
        wash_l="418.5",
        solids_l="85.5",
        strips=4,
    ),
    _rye("rye 2", "2025-02-24", "cask/2", wash_pct="8.6"),
    _rye("rye 3", "2025-04-14", "cask/3", wash_pct="9.0"),
    _rye(
        "wheat 1",
        "2025-06-02",
        "cask/4",
        cooked={WHEAT: "47"},
        after={MALT: "11", PANELA: "14.5"},
        small={THIN: "0.0175", SWEET: "0.029", YEAST: "0.171"},
        tub_l="342",
        wash_l="329",
        wash_pct="8.7",
        solids_l="65",
        strips=3,
        cask_l="30",
        cask_minor=14900,
        fill_l="29.1",
        entry_pct="60.8",
        gravities=("1.062", "1.029", "1.006", "0.998", "0.997"),
    ),
    _rye(
        "pears 1",
        "2025-09-22",
        "cask/5",
        cooks=1,
        cooked={PEARS: "444.5"},
        after={},
        small={PECTIN: "0.014", FRUIT_YEAST: "0.13"},
        tub_l="424",
        wash_l="412",
        wash_pct="6.1",
        solids_l="0",
        strips=4,
        cask_l="20",
        cask_minor=7400,
        wood="seasoned oak",
        fill_l="19.4",
        entry_pct="56.7",
        gravities=("1.048", "1.027", "1.010", "1.001", "0.999"),
        heart_jars=8,
        low_wines_share=0.272,
        feints="vessel/pear feints",
    ),
    _rye("rye 4", "2025-11-03", "cask/6", closed=False),
)
"""The year's batches. The last is in its cask and still open."""

ROOMS_L = {
    "vessel/tub": "600",
    "vessel/still": "130",
    "vessel/low wines": "150",
    "vessel/feints": "60",
    "vessel/pear feints": "60",
    "vessel/spirit": "60",
    "vessel/reserve": "60",
    "vessel/vat": "60",
}

RUN_CHARGE_LPA = 15.46
"""Pure alcohol of the forecast's spirit run, whose jars these are [L]."""
RUN_CHARGE_PCT = 26.7
FORESHOTS = (0.1, 77.1)
JARS = (
    (1.6, 76.4),
    (2.0, 75.4),
    (2.0, 74.2),
    (2.0, 72.6),
    (2.0, 70.7),
    (2.0, 68.3),
    (2.0, 65.2),
    (1.0, 62.5),
    (2.0, 58.5),
)
"""Litres and strength [%vol] of each jar of that run: heads first, then the heart and beyond."""
COLLECTED_L = 27.2
"""All that run gave, tails to 10 %vol at the spout [L]."""
SPOUT_PER_CHARGE = 0.6
"""By how much the spout is stronger for each %vol of a stronger charge, near this one [%vol]."""
STRIP_LEFT_PCT, RUN_LEFT_PCT = 0.25, 0.8
"""Strength of what is left in the pot [%vol]."""
