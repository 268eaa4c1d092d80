"""How far Caskward lies from each published table: what the tests hold and the verification page shows.

One `Case` a table: where it is from, what unit its deviations have, what is allowed and why. The tests beside
this module and `docs/make_verification.py` take their numbers from the same functions.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from caskward.gauging.attenuation import Washed, wash_now
from caskward.gauging.balling import balling_original, wine_rule_pct_vol
from caskward.gauging.gravity import GravityReading
from caskward.gauging.instruments import instrument
from caskward.gauging.refraction import ethanol_refractive_index
from caskward.properties import alcohol, sugar
from tests.published.table import columns, records

Array = npt.NDArray[np.float64]

GALLON_L, POUND_KG = 3.785411784, 0.45359237
T60 = alcohol.TEMP_60F_C


@dataclass(frozen=True)
class Case:
    """One published table against Caskward: ours less theirs, and what is allowed."""

    group: str
    what: str
    source: str
    how: str
    unit: str
    tolerance: float
    why: str
    gaps: Callable[[], Array]

    @property
    def worst(self) -> float:
        """The largest deviation."""
        return float(np.abs(self.gaps()).max())


def held(case: Case) -> None:
    """Fail, naming the table, if any row lies farther away than is allowed."""
    gaps = np.abs(case.gaps())
    assert gaps.size
    said = f"{case.what}: {gaps.max():.3g} {case.unit} off, {case.tolerance:g} allowed"
    assert gaps.max() <= case.tolerance, said


# Density ------------------------------------------------------------------------------------------


def oiml_density() -> Array:
    """kg/m³."""
    strength, density_g_ml = columns("density_oiml_20c", "pct_vol", "density_g_ml")
    return alcohol.density(alcohol.mass_fraction(strength), 20.0) - 1000.0 * density_g_ml


def bureau_of_standards() -> Array:
    """kg/m³."""
    pct_mass, temp_c, density_g_ml = columns("density_nbs_1913", "pct_mass", "temp_c", "density_g_ml")
    return alcohol.density(pct_mass / 100.0, temp_c) - 1000.0 * density_g_ml


def lange_density() -> Array:
    """kg/m³."""
    pct_mass, temp_c, d_t_4 = columns("density_lange", "pct_mass", "temp_c", "d_t_4")
    return alcohol.density(pct_mass / 100.0, temp_c) - 999.97 * d_t_4


def fuel_alcohol() -> Array:
    """%mass."""
    pct_mass, temp_c, density_g_ml = columns("density_fuel_alcohol", "pct_mass", "temp_c", "density_g_ml")
    return 100.0 * alcohol.mass_fraction_from_density(1000.0 * density_g_ml, temp_c) - pct_mass


# Strength -----------------------------------------------------------------------------------------


def pharmacopoeia_volume() -> Array:
    """%vol."""
    pct_vol_60f, pct_mass = columns("strength_usp_29", "pct_vol_60f", "pct_mass")
    return alcohol.proof_60f(alcohol.pct_vol(pct_mass / 100.0)) / 2.0 - pct_vol_60f


def pharmacopoeia_mass() -> Array:
    """%mass."""
    pct_vol_60f, pct_mass = columns("strength_usp_29", "pct_vol_60f", "pct_mass")
    return 100.0 * alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(2.0 * pct_vol_60f)) - pct_mass


def pharmacopoeia_gravity() -> Array:
    """Specific gravity in air, at 25 and at 15.56 °C."""
    pct_mass, at_25, at_60f = columns("strength_usp_29", "pct_mass", "sg_air_25_25", "sg_air_60f_60f")
    gaps = []
    for temp_c, printed in ((25.0, at_25), (T60, at_60f)):
        spirit = alcohol.density_vacuum_to_air(alcohol.density(pct_mass / 100.0, temp_c))
        gaps.append(spirit / alcohol.density_vacuum_to_air(alcohol.density(0.0, temp_c)) - printed)
    return np.concatenate(gaps)


def lange_strength() -> Array:
    """%vol."""
    pct_mass, pct_vol_60f = columns("strength_lange_60f", "pct_mass", "pct_vol_60f")
    return alcohol.proof_60f(alcohol.pct_vol(pct_mass / 100.0)) / 2.0 - pct_vol_60f


def tralles_gravity(wet: bool = False) -> Array:
    """Specific gravity at 60 °F up to 95 %vol, or the rows above, whose alcohol still held water."""
    pct_vol_60f, sg = columns("gravity_tralles_1811", "pct_vol_60f", "sg_60f")
    fraction = alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(2.0 * pct_vol_60f))
    gaps = alcohol.density(fraction, T60) / 999.972 - sg
    return gaps[(pct_vol_60f > 95.0) == wet]


# Instruments --------------------------------------------------------------------------------------


def tralles_indication() -> Array:
    """%vol on the scale, for every row that is not below the scale's zero."""
    true, temp_f, shown = columns("indication_tralles", "true_pct_vol_60f", "temp_f", "indicated_pct_vol_60f")
    seen = shown >= 0.0
    strength, temp_c = alcohol.pct_vol_20_from_proof(2.0 * true[seen]), (temp_f[seen] - 32.0) / 1.8
    return alcohol.indicated_strength(strength, temp_c, T60) - shown[seen]


