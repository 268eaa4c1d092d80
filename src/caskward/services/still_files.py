"""Files a maker keeps about a still: jars of a run as TOML or CSV, and logged runs as TOML."""

from __future__ import annotations

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, cast

from caskward.errors import MissingValue, NamedTwice, NotToml, UnreadableNotes, WrongShape
from caskward.planning.jars import Gauged, read_mark
from caskward.planning.plan import Band
from caskward.planning.still_log import HeatUp, LoggedRun, RunKind, SpoutPoint
from caskward.planning.strengths import read_strength
from caskward.planning.toml_section import Section, flag, one_of, text
from caskward.properties.congeners import volatility
from caskward.services import still_typed
from caskward.services.still_charge import WASH_SOLUBLES_SHARE, liquid_of
from caskward.units import parse

_CSV_KNOWN = ("name", "volume", "strength", "mark")
_JAR_EXAMPLE = '[[jar]] with name = "1", volume = "1 L", strength = "76.2 %", mark = "+1"'
_RUN_EXAMPLE = '[[run]] with charge = "60 L 28 %", power = "6 kW", points = [["2 L", "76 %"]]'


@dataclass(frozen=True)
class JarFile:
    """Jars as gauged, and what the file says of the cask; empty where it says nothing.

    forecast: the figures are a forecast's middle ones, not gauged.
    """

    jars: tuple[Gauged, ...]
    cask: str = ""
    entry: str = ""
    forecast: bool = False


@dataclass(frozen=True)
class RunLog:
    """Logged runs of one still, and where it stands."""

    kind: str
    altitude_m: float
    hold_up_l: tuple[float, float, float] | None
    runs: tuple[LoggedRun, ...]


def jar_file(path: Path) -> JarFile:
    """Jars from a TOML file, or a CSV whose first line names its columns.

    Raises:
        InputError: one sentence about what cannot be used.
    """
    content = _text(path)
    if path.suffix.casefold() == ".csv" or _like_csv(content):
        return _jars_of_csv(content, path)
    top = Section("", _toml(content))
    rows = top.sections("jar")
    if not rows:
        raise MissingValue("The file", "a jar", _JAR_EXAMPLE)
    found = JarFile(
        tuple(_jar(row, k) for k, row in enumerate(rows, 1)),
        top.take("cask", text, '"25 L"', ""),
        top.take("entry", text, '"63 %"', ""),
        top.take("forecast", flag, "true", default=False),
    )
    top.done()
    return _unlike(found)


def _like_csv(content: str) -> bool:
    """True where the first line names columns: in TOML it would hold a `=`, a `[` or a note."""
    first = content.lstrip().partition("\n")[0]
    return any(sep in first for sep in ",;") and not any(sign in first for sign in "=[#")


def _jar(row: Section, number: int) -> Gauged:
    name = str(row.take("name", _name, f'"{number}"', f"jar {number}"))
    volume_l = row.take("volume", parse.volume_l, '"1 L"')
    pct_vol = row.take("strength", read_strength, '"76.2 %"')
    mark = row.take("mark", _mark, '"+1"', "maybe")
    levels = row.mapping("congeners")
    row.done()
    return Gauged(name, volume_l, pct_vol, read_mark(mark, name), _traces(levels, name, volume_l, pct_vol))


def _traces(levels: Mapping[str, Any], jar: str, volume_l: float, pct_vol: float) -> dict[str, Band]:
    """Milligrams in a jar from grams per hectolitre of pure alcohol, a number or low, middle and high."""
    mg_per_g_hl = 10.0 * volume_l * pct_vol / 100.0
    found = {}
    for congener, given in levels.items():
        volatility(congener)
        ends = given if isinstance(given, list) else [given, given, given]
        if len(ends) != 3 or not all(_is_level(v) for v in ends) or list(ends) != sorted(ends):
            where = f"{congener} in {jar}"
            allowed = "a number of g/hL of pure alcohol, 0 or more, or [low, middle, high] of it in order"
            raise WrongShape(where, given, allowed)
        found[congener] = Band(*(float(v) * mg_per_g_hl for v in ends))
    return found


def _is_level(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool) and 0.0 <= value < 1e6


def _jars_of_csv(content: str, path: Path) -> JarFile:
    """Columns name, volume, strength, mark; every other column is a congener in g/hL of pure alcohol."""
    sep = ";" if content.partition("\n")[0].count(";") else ","
    rows = list(csv.reader(content.splitlines(), delimiter=sep, skipinitialspace=True))
    head = [cell.strip() for cell in rows[0]] if rows else []
    columns = [cell.casefold() for cell in head]
    for needed in ("volume", "strength"):
        if needed not in columns:
            raise MissingValue(str(path), f"a column called {needed}", "name,volume,strength,mark")
    _once("columns", [cell for cell in columns if cell])
    jars: list[Gauged] = []
    for line, cells in enumerate(rows[1:], 2):
        if not any(cell.strip() for cell in cells):
            continue
        if len(cells) > len(head):
            raise WrongShape(
                f"line {line} of {path}", sep.join(cells), f"as long as the first line ({len(head)})"
            )
        row = {columns[k]: cell.strip() for k, cell in enumerate(cells)}
        jars.append(_jar(Section(f"line {line}", _as_table(row, head, columns)), len(jars) + 1))
    return _unlike(JarFile(tuple(jars)))


