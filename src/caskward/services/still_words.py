"""What the still's answers say in words, the same on screen and on paper."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Protocol

from caskward.planning.plan import Band
from caskward.planning.strengths import said
from caskward.services.still_congeners import THRESHOLDS_ARE_WEAK
from caskward.services.still_run import CutMark, ReceiverLine, RunReport
from caskward.services.words import banded, figure
from caskward.units import convert, show
from caskward.units.types import UnitSystem

NOSE_DECIDES = (
    "These are habits of the trade for pot stills, as an aid: your nose and local practice decide where to "
    "cut."
)
Room = int
"""How much room a table has for bands: 0 for the most needed alone, up to `ROOMS[0]` for all of them."""
ROOMS = (3, 2, 1, 0)
BANDS = "In brackets: the truth lies inside 8 times in 10."
SOME_HAVE_ENDED = "Past the point where some runs have ended, bands are over those that still run."
FULL_POWER = (
    "Hours are at the power you gave, all the way; a run that is turned down takes longer, and its head "
    "sends more back."
)
CONGENERS_ARE_PRIORS = (
    "Congeners start from what washes of this style usually hold, not from yours; what heat and copper make "
    "or take in the pot is not in them."
)
NOT_FOR_CUTS = THRESHOLDS_ARE_WEAK
_STOPS = {
    "spout_pct_vol": "the spout shows {}",
    "pot_pct_vol": "the pot holds {}",
    "pot_c": "the pot boils at {}",
    "vapour_c": "the vapour is at {}",
    "volume_l": "{} are collected",
    "own_volume_l": "{} are collected",
    "hours": "{} after the first drop",
    "alcohol_share": "{} of the alcohol are over",
}


def run_headline(report: RunReport, system: UnitSystem) -> str:
    """A run in one sentence: what is charged, what comes over, how long it takes."""
    charge = f"{figure(report.charge.volume_l, 'L', system)} at {said(report.charge.pct_vol, system)}"
    if report.collected_l.high <= 0.0:
        return f"{charge} give nothing before the stop: {stop_words(report, system)} from the first drop on."
    return (
        f"{charge} give {banded(report.collected_l, 'L', system)} at "
        f"{banded(report.collected_pct_vol, 'pct_vol', system)} until {stop_words(report, system)}, "
        f"in {banded(report.hours, 'h', system)} from cold."
    )


class Stopped(Protocol):
    """Anything that ends at a stop."""

    @property
    def stop_by(self) -> str:
        """What ends it."""

    @property
    def stop_value(self) -> float:
        """At what value."""


def drawn(worlds: int, seed: int) -> str:
    """How many worlds stand behind the figures, and that they can be had again."""
    return f"{worlds} possible runs drawn, seed {seed}: the same words give the same figures."


def stop_words(report: Stopped, system: UnitSystem) -> str:
    """When the run ends: `the spout shows 10.0 %vol`."""
    by, value = report.stop_by, report.stop_value
    by_kind: dict[str, Callable[[float, UnitSystem], str]] = {
        "spout_pct_vol": said,
        "pot_pct_vol": said,
        "pot_c": show.temperature,
        "vapour_c": show.temperature,
        "volume_l": show.volume,
        "own_volume_l": show.volume,
    }
    if by in by_kind:
        return _STOPS[by].format(by_kind[by](value, system))
    return _STOPS[by].format(show.duration(value) if by == "hours" else show.share(value))


def run_lines(report: RunReport, system: UnitSystem) -> tuple[tuple[str, str], ...]:
    """The figures of a run, in the order of the work."""
    charge = report.charge
    limit = f"at most {charge.strongest_pct_vol:g} %vol"
    rule = (
        f"your site's rule: {charge.site_rule} ({limit})" if charge.site_rule else f"{limit}, the usual limit"
    )
    heart = next(line for line in report.trade if line.name == "heart")
    return (
        (
            "charge",
            f"{figure(charge.volume_l, 'L', system)} of {report.made_from}, {charge.lpa:.2f} L pure alcohol",
        ),
        ("charge's strength", rule),
        ("still", report.still),
        ("heating up takes", banded(report.heat_up_h, "h", system)),
        ("first drops at", banded(report.first_pct_vol, "pct_vol", system)),
        ("collected, pure alcohol", pure(report.collected_lpa)),
        ("energy, from cold", banded(report.energy_kwh, "kWh", system)),
        ("heat to the cooling water", banded(report.cooling_kwh, "kWh", system)),
        ("left in the pot at the stop", banded(report.pot_left_l, "L", system)),
        (
            "heart, by the trade's habit",
            f"{banded(heart.volume_l, 'L', system)} at {banded(heart.pct_vol, 'pct_vol', system)}",
        ),
    )


def pure(lpa: Band) -> str:
    """Litres of pure alcohol with their band."""
    return show.band(lpa.low, lpa.mid, lpa.high, lambda value: f"{value:.2f} L")


def cut_words(mark: CutMark, system: UnitSystem) -> tuple[str, str, str]:
    """One mark of the trade: its name, its own range, and the litres collected by then."""
    if mark.by == "alcohol_share":
        trade = f"{_percent(mark.low)}–{_percent(mark.high)} % of the alcohol"
    else:
        trade = f"spout at {mark.high:g}–{mark.low:g} %vol"
    litres = banded(mark.volume_l, "L", system)
    if mark.chance < 0.1:
        litres = "after your stop"
    elif mark.chance < 0.9:
        litres += f" in {round(mark.chance * 10)} of 10"
    return mark.key, trade, litres


def _percent(share: float) -> str:
    return f"{100 * share:.2g}"


GROUP_WORDS = {
    "early": "   early: heads, solvent and green apple",
    "with the heart": "   with the heart: fusel alcohols",
    "late": "   late: rose, almond, the dull end",
}


def litres(volume_l: float, system: UnitSystem) -> float:
    """A volume as the maker's own number."""
    return volume_l if system == "metric" else convert.us_gallons_from_litres(volume_l)


