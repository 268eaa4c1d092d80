"""One batch of the invented year, from the sacks to the cask, as its maker records it."""

from __future__ import annotations

from datetime import datetime

from caskward.book import deeds
from caskward.book.amounts import Liquid, liquid, shared_out, ul
from caskward.book.deeds import Cost, Part, Run
from caskward.book.deeds.act import held
from caskward.book.entry import Reading
from caskward.properties import alcohol
from caskward.services.book import demo_figures as figures
from caskward.services.book.demo_farm import Farm, mixed_l, moment
from caskward.services.book.demo_figures import EUR, HAND, Batch

TUB, STILL, LOW_WINES, SPIRIT = "vessel/tub", "vessel/still", "vessel/low wines", "vessel/spirit"
RESERVE = "vessel/reserve"
_COOK_KWH, _STRIP_KWH, _RUN_KWH = 14.0, 24.0, 19.0
_STRIP_WITHIN_UL, _RUN_WITHIN_UL = 150_000, 150_000


class BatchCourse:
    """What is done for one batch, in its order."""

    def __init__(self, farm: Farm, batch: Batch) -> None:
        self.farm, self.batch = farm, batch
        self.days = 0.0
        self._parts: dict[str, tuple[int, ...]] = {}

    def at(self, hour: float) -> datetime:
        """A moment of the day that the batch has come to."""
        return moment(self.batch.day, hour, self.days)

    def run(self) -> None:
        """Everything from sacks to cask."""
        self._mash()
        self._ferment()
        self._strip()
        self._spirit_runs()
        self._fill()
        if self.batch.closed:
            self.days += 1
            self.farm.enter(deeds.close(self.farm.act(self.at(17), self.batch.name)))

    def rows(self, day: int, sg: str, warm_c: float) -> dict[str, list[str]]:  # noqa: ARG002
        """Rows that a plan follows, where the batch has one: none in the year's books."""
        return {}

    # Tub ---------------------------------------------------------------------------------------------

    def _mash(self) -> None:
        farm, batch = self.farm, self.batch
        self._begin()
        adds = batch.cooks + (1 if batch.after else 0)
        gains = shared_out(ul(batch.tub_l), [1] * adds)
        for cook in range(batch.cooks):
            goods = [part for what in batch.cooked for part in self._cooked(what, cook)]
            act = farm.act(self.at(7 + 3 * cook), batch.name, costs=farm.energy(_COOK_KWH), author=HAND)
            farm.enter(deeds.mash(act, goods, TUB, gains[cook]))
        if batch.after:
            goods = [part for what, kg in batch.after.items() for part in farm.take(what, kg)]
            act = farm.act(self.at(7.5 + 3 * batch.cooks), batch.name)
            farm.enter(deeds.mash(act, goods, TUB, gains[-1]))
        goods = [part for what, amount in batch.small.items() for part in farm.take(what, amount)]
        act = farm.act(self.at(20), batch.name, "Enzymes and yeast, as their labels say.")
        farm.enter(deeds.use(act, goods, TUB))

    def _cooked(self, what: str, cook: int) -> list[deeds.Goods]:
        """The part of a material that one of the cooks takes."""
        if what not in self._parts:
            whole = sum(part.amount for part in self.farm.take(what, self.batch.cooked[what]))
            self._parts[what] = shared_out(whole, [1] * self.batch.cooks)
        return self.farm.take(what, self._parts[what][cook])

    def _begin(self) -> None:
        farm = self.farm
        farm.enter(deeds.begin(farm.act(self.at(6.5), self.batch.name, "Begun with the first cook.")))

    def _ferment(self) -> None:
        farm, batch = self.farm, self.batch
        for day, sg in enumerate(batch.gravities):
            warm_c = round(farm.near(29.0, 1.5), 1)
            self.days = float(day)
            act = farm.act(self.at(20.5), batch.name, readings=farm.gravity(sg, warm_c), author=HAND)
            farm.enter(deeds.measure(act, TUB, {"temp_c": f"{warm_c:g}", **self.rows(day, sg, warm_c)}))
        self.days += 1
        found, readings = farm.read(float(batch.wash_l), float(batch.wash_pct))
        act = farm.act(self.at(7), batch.name, "Gauged clear of the solids.", readings)
        farm.enter(deeds.convert(act, farm.state, TUB, found))
        if float(batch.solids_l):
            part = deeds.some_of(farm.state, TUB, ul(batch.solids_l))
            act = farm.act(self.at(9), batch.name, "Left in the pressed solids.", author=HAND)
            farm.enter(deeds.lose(act, farm.state, part, f"spent solids/{batch.name}"))

    # Still -------------------------------------------------------------------------------------------

    def _strip(self) -> None:
        farm, batch = self.farm, self.batch
        wash = deeds.all_of(farm.state, TUB).liquid
        for strip, charge_ul in enumerate(shared_out(wash.bulk_ul, [1] * batch.strips)):
            self.days += strip % 2
            last = strip == batch.strips - 1
            hour = 11.0 if strip % 2 == 0 else 7.0
            part = deeds.all_of(farm.state, TUB) if last else deeds.some_of(farm.state, TUB, charge_ul)
            act = farm.act(self.at(hour), batch.name, author=HAND)
            farm.enter(deeds.move(act, farm.state, part, STILL))
            self._strip_once(part.liquid, self.at(hour + 3.2))

    def _strip_once(self, charge: Liquid, at: datetime) -> None:
        """Low wines by the forecast's share of the charge, at the strength that the balance leaves."""
        farm = self.farm
        volume_l, of_volume = farm.volume(charge.bulk_ul / 1e6 * self.batch.low_wines_share)
        left = liquid(round(charge.bulk_ul / 1e6 - volume_l, 1), figures.STRIP_LEFT_PCT)
        lpa = (charge.alcohol_ul - left.alcohol_ul) / 1e6 - farm.draw.uniform(0.0, 0.04)
        pct_vol, of_strength = farm.strength(100.0 * lpa / volume_l)
        run = Run(((LOW_WINES, liquid(volume_l, pct_vol)),), left=left, within_ul=_STRIP_WITHIN_UL)
        readings = (of_volume, of_strength)
        act = farm.act(at, self.batch.name, readings=readings, costs=farm.energy(_STRIP_KWH), author=HAND)
        farm.enter(deeds.distil(act, farm.state, STILL, run, {"run": "strip"}))

    def _spirit_runs(self) -> None:
        farm, batch = self.farm, self.batch
        self.days += 1
        sources = [LOW_WINES, *([batch.feints] if farm.state.contents(batch.feints) else [])]
        halves = {name: deeds.all_of(farm.state, name).liquid.bulk_ul // 2 for name in sources}
        for run in (0, 1):
            parts = [
                deeds.all_of(farm.state, name) if run else deeds.some_of(farm.state, name, halves[name])
                for name in sources
            ]
            hour = 7.0 + 6.5 * run
            act = farm.act(self.at(hour), batch.name, "Low wines, with the feints there were.")
            farm.enter(deeds.vat(act, farm.state, parts, STILL))
            self._spirit_run(self.at(hour + 4.5), run + 1)
            self._gather(self.at(hour + 5.0))
        self._keep_feints(self.at(19.5))

    def _spirit_run(self, at: datetime, number: int) -> None:
        farm = self.farm
        charge = deeds.all_of(farm.state, STILL).liquid
        by = charge.alcohol_ul / 1e6 / figures.RUN_CHARGE_LPA
        stronger = figures.SPOUT_PER_CHARGE * (charge.pct_vol - figures.RUN_CHARGE_PCT)
        jars, readings = self._jars(by, stronger)
        fore_l, fore_pct = figures.FORESHOTS
        foreshots = liquid(round(fore_l * by, 2), round(fore_pct + stronger, 1))
        collected_ul = foreshots.bulk_ul + sum(one.bulk_ul for one in jars)
        tails_l = round(figures.COLLECTED_L * by - collected_ul / 1e6, 1)
        left = liquid(round((charge.bulk_ul - collected_ul) / 1e6 - tails_l, 1), figures.RUN_LEFT_PCT)
        known_ul = left.alcohol_ul + foreshots.alcohol_ul + sum(one.alcohol_ul for one in jars)
        tails_pct = 100.0 * ((charge.alcohol_ul - known_ul) / 1e6 - farm.draw.uniform(0.0, 0.03)) / tails_l
        tails_pct, of_tails = farm.strength(tails_pct)
        run = Run(
            (
                (f"jar/heads {number}", jars[0]),
                *((f"jar/{name}", jar) for name, jar in enumerate(jars[1:], 1)),
                (f"jar/tails {number}", liquid(tails_l, tails_pct)),
            ),
            left=left,
            destroyed={"foreshots": foreshots},
            within_ul=_RUN_WITHIN_UL,
        )
        costs = farm.energy(_RUN_KWH)
        act = farm.act(at, self.batch.name, readings=(*readings, of_tails), costs=costs)
        farm.enter(deeds.distil(act, farm.state, STILL, run, {"run": "spirit run"}))

    def _jars(self, by: float, stronger: float) -> tuple[list[Liquid], tuple[Reading, ...]]:
        """Heads and heart in jars, filled by a run of another size and strength in the same shares."""
        jars, readings = [], []
        for volume_l, pct_vol in figures.JARS[: 1 + self.batch.heart_jars]:
            shown_l, _ = self.farm.volume(volume_l * by)
            pct, reading = self.farm.strength(self.farm.near(pct_vol + stronger, 0.15))
            jars.append(liquid(shown_l, pct))
            readings.append(reading)
        return jars, tuple(readings)

    def _gather(self, at: datetime) -> None:
        """The heart's jars together."""
        farm = self.farm
        hearts = [deeds.all_of(farm.state, f"jar/{n}") for n in range(1, 1 + self.batch.heart_jars)]
        act = farm.act(at, self.batch.name, "Heart, by nose.")
        farm.enter(deeds.vat(act, farm.state, hearts, SPIRIT, found_ul=self._found_ul(SPIRIT, hearts)))

    def _keep_feints(self, at: datetime) -> None:
        """Heads and tails of both runs, kept for the next batch's charge."""
        farm, to = self.farm, self.batch.feints
        names = [f"jar/{part} {run}" for run in (1, 2) for part in ("heads", "tails")]
        rest = [deeds.all_of(farm.state, name) for name in names]
        act = farm.act(at, self.batch.name, "Heads and tails, for the next charge.")
        farm.enter(deeds.vat(act, farm.state, rest, to, found_ul=self._found_ul(to, rest)))

    def _found_ul(self, to: str, parts: list[Part]) -> int:
        """What is in a place once parts are mixed into it, contraction and all, to a hundredth of a litre."""
        there = held(self.farm.state, to)
        return ul(round(mixed_l(there, *(part.liquid for part in parts)), 2))

    # Cask --------------------------------------------------------------------------------------------

    def _fill(self) -> None:
        farm, batch = self.farm, self.batch
        self.days += 2
        reduce_to(self.farm, SPIRIT, float(batch.entry_pct), self.at(9), batch.name)
        self.days += 1
        act = farm.act(self.at(8), note=f"{batch.wood}, soaked tight", author=HAND)
        farm.enter(deeds.declare(act, {batch.cask: ul(batch.cask_l)}, {"wood": batch.wood}))
        part = deeds.some_of(farm.state, SPIRIT, ul(batch.fill_l))
        readings = (farm.volume(float(batch.fill_l))[1], farm.strength(part.liquid.pct_vol)[1])
        costs = (Cost("cask", batch.cask_minor, EUR, batch.cask),)
        act = farm.act(self.at(10), batch.name, readings=readings, costs=costs)
        farm.enter(deeds.fill(act, farm.state, part, batch.cask, {"wood": batch.wood}))
        rest = deeds.all_of(farm.state, SPIRIT)
        to = RESERVE if batch.feints == "vessel/feints" else "jar/pear reserve"
        act = farm.act(self.at(11), batch.name, "What the cask did not take.")
        farm.enter(deeds.move(act, farm.state, rest, to))


def reduce_to(farm: Farm, account: str, to_pct: float, at: datetime, batch: str | None) -> None:
    """Water to what a place holds, down to a strength; the volume afterwards is what mixing leaves."""
    there = deeds.all_of(farm.state, account).liquid
    done = alcohol.reduce(there.bulk_ul / 1e6, there.pct_vol, to_pct)
    found_ul = round(there.alcohol_ul * 100 / to_pct)
    act = farm.act(at, batch, "Water by weight.", (farm.strength(to_pct)[1],))
    water_ul = ul(round(float(done.water_l), 3))
    farm.enter(deeds.reduce(act, farm.state, account, water_ul, found_ul))