TABLE_1 = ((193.0, 72.0, 190.2), (192.0, 72.0, 189.1), (192.0, 73.0, 188.9))


def manual_table_1() -> Array:
    """Proof at 60 °F behind a glass hydrometer's reading."""
    reading, temp_f, printed = np.array(TABLE_1).T
    strength = alcohol.true_strength(reading / 2.0, (temp_f - 32.0) / 1.8, T60)
    return alcohol.proof_60f(strength) - printed


# Quantities ---------------------------------------------------------------------------------------


def spirit_60f(proof: float) -> float:
    """Density at 60 °F [kg/m³]."""
    return float(alcohol.density(alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(proof)), T60))


def manual_table_4() -> Array:
    """Parts in 1,000: gallons per pound at 190 proof, proof gallons per pound at 190 and 200."""
    in_air = [alcohol.density_vacuum_to_air(spirit_60f(proof)) for proof in (190.0, 200.0)]
    pounds = [density / 1000.0 * GALLON_L / POUND_KG for density in in_air]
    ours = np.array([1.0 / pounds[0], 1.9 / pounds[0], 2.0 / pounds[1]])
    return 1000.0 * (ours / np.array([0.14718, 0.27964, 0.30258]) - 1.0)


def manual_table_6() -> Array:
    """Parts of water in 100 parts of spirit at 60 °F."""
    gaps = []
    for proof, printed in ((191.0, 5.59), (188.0, 7.36), (112.0, 47.75), (100.0, 53.73)):
        fraction = alcohol.mass_fraction(alcohol.pct_vol_20_from_proof(proof))
        gaps.append(100.0 * spirit_60f(proof) * (1.0 - fraction) / alcohol.density(0.0, T60) - printed)
    return np.array(gaps)


def dilution(table: str) -> Array:
    """mL (by volume) or g (by mass) of spirit and of water for 1,000."""
    rows = [row for row in records("dilution_ussr_xi") if row["table"] == table]
    names = ("from_pct_vol", "to_pct_vol", "spirit", "water")
    start, goal, spirit, water = (np.array([float(row[name]) for row in rows]) for name in names)
    if table == "mass":
        share = 1000.0 * alcohol.mass_fraction(goal) / alcohol.mass_fraction(start)
        return np.concatenate([share - spirit, 1000.0 - share - water])
    made = alcohol.reduce(1.0, start, goal)
    return np.concatenate([1000.0 / made.final_l - spirit, 1000.0 * made.water_l / made.final_l - water])


# Sugar --------------------------------------------------------------------------------------------


def sucrose_density() -> Array:
    """kg/m³, on the rows that did not shape the formula."""
    rows = [row for row in records("sucrose_density_crc") if row["fitted"] != "yes"]
    brix, density = (np.array([float(row[name]) for row in rows]) for name in ("brix", "density_kg_m3"))
    return sugar.density(brix) - density


def sucrose_gallon() -> Array:
    """Pounds in air of a US gallon."""
    brix, pounds = columns("sucrose_gallon_c440", "brix", "lb_per_us_gallon")
    return alcohol.density_vacuum_to_air(sugar.density(brix)) / 1000.0 * GALLON_L / POUND_KG - pounds