def _as_table(row: Mapping[str, str], head: list[str], columns: list[str]) -> dict[str, object]:
    known: dict[str, object] = {key: row[key] for key in _CSV_KNOWN if row.get(key)}
    levels = {
        head[k]: _level(row[key]) for k, key in enumerate(columns) if key not in _CSV_KNOWN and row.get(key)
    }
    return {**known, "congeners": levels} if levels else known


def _level(given: str) -> object:
    """A plain number; anything else is left as it is, to be refused where its jar is known."""
    try:
        return float(given.replace(",", "."))
    except ValueError:
        return given


def _unlike(found: JarFile) -> JarFile:
    _once("jars", [jar.name for jar in found.jars])
    return found


def _once(what: str, names: list[str]) -> None:
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise NamedTwice(what, twice)


def run_log(path: Path) -> RunLog:
    """Logged runs from a TOML file.

    Raises:
        InputError: one sentence about what cannot be used.
    """
    top = Section("", _toml(_text(path)))
    rows = top.sections("run")
    if not rows:
        raise MissingValue("The file", "a run", _RUN_EXAMPLE)
    found = RunLog(
        top.take("kind", text, '"pot-bare"', "pot-bare"),
        top.take("altitude", parse.length_m, '"140 m"', 0.0),
        _dead(top),
        tuple(_run(row, k) for k, row in enumerate(rows, 1)),
    )
    _once("runs", [run.name for run in found.runs])
    top.done()
    return found


def _dead(top: Section) -> tuple[float, float, float] | None:
    """Dead volume before the spout; one figure is good to half of it either way."""
    given = top.raw("hold_up")
    if given is None:
        return None
    if isinstance(given, list) and len(given) == 3:
        low, mid, high = (parse.volume_l(v, what="hold_up") for v in given)
    else:
        mid = parse.volume_l(cast(str, given), what="hold_up")
        low, high = 0.5 * mid, 1.5 * mid
    if not 0.0 < low <= mid <= high:
        raise WrongShape("hold_up", given, "litres over 0, or [low, middle, high] in order")
    return low, mid, high


def _run(row: Section, number: int) -> LoggedRun:
    name = str(row.take("name", _name, '"12 March"', f"run {number}"))
    kind = cast(RunKind, row.take("kind", one_of("strip", "spirit"), '"spirit"', "spirit"))
    charge = still_typed.charge(row.take("charge", text, '"60 L 28 %"'))
    solubles = WASH_SOLUBLES_SHARE if kind == "strip" else 0.0
    heat_h = row.take("heat_up", parse.duration_h, '"52 min"', 0.0)
    from_c = row.take("from", parse.temperature_c, '"18 C"', 20.0)
    found = LoggedRun(
        name,
        kind,
        liquid_of(charge.volume_l, charge.pct_vol, solubles),
        row.take("power", parse.power_kw, '"6 kW"'),
        _points(row.raw("points"), name),
        HeatUp(heat_h, from_c) if heat_h > 0.0 else None,
        row.take("charge_error", read_strength, '"0.3 %"', 0.3),
        row.take("meter_error", read_strength, '"0.3 %"', 0.3),
    )
    row.done()
    return found


def _points(given: object, name: str) -> tuple[SpoutPoint, ...]:
    """Readings at the spout as pairs of litres and strength, perhaps with the strength's error."""
    if given is None:
        return ()
    pairs = 'pairs like ["2 L", "76 %"], or with an error ["2 L", "76 %", "0.5 %"]'
    if not isinstance(given, list):
        raise WrongShape(f"points of {name}", given, pairs)
    points = []
    for row in given:
        if not isinstance(row, list) or len(row) not in (2, 3):
            raise WrongShape(f"A point of {name}", row, pairs)
        litres = parse.volume_l(row[0], what=f"the volume of a point of {name}")
        pct_vol, *error = (read_strength(v, what=f"the strength of a point of {name}") for v in row[1:])
        points.append(SpoutPoint(litres, pct_vol, *error))
    return tuple(points)


def _name(given: object, *, what: str) -> str:
    return str(given) if isinstance(given, int) and not isinstance(given, bool) else text(given, what=what)


def _mark(given: object, *, what: str) -> str:
    if isinstance(given, int | float) and not isinstance(given, bool):
        return str(given)
    return text(given, what=what)


def _toml(content: str) -> dict[str, Any]:
    try:
        return tomllib.loads(content)
    except tomllib.TOMLDecodeError as error:
        raise NotToml(str(error)) from None


def _text(path: Path) -> str:
    try:
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError:
        raise UnreadableNotes(str(path), "it is not plain text (UTF-8)") from None
    except OSError as error:
        raise UnreadableNotes(str(path), error.strerror or "it cannot be opened") from None
