"""Options that every still command shares, and the still they describe."""

from __future__ import annotations

from typing import TYPE_CHECKING

from caskward.cli.answers import system_for
from caskward.cli.loose import JSON, SHOW, Given, Option
from caskward.errors import NotUnderstood, UnclearValue

if TYPE_CHECKING:
    from caskward.services.still_gear import Gear

STYLE = Option("--style", "S", "What was fermented: grain, fruit, sugar, molasses or agave; otherwise grain.")
GEAR = (
    Option("--kind", "KEY", "The still: pot-bare, pot-insulated or pot-lyne-arm; otherwise pot-bare."),
    Option("--power", "P", 'Heat of its burner or element: "6 kW".'),
    Option(
        "--limit",
        "V",
        'Most it is charged with: "110 L"; a bare number is litres, unless the rest is in gallons.',
    ),
    Option("--working-volume", "V", "Most the pot holds while it boils."),
    Option("--brimful", "V", "What the pot holds to the brim; for foam."),
    Option("--element", "", "The heat comes from an element inside the pot."),
    Option("--least", "V", "Litres that cover the element or a thermometer."),
    Option(
        "--altitude",
        "H",
        'Height above the sea: "140 m", "1200 ft"; a bare number is metres, unless the rest is in gallons.',
    ),
    Option("--plates", "N", "Equilibrium stages over the pot: real plates times their efficiency."),
    Option("--reflux-ratio", "R", "Parts that the condenser sends back for each drawn off."),
    Option("--dephlegmator", "S", 'Share of the vapour that a partial condenser sends back: "20 %".'),
    Option("--hold-up", "V", "What stands between pot and spout while it runs: condenser, pipe, parrot."),
    Option("--learned", "FILE", "What its own runs taught, as still learn --save wrote it."),
    Option("--strongest", "S", "Strongest charge by your licensed site's own rule; goes with --site-rule."),
    Option("--site-rule", "WORDS", "The rule that lets a charge be stronger than 40 %vol; it is recorded."),
)
COMMON = (STYLE, *GEAR, SHOW, JSON)
_NO_AMOUNTS = ("--site-rule", "--learned", "--jars", "--lab", "--csv", "--svg", "--pdf")
"""Options whose values say nothing about the maker's units."""


def gear_of(given: Given) -> Gear:
    """The still that the options describe."""
    from pathlib import Path

    from caskward.services.still_gear import Gear
    from caskward.services.still_saved import learned_file
    from caskward.services.still_typed import strength_pct_vol
    from caskward.units import parse

    def litres(name: str, what: str) -> float | None:
        text = _with_unit(given, name, what, "gal", "L")
        return parse.volume_l(text, what=what) if text else None

    power, share = given.text("--power"), given.text("--dephlegmator")
    height = _with_unit(given, "--altitude", "the altitude", "ft", "m")
    strongest = given.text("--strongest")
    learned = learned_file(Path(given.text("--learned"))) if given.text("--learned") else None
    dead = learned.hold_up_l.likely if learned is not None and learned.hold_up_l is not None else 0.0
    return Gear(
        kind=given.text("--kind") or (learned.kind if learned is not None else "pot-bare"),
        power_kw=parse.power_kw(power, what="the still's power") if power else 0.0,
        limit_l=litres("--limit", "the charge limit"),
        working_l=litres("--working-volume", "the working volume"),
        brimful_l=litres("--brimful", "the pot's brimful volume"),
        least_l=litres("--least", "what covers the element") or 0.0,
        element=given.flag("--element"),
        altitude_m=parse.length_m(height, what="the altitude") if height else 0.0,
        plates=number(given, "--plates", "a number of plates"),
        reflux_ratio=number(given, "--reflux-ratio", "a reflux ratio"),
        dephlegmator_share=parse.share(share, what="the dephlegmator's share") if share else 0.0,
        hold_up_l=litres("--hold-up", "the hold-up") or dead,
        strongest_pct_vol=strength_pct_vol(strongest, "the strongest charge") if strongest else None,
        site_rule=given.text("--site-rule"),
        learned=learned,
    )


def _with_unit(given: Given, name: str, what: str, *units: str) -> str:
    """An option's value; a bare number beside gallons and proof is asked back.

    Read as litres, five of them would cover an element that needs five gallons.

    Raises:
        UnclearValue: a number alone where the rest is in US units.
    """
    text = given.text(name)
    bare = text.replace(",", ".").replace(".", "", 1).strip().isdecimal()
    if bare and system_for("", given.everything(*_NO_AMOUNTS)) == "us":
        raise UnclearValue(what, text, tuple(f"{text} {unit}" for unit in units))
    return text


def number(given: Given, name: str, what: str) -> float:
    """The plain number that an option gives; 0 if it was not given."""
    text = given.text(name)
    try:
        value = float((text or "0").replace(",", "."))
    except ValueError:
        raise NotUnderstood(what, text, "3 or 2.5") from None
    if not 0.0 <= value < float("inf"):
        raise NotUnderstood(what, text, "3 or 2.5")
    return value