def sucrose_index() -> Array:
    """Refractive index."""
    brix, index = columns("sucrose_refraction_1974", "brix", "index")
    return sugar.refractive_index(brix) - index


def refractometer_temperature() -> Array:
    """°Brix to add."""
    names = ("indicated_brix", "temp_c", "correction_brix")
    brix, temp_c, correction = columns("refractometer_temperature", *names)
    return sugar.refractometer_correction(brix, temp_c) - correction


def ethanol_index() -> Array:
    """Refractive index, on the rows that did not shape the formula."""
    rows = [row for row in records("refraction_ethanol_crc") if row["fitted"] != "yes"]
    ours = [ethanol_refractive_index(float(row["pct_mass"]) / 100.0) for row in rows]
    return np.array(ours) - np.array([float(row["index"]) for row in rows])


def by_balling(original_plato: float, apparent_plato: float) -> Washed:
    """What is in a wash by its original and its present gravity, both free of instrument error."""
    exact, clock = instrument("density-meter"), instrument("thermometer-fine")
    original = GravityReading(original_plato, "plato", 20.0, instrument("saccharometer"), clock)
    now = GravityReading(float(sugar.density(apparent_plato)), "density_kg_m3", 20.0, exact, clock)
    return wash_now(original=original, gravity=now)


ATTENUATIONS = (0.65, 0.75, 0.85)


def balling_tabulated() -> Array:
    """% of the alcohol, at three attenuations."""
    original, factor = columns("balling_factors", "original_plato", "factor")
    gaps = []
    for gone in ATTENUATIONS:
        for plato, per_plato in zip(original, factor, strict=True):
            found = by_balling(float(plato), float(plato * (1.0 - gone))).pct_mass.value
            gaps.append(100.0 * (found / (per_plato * plato * gone) - 1.0))
    return np.array(gaps)


def graham_example() -> float:
    """Original gravity of the worked example: spirit indication 8.37, extract gravity 1.01418.

    Both are made up to the beer's volume at 60 °F, so grams of each in a litre follow from either gravity.
    """
    fraction = float(alcohol.mass_fraction_from_density((1.0 - 0.00837) * alcohol.density(0.0, T60), T60))
    ethanol_g_l = fraction * float(alcohol.density(fraction, T60))
    plato = float(sugar.plato_from_sg(1.01418))
    extract_g_l = float(sugar.sugar_g_l(plato))
    grams_l = 1000.0 * (1.01418 - 0.00837) * 0.99904
    return float(
        sugar.sg_from_plato(balling_original(100 * ethanol_g_l / grams_l, 100 * extract_g_l / grams_l))
    )


def degrees_per_pct_vol() -> float:
    """Degrees of gravity lost for each %vol, in a wash of 1.060 that ferments to 1.008."""
    original, final = (float(sugar.plato_from_sg(sg)) for sg in (1.060, 1.008))
    return 52.0 / by_balling(original, final).pct_vol.value


def wine_rule() -> Array:
    """%vol."""
    sugar_g_l, printed = columns("must_potential_oiv", "must_sugar_g_l", "potential_pct_vol")
    return np.array([wine_rule_pct_vol(value) for value in sugar_g_l]) - printed


# The cases ----------------------------------------------------------------------------------------

USE = "a good alcoholometer tells 0.05 to 0.1 %vol, and tables of 1913 and 1975 lie so far apart"
PROOF = "half of a proof gauge's step of 0.1 proof"
DENSITY, STRENGTH, INSTRUMENT, QUANTITY, SUGAR = (
    "Density of ethanol and water",
    "Strength",
    "Glass instruments",
    "Quantities and dilution",
    "Sugar and fermentation",
)