def litre_band(b: Band, system: UnitSystem) -> Band:
    """A volume's band in the maker's own numbers."""
    return Band(*(litres(v, system) for v in (b.low, b.mid, b.high)))


def litre_unit(system: UnitSystem) -> str:
    """`L` or `gal`."""
    return "L" if system == "metric" else "gal"


def litre_word(system: UnitSystem) -> str:
    """`litres` or `gallons`."""
    return "litres" if system == "metric" else "gallons"


def degree(system: UnitSystem) -> str:
    """`°C` or `°F`."""
    return "°C" if system == "metric" else "°F"


def warmth(b: Band, system: UnitSystem) -> Band:
    """A temperature's band in the maker's own degrees."""
    if system == "metric":
        return b
    return Band(*(convert.fahrenheit_from_celsius(v) for v in (b.low, b.mid, b.high)))


def warmth_span(system: UnitSystem) -> tuple[float, float]:
    """Ends of the scale on which vapour is drawn."""
    return (75.0, 100.0) if system == "metric" else (165.0, 215.0)


def plain(b: Band, digits: int, *, banded_too: bool = True) -> str:
    """A band's numbers without a unit: `77.8 (76.2–80.2)`; one number where they look alike."""
    low, mid, high = (f"{v:.{digits}f}" for v in (b.low, b.mid, b.high))
    return mid if low == high or not banded_too else f"{mid} ({low}–{high})"


def moment_rows(report: RunReport, system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """The table of a run: a head, then a row for every moment."""
    rows: list[tuple[str, ...]] = [
        (litre_unit(system), "spout %vol", "pot %vol", f"pot {degree(system)}", "hours", "kWh")
    ]
    few = 2 if litres(report.moments[-1].volume_l, system) < 5.0 else 1
    rows.extend(
        (
            f"{litres(m.volume_l, system):.{few}f}",
            plain(m.spout_pct_vol, 1),
            plain(m.pot_pct_vol, 1, banded_too=room > 1),
            plain(warmth(m.pot_c, system), 1, banded_too=room > 0),
            plain(m.hours, 2, banded_too=room > 0),
            plain(m.energy_kwh, 1, banded_too=room > 1),
        )
        for m in report.moments
    )
    return rows


def receiver_rows(lines: Sequence[ReceiverLine], system: UnitSystem, room: Room) -> list[tuple[str, ...]]:
    """Receivers: a head, then each with volume, strength, pure alcohol and the groups of congeners."""
    rows: list[tuple[str, ...]] = [("", litre_unit(system), "%vol", "pure L", "early", "heart", "late")]
    for line in lines:
        if line.filled < 0.1:
            rows.append((line.name, "empty", "", "", "", "", ""))
            continue
        rows.append(
            (
                line.name,
                plain(litre_band(line.volume_l, system), 2, banded_too=room > 0),
                plain(line.pct_vol, 1),
                plain(line.lpa, 2, banded_too=room > 2),
                *(rough(b, banded_too=room > 1) for b in line.groups),
            )
        )
    return rows


def rough(b: Band, *, banded_too: bool = True) -> str:
    """A band in two digits, for what is known to a factor: `430 (180–1100)`."""
    low, mid, high = (_two(v) for v in (b.low, b.mid, b.high))
    return mid if low == high or not banded_too else f"{mid} ({low}–{high})"


def _two(value: float) -> str:
    if value >= 10.0:
        return f"{float(f'{value:.2g}'):.0f}"
    return f"{value:.2g}" if value >= 1e-3 else "0"


def level_rows(line: ReceiverLine, but: tuple[str, ...] = ()) -> list[tuple[str, ...]]:
    """Congeners of one receiver: level, and how many times a published threshold that is."""
    rows: list[tuple[str, ...]] = [("", "g/hL pure", "times a threshold", "threshold in")]
    for one in line.congeners:
        if one.name in but:
            continue
        times = "" if one.times_threshold is None else rough(one.times_threshold)
        rows.append((one.name, rough(one.g_hl), times, one.matrix.removeprefix("alcohol and water, ")))
    return rows
