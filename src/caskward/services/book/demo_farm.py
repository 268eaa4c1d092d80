"""Somebody who keeps Low Marl Farm's book: a clock, a hand that reads instruments, lots used in turn."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

from caskward.book import deeds
from caskward.book.accounts import family_of
from caskward.book.amounts import Liquid, liquid, mg, ul
from caskward.book.deeds import Act, Cost, Goods
from caskward.book.entry import Deed, Entry, Reading
from caskward.book.state import State
from caskward.properties import alcohol
from caskward.services.book.demo_figures import EUR, HAND, MAKER, SEED, SITE, Lot

KWH_MINOR = 21
"""Price of a kilowatt-hour [cents]."""
_HYDROMETER = "hydrometer, 20 °C"
_ALCOHOLMETER = "alcoholmeter, 20 °C"


class Farm:
    """A book in memory; every deed goes through the acts and rules of any other book."""

    def __init__(self, seed: int = SEED, later: timedelta = timedelta()) -> None:
        """later: by how much everything is done later than it says."""
        self.state = State()
        self.later = later
        self.draw = random.Random(seed)
        self._lots: dict[str, list[str]] = {}
        self._recorded: datetime | None = None

    @property
    def entries(self) -> list[Entry]:
        """The book so far."""
        return self.state.entries

    def act(
        self,
        at: datetime,
        batch: str | None = None,
        note: str = "",
        readings: tuple[Reading, ...] = (),
        costs: tuple[Cost, ...] = (),
        author: str = MAKER,
    ) -> Act:
        """Who, when, for which batch; the key counts on."""
        return Act(
            key=f"low-marl-2025-{len(self.entries) + 1:04d}",
            done_at=at + self.later,
            author=author,
            site=SITE,
            batch=batch,
            note=note,
            readings=readings,
            costs=costs,
        )

    def enter(self, deed: Deed) -> Entry:
        """Record a deed some minutes after it was done."""
        recorded_at = deed.done_at + timedelta(minutes=self.draw.randint(1, 9))
        if self._recorded is not None:
            recorded_at = max(recorded_at, self._recorded)
        self._recorded = recorded_at
        return self.state.append(deed, recorded_at)

    # Reading instruments -----------------------------------------------------------------------------

    def near(self, value: float, doubt: float) -> float:
        """A value as an instrument shows it, wrong by up to so much."""
        return value + self.draw.uniform(-doubt, doubt)

    def strength(self, true_pct: float, temp_c: float | None = None) -> tuple[float, Reading]:
        """The strength [%vol at 20 °C] that an alcoholmeter's reading at a temperature comes to."""
        warm_c = round(self.near(17.0, 3.0), 1) if temp_c is None else temp_c
        shown = round(float(alcohol.indicated_strength(true_pct, warm_c)), 1)
        typed = f"{shown} % at {warm_c:g} C"
        reading = Reading(
            quantity="strength",
            typed=typed,
            value=str(shown),
            unit="%vol",
            instrument=_ALCOHOLMETER,
            temp_c=str(warm_c),
            calibrated_at_c="20",
            tolerance="0.2",
        )
        return round(float(alcohol.true_strength(shown, warm_c)), 2), reading

    def volume(self, true_l: float) -> tuple[float, Reading]:
        """A volume [L at 20 °C] read on a vessel's own scale, to a twentieth of a litre."""
        shown = round(round(true_l * 20) / 20, 2)
        reading = Reading(
            quantity="volume",
            typed=f"{shown:g} L",
            value=str(shown),
            unit="L",
            instrument="sight glass",
            tolerance="0.1",
        )
        return shown, reading

    def read(self, true_l: float, true_pct: float) -> tuple[Liquid, tuple[Reading, ...]]:
        """A liquid as read: volume and strength."""
        volume_l, of_volume = self.volume(true_l)
        pct_vol, of_strength = self.strength(true_pct)
        return liquid(volume_l, pct_vol), (of_volume, of_strength)

    def gravity(self, sg: str, temp_c: float) -> tuple[Reading, ...]:
        """A ferment's gravity as read."""
        typed = f"{sg} at {temp_c:g} C"
        of = Reading(
            quantity="gravity",
            typed=typed,
            value=sg,
            unit="sg",
            instrument=_HYDROMETER,
            temp_c=str(temp_c),
            calibrated_at_c="20",
            tolerance="0.001",
        )
        return (of,)

    # Stores ------------------------------------------------------------------------------------------

    def receive(self, lot: Lot, at: datetime) -> None:
        """A lot comes in, with its price."""
        goods = Goods(lot.account, lot.commodity, _amount(lot.commodity, lot.amount))
        what = lot.commodity.partition("/")[2]
        act = self.act(at, costs=(Cost(what, lot.minor, EUR, lot.account),), author=HAND)
        self.enter(deeds.receive(act, [goods], lot.supplier, {"supplier_lot": lot.supplier_lot}))
        self._lots.setdefault(lot.commodity, []).append(lot.account)

    def take(self, commodity: str, amount: str | int) -> list[Goods]:
        """So much of a material out of its lots, the oldest first."""
        left = amount if isinstance(amount, int) else _amount(commodity, amount)
        taken = []
        for account in self._lots[commodity]:
            there = self.state.contents(account).get(commodity, 0)
            part = min(there, left)
            if part:
                taken.append(Goods(account, commodity, part))
                left -= part
        return taken

    def energy(self, kwh: float) -> tuple[Cost, ...]:
        """The price of so much electricity [kWh]."""
        return (Cost("energy", round(self.near(kwh, 0.1 * kwh) * KWH_MINOR), EUR),)


def _amount(commodity: str, amount: str) -> int:
    family = family_of(commodity)
    return int(amount) if family == "piece" else mg(amount) if family == "mass" else ul(amount)


def moment(day: str, hour: float, after_days: float = 0.0) -> datetime:
    """A moment of the year, by day and hour."""
    return datetime.fromisoformat(day).replace(tzinfo=UTC) + timedelta(days=after_days, hours=hour)


def mixed_l(*parts: Liquid) -> float:
    """What liquids fill together [L at 20 °C], less than apart: volume from masses, by the OIML's formula."""
    water_kg = ethanol_kg = 0.0
    for part in parts:
        fraction = float(alcohol.mass_fraction(part.pct_vol))
        mass_kg = part.bulk_ul / 1e6 * float(alcohol.density(fraction, 20.0)) / 1000.0
        ethanol_kg += mass_kg * fraction
        water_kg += mass_kg * (1.0 - fraction)
    return float(alcohol.volume_l(water_kg, ethanol_kg, 20.0))