OIML = Case(
    DENSITY,
    "Density at 20 °C",
    "OIML R 22 (1975), tables",
    "from memory",
    "kg/m³",
    0.01,
    "half the last digit, and as much for the strength's; proves the typing of the coefficients only",
    oiml_density,
)
NBS_1913 = Case(
    DENSITY,
    "Density, 10 to 40 °C",
    "Osborne, McKelvy & Bearce, Bulletin of the Bureau of Standards 9 (1913)",
    "read",
    "kg/m³",
    0.15,
    USE,
    bureau_of_standards,
)
LANGE_DENSITY = Case(
    DENSITY,
    "Density d t/4",
    "Lange's Handbook of Chemistry, 10th ed.",
    "read",
    "kg/m³",
    0.15,
    USE,
    lange_density,
)
FUEL = Case(
    DENSITY,
    "Strength from density near 23 °C",
    "Brazilian fuel-alcohol field table (INPM)",
    "read",
    "%mass",
    0.15,
    "printed to 0.1, and the table itself reads 0.1 to 0.15 off",
    fuel_alcohol,
)
USP_VOLUME = Case(
    STRENGTH,
    "%vol at 60 °F from %mass",
    "USP 29-NF 24, alcoholometric table",
    "read",
    "%vol",
    0.05,
    PROOF,
    pharmacopoeia_volume,
)
USP_MASS = Case(
    STRENGTH,
    "%mass from %vol at 60 °F",
    "USP 29-NF 24, alcoholometric table",
    "read",
    "%mass",
    0.05,
    PROOF,
    pharmacopoeia_mass,
)
USP_GRAVITY = Case(
    STRENGTH,
    "Specific gravity in air, 25 and 15.56 °C",
    "USP 29-NF 24, alcoholometric table",
    "read",
    "-",
    0.0001,
    "one printed digit",
    pharmacopoeia_gravity,
)
LANGE_STRENGTH = Case(
    STRENGTH,
    "%vol at 60 °F from %mass",
    "Lange's Handbook of Chemistry, 10th ed.",
    "read",
    "%vol",
    0.10,
    "0.05 for printing to 0.1, and 0.05 of use",
    lange_strength,
)
TRALLES_GRAVITY = Case(
    STRENGTH,
    "Specific gravity at 60 °F, to 95 %vol",
    "Tralles (1811), in Ure's Dictionary",
    "read",
    "-",
    0.0005,
    "the best of 1811, independent of every later table",
    tralles_gravity,
)
TRALLES_INDICATION = Case(
    INSTRUMENT,
    "What a glass alcoholometer shows, 35 to 100 °F",
    "Tralles' temperature table, in an encyclopaedia of the 1870s",
    "read",
    "%vol",
    0.2,
    "the table's own scatter of 0.1 either way, and rounding",
    tralles_indication,
)
TABLE_ONE = Case(
    INSTRUMENT,
    "True proof behind a reading",
    "27 CFR 30.23, Table 1",
    "read",
    "proof",
    0.1,
    "the law's own step",
    manual_table_1,
)
TABLE_FOUR = Case(
    QUANTITY,
    "Gallons and proof gallons per pound",
    "27 CFR 30.64, Table 4",
    "read",
    "in 1,000",
    1 / 3,
    "a third of a part in 1,000: the manual is of another age than the formula",
    manual_table_4,
)
TABLE_SIX = Case(
    QUANTITY,
    "Parts of water in 100 parts of spirit",
    "27 CFR 186.66 (now 30.66), Table 6",
    "read",
    "parts",
    0.05,
    "half a part in 1,000",
    manual_table_6,
)
GF_TENTHS = Case(
    QUANTITY,
    "Dilution by volume, tables in tenths",
    "State Pharmacopoeia of the USSR, 11th ed.",
    "read",
    "mL in 1,000",
    0.2,
    "two printed steps; the use is 1 mL in 1,000",
    lambda: dilution("tenths"),
)
GF_WHOLE = Case(
    QUANTITY,
    "Dilution by volume, table 4",
    "State Pharmacopoeia of the USSR, 11th ed.",
    "read",
    "mL in 1,000",
    1.0,
    "printed to 1 mL, which is also the use",
    lambda: dilution("4"),
)
GF_MASS = Case(
    QUANTITY,
    "Dilution by mass",
    "State Pharmacopoeia of the USSR, 11th ed.",
    "read",
    "g in 1,000",
    1.0,
    "whole grams, and half of another for the strength's own rounding",
    lambda: dilution("mass"),
)
SUCROSE = Case(
    SUGAR,
    "Density of sucrose solutions, 20 °C",
    "CRC Handbook (rows not used for the fit)",
    "read",
    "kg/m³",
    0.15,
    "0.04 °Brix, a fifth of a good hydrometer's division",
    sucrose_density,
)
GALLON = Case(
    SUGAR,
    "Weight of a gallon of sucrose solution",
    "NBS Circular C440 (1942), via Chen",
    "read",
    "lb",
    0.001,
    "one printed digit",
    sucrose_gallon,
)
INDEX_1974 = Case(
    SUGAR,
    "Refractive index of sucrose solutions",
    "ICUMSA (1974), in OIV Oeno 21/2004",
    "read",
    "-",
    0.00003,
    "0.02 °Brix",
    sucrose_index,
)
PRISM = Case(
    SUGAR,
    "Refractometer's correction for temperature",
    "International table of 1936, in a national standard",
    "read",
    "°Brix",
    0.05,
    "half of a fine scale's step",
    refractometer_temperature,
)
ETHANOL_INDEX = Case(
    SUGAR,
    "Refractive index of ethanol and water",
    "CRC Handbook, 102nd ed. (rows not used for the fit)",
    "read",
    "-",
    0.0001,
    "one printed digit, 0.07 °Brix",
    ethanol_index,
)
BALLING = Case(
    SUGAR,
    "Alcohol by our wash against Balling's tabulated factors",
    "Balling, compiled by Eckhardt (1995/2000)",
    "read",
    "% of the alcohol",
    1.5,
    "0.1 %vol at 7 %vol; the closed formula itself lies up to 2.4 % away",
    balling_tabulated,
)
WINE_RULE = Case(
    SUGAR,
    "Potential strength at 16.83 g/L",
    "OIV Oeno 21/2004, table II",
    "read",
    "%vol",
    0.01,
    "printed to 0.01, from sugar that is not rounded",
    wine_rule,
)

