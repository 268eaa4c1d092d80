"""`caskward gauge`: what a spirit or a wash really is."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from typing import TYPE_CHECKING, Annotated

import typer

from caskward.cli.answers import SHOW_HELP, as_text, loose_words, system_for
from caskward.cli.layout import table
from caskward.cli.terminal import put, put_json, terminal

if TYPE_CHECKING:
    from caskward.services.gauging import GaugeAnswer, LabelAnswer, WashAnswer
    from caskward.units.types import UnitSystem

_NONE: list[str] = []
_UNITS = {"kg/m3": "kg/m³", "Brix": "°Brix"}
_GROUPS = (
    ("Of a spirit, for --meter", ("alcoholmeter",)),
    ("Of a spirit or a wash, for --meter", ("hydrometer", "density meter")),
    ("Of a wash, for --meter", ("refractometer",)),
    ("Thermometers, for --thermometer", ("thermometer",)),
    ("Scales and vessels, for --measured-by", ("scale", "volume")),
)


def gauge(  # noqa: PLR0913 - one parameter is one option
    *,
    context: typer.Context,
    words: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="WORDS...",
            help="What you read: 47 % at 28C, 126.4 proof 82F, 0.9312 at 20 C, 13.2 Bx.",
            show_default=False,
        ),
    ] = None,
    temp: Annotated[str, typer.Option(metavar="T", help="The sample's temperature: 20C, 82F.")] = "",
    and_: Annotated[
        list[str] | None,
        typer.Option("--and", metavar="READING", help="A second reading of the same spirit."),
    ] = None,
    meter: Annotated[str, typer.Option(metavar="KEY", help="What you read it on; --list shows all.")] = "",
    error: Annotated[str, typer.Option(metavar="X", help="Your instrument is good to so much: 0.2.")] = "",
    thermometer: Annotated[
        str, typer.Option(metavar="X", help="Your thermometer is good to so much: 0.2C; or its key.")
    ] = "",
    calibrated: Annotated[
        str, typer.Option(metavar="T", help="What the scale is made for: 15C, 60F; otherwise 20C.")
    ] = "",
    in_air: Annotated[bool, typer.Option("--in-air", help="It shows densities by weights in air.")] = False,
    no_glass: Annotated[bool, typer.Option("--no-glass", help="What floats is not made of glass.")] = False,
    volume: Annotated[str, typer.Option(metavar="V", help="How much there is: 20L, 5.3gal.")] = "",
    volume_temp: Annotated[
        str, typer.Option(metavar="T", help="How warm that volume is, if not like the sample.")
    ] = "",
    mass: Annotated[str, typer.Option(metavar="M", help="How much there is on a scale: 12.5kg.")] = "",
    measured_by: Annotated[
        str, typer.Option(metavar="KEY", help="The scale or vessel; --list shows all.")
    ] = "",
    vessel: Annotated[
        str, typer.Option(metavar="OF", help="steel, glass or plastic, if it is to grow with warmth.")
    ] = "",
    solids: Annotated[str, typer.Option(metavar="S", help="What a dried sample leaves: 120mg/100mL.")] = "",
    sugar: Annotated[str, typer.Option(metavar="S", help="Sugar that is in it: 20g/L.")] = "",
    original: Annotated[
        str, typer.Option(metavar="READING", help="Of a wash: the gravity before it fermented, 15.2P.")
    ] = "",
    refractometer: Annotated[
        str, typer.Option(metavar="READING", help="Of a wash: what a refractometer shows now, 7.2Bx.")
    ] = "",
    wash: Annotated[
        bool | None, typer.Option("--wash/--spirit", help="Take it for one of them, whatever it shows.")
    ] = None,
    label: Annotated[str, typer.Option(metavar="L", help="Does it meet this label? 40, 80proof.")] = "",
    rule: Annotated[
        str, typer.Option(metavar="KEY", help="By whose law: EU, UK, US; --list shows all.")
    ] = "",
    tolerance: Annotated[str, typer.Option(metavar="X", help="By your own rule, so much off: 0.3.")] = "",
    listed: Annotated[bool, typer.Option("--list", help="List instruments and label rules.")] = False,
    show: Annotated[str, typer.Option(metavar="UNITS", help=SHOW_HELP)] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Write the answer as JSON.")] = False,
) -> int:
    """What is this really? A reading at any temperature, corrected, with its doubt.

    Of a spirit: gauge 47 % at 28C --volume 20L. Of a wash: gauge 1.012 at 24C --original 15.2P
    """
    from caskward.cli.gauge_asks import Typed, answer

    said = Typed(
        loose_words(context, words or _NONE),
        temp=temp,
        second=tuple(and_ or _NONE),
        meter=meter,
        error=error,
        thermometer=thermometer,
        calibrated=calibrated,
        in_air=in_air,
        glass=not no_glass,
        volume=volume,
        volume_temp=volume_temp,
        mass=mass,
        measured_by=measured_by,
        vessel=vessel,
        solids=solids,
        sugar=sugar,
        original=original,
        refractometer=refractometer,
        wash=wash,
        label=label,
        rule=rule,
        tolerance=tolerance,
    )
    if listed:
        return _list(as_json=as_json)
    return _show(answer(said), system_for(show, said.texts()), as_json=as_json)


def _show(answer: GaugeAnswer | WashAnswer | LabelAnswer, system: UnitSystem, *, as_json: bool) -> int:
    from caskward.services import gauging
    from caskward.services.gauging_words import words

    if as_json:
        put_json(gauging.as_json(answer))
        return 0
    told, to = words(answer, system), terminal()
    more: list[str] = []
    if isinstance(answer, gauging.LabelAnswer):
        measured = words(gauging.GaugeAnswer(answer.gauged, (), answer.assumed), system)
        more = table(measured.lines, "ll", to.width)
        told = replace(
            told, notes=(*told.notes, *(note for note in measured.notes if note not in told.notes))
        )
    put(as_text(told, answer.assumed, to, more))
    return 0


def _list(*, as_json: bool) -> int:
    """Instruments and label rules, by the key to name them with."""
    from caskward.services.gauging import instruments, rules

    if as_json:
        every = {
            "instruments": [asdict(one) for one in instruments()],
            "rules": [asdict(one) for one in rules()],
        }
        put_json(json.dumps(every, ensure_ascii=False, indent=2))
        return 0
    to = terminal()
    lines = []
    for heading, kinds in _GROUPS:
        rows = [
            (one.name, _limit(one.error, one.unit), one.key) for one in instruments() if one.kind in kinds
        ]
        lines += [to.paint(heading, "bold"), *table(rows, "lll", to.width), ""]
    lines.append(to.paint("Label rules, for --rule", "bold"))
    lines += table([(one.law, _limit(one.tolerance, "%vol"), one.key) for one in rules()], "lll", to.width)
    put("\n".join(lines))
    return 0


def _limit(error: float, unit: str) -> str:
    """`± 0.25 %vol`; a share in parts of a hundred."""
    return f"± {100 * error:g} %" if unit == "share" else f"± {error:g} {_UNITS.get(unit, unit)}"
