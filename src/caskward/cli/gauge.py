"""`caskward gauge`: what a spirit or a wash really is."""

from __future__ import annotations

import json
from dataclasses import asdict, replace
from typing import TYPE_CHECKING

from caskward.cli.answers import as_text, figures, system_for
from caskward.cli.layout import table
from caskward.cli.loose import JSON, SHOW, Given, LooseCommand, Option
from caskward.cli.terminal import put, put_json, terminal

if TYPE_CHECKING:
    from caskward.services.gauging import GaugeAnswer, LabelAnswer, WashAnswer
    from caskward.units.types import UnitSystem

_UNITS = {"kg/m3": "kg/m³", "Brix": "°Brix"}
_LIGHT = (
    "It is lighter than water, so alcohol is in it: of a wash give the gravity before it fermented, too "
    "(--original); if it is a spirit or low wines without sugar, add --spirit."
)
_GROUPS = (
    ("Of a spirit, for --meter", ("alcoholmeter",)),
    ("Of a spirit or a wash, for --meter", ("hydrometer", "density meter")),
    ("Of a wash, for --meter", ("refractometer",)),
    ("Thermometers, for --thermometer", ("thermometer",)),
    ("Scales and vessels, for --measured-by", ("scale", "volume")),
)


_OPTIONS = (
    Option("--temp", "T", "The sample's temperature: 20C, 82F."),
    Option("--and", "READING", 'A second reading of the same spirit: "931 kg/m3 at 20 C".', several=True),
    Option("--meter", "KEY", "What you read it on; --list shows all."),
    Option("--error", "X", "Your instrument is good to so much: 0.2."),
    Option("--thermometer", "X", "Your thermometer is good to so much, 0.2C; or its key."),
    Option("--calibrated", "T", "What its scale is made for: 15C, 60F; otherwise 20C."),
    Option("--in-air", "", "It shows a density by weights in air."),
    Option("--no-glass", "", "What floats is not made of glass."),
    Option("--volume", "V", "How much there is: 20L, 5.3gal."),
    Option("--volume-temp", "T", "How warm that volume is, if not like the sample."),
    Option("--mass", "M", "How much there is, on a scale: 12.5kg."),
    Option("--measured-by", "KEY", "The scale or vessel for it; --list shows all."),
    Option("--vessel", "OF", "steel, glass or plastic, if its growth with warmth is to count."),
    Option("--solids", "S", "What a dried sample leaves: 120mg/100mL."),
    Option("--sugar", "S", "Sugar known to be in it: 20g/L."),
    Option("--original", "READING", "Of a wash: its gravity before it fermented, 15.2P."),
    Option("--refractometer", "READING", "Of a wash: what a refractometer shows now, 7.2Bx."),
    Option("--wash", "", "Take it for a wash, whatever it shows."),
    Option("--spirit", "", "Take it for a spirit, whatever it shows."),
    Option("--label", "L", "Does it meet this label? 40, 80proof."),
    Option("--rule", "KEY", "By whose law: EU, UK, US; --list shows all."),
    Option("--tolerance", "X", "By your own rule: so far from the label at most, 0.3."),
    Option("--list", "", "List instruments and label rules."),
    SHOW,
    JSON,
)


def gauge(given: Given) -> int:
    """Answer what a spirit or a wash really is."""
    if given.flag("--list"):
        return _list(as_json=given.flag("--json"))
    from caskward.cli.gauge_asks import answer

    system = system_for(given.text("--show"), given.everything("--solids", "--sugar"))
    return _show(answer(given), system, as_json=given.flag("--json"))


COMMAND = LooseCommand(
    "gauge",
    "Say what a spirit or a wash really is, with its doubt.",
    "A reading at any temperature is corrected for the temperature and the glass; with an amount it says how "
    "much pure alcohol there is, with two readings what is in a wash.",
    (
        "47 % at 28C   126.4 proof 82F   0.9312 at 20 C   931.2 kg/m3 at 20 C",
        "1.054 @ 31 C   13.2 Bx   15.2 P                       a must or a wash",
        "20 L of 47 % at 28 C                                  with an amount",
        "0.93 kg in 1 L at 20 C                                without an instrument",
        "47.2 % ± 0.2 at 20 C   47.2 % at 20 C on oiml-2       with your doubt, your meter",
    ),
    _OPTIONS,
    gauge,
)


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
        more = figures(measured.lines, to.width)
        told = replace(
            told, notes=(*told.notes, *(note for note in measured.notes if note not in told.notes))
        )
    if isinstance(answer, gauging.WashAnswer) and answer.must and answer.must.plato.high < 0.0:
        told = replace(told, notes=(_LIGHT, *told.notes))
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