CASES = (
    OIML,
    NBS_1913,
    LANGE_DENSITY,
    FUEL,
    USP_VOLUME,
    USP_MASS,
    USP_GRAVITY,
    LANGE_STRENGTH,
    TRALLES_GRAVITY,
    TRALLES_INDICATION,
    TABLE_ONE,
    TABLE_FOUR,
    TABLE_SIX,
    GF_TENTHS,
    GF_WHOLE,
    GF_MASS,
    SUCROSE,
    GALLON,
    INDEX_1974,
    PRISM,
    ETHANOL_INDEX,
    BALLING,
    WINE_RULE,
)

NOT_MET: tuple[tuple[str, str, str], ...] = (
    (
        "Tralles (1811), 96 to 100 %vol",
        "0.0004 to 0.0009 in gravity",
        "his 'absolute' alcohol still held water; no modern table meets these rows",
    ),
    (
        "Tralles' temperature table, water below 60 °F",
        "indications of -0.2 to -0.5",
        "cold water is heavier than the scale's zero: there is no such mixture, and Caskward refuses",
    ),
    (
        "27 CFR 186.66, reducing 191 to 188 proof",
        "1.84 printed, 1.89 from its own figures",
        "the manual rounds 95.5/94.0 to 1.01 on the way",
    ),
    (
        "27 CFR 186.66, reducing 112 to 100 proof",
        "12.42 printed, 12.43 from its own figures",
        "the manual cuts 12.4276 where it should round",
    ),
    (
        "OIV table of musts, sugar in g/L",
        "22 to 28 g/L under sucrose of the same °Brix",
        "a grape must holds solids that are no sugar; the table is of musts, the formula of sucrose",
    ),
    (
        "Balling's factors against his closed formula",
        "0.4 % (6 °P) to 2.4 % (30 °P) lower",
        "the two are not the same relation; Caskward solves for density instead and lies within 1.5 %",
    ),
    (
        "Graham, Hofmann & Redwood (1852), worked example of an original gravity",
        "1.0499 printed, 1.0512 by Balling",
        "a table of malt worts of its day, with other sugars and less yield of alcohol",
    ),
    (
        "Spirits Act 1880, presumed yield from attenuation",
        "8.76 degrees for each %vol",
        "a least yield for the revenue, not a measurement; a sound wash needs about 7.6",
    ),
    (
        "Scale of refractive index of 1936, above 30 °Brix",
        "up to 0.0002 under the scale of 1974",
        "an older scale, superseded",
    ),
)
"""Published rows that no honest model meets: the rows, how far, and why. Tests keep them in sight."""
