"""The cuts of a campaign: the trade's where none are given, refused where no run can make them."""

from __future__ import annotations

import numpy as np

from caskward.catalogue.load import load
from caskward.errors import OutOfRange
from caskward.errors.batches import ImpossibleCuts
from caskward.planning.plan import band
from caskward.planning.recycling import Batch
from caskward.planning.strengths import said
from caskward.services.words import banded
from caskward.stages.runs import CutRules, SpiritRecord
from caskward.stages.stream import Worlds
from caskward.units import show
from caskward.units.types import UnitSystem

_LEAST_HEART_L = 1e-6


def cuts_of(
    style: str,
    foreshots_share: float | None,
    heads_share: float | None,
    heart_end_pct_vol: float | None,
    tails_stop_pct_vol: float | None,
    system: UnitSystem,
) -> CutRules:
    """Cuts as given, and the usual ones of the style where not.

    Raises:
        ImpossibleCuts: nothing is left for a heart, or the tails end before the heart. OutOfRange: no share,
            or no strength.
    """
    usual = load().practice(style)
    cuts = CutRules(
        usual.foreshots_share.likely if foreshots_share is None else foreshots_share,
        usual.heads_share.likely if heads_share is None else heads_share,
        usual.heart_end_pct_vol.likely if heart_end_pct_vol is None else heart_end_pct_vol,
        0.0,
        usual.tails_stop_pct_vol.likely if tails_stop_pct_vol is None else tails_stop_pct_vol,
    )
    for name, share in (("foreshots", cuts.foreshots_share), ("heads", cuts.heads_share)):
        if not 0.0 <= share <= 1.0:
            raise OutOfRange(f"The share of {name}", share, "", 0.0, 1.0)
    first = cuts.foreshots_share + cuts.heads_share
    if first >= 1.0 - 1e-9:
        habit = f"{show.share(usual.foreshots_share.likely)} and {show.share(usual.heads_share.likely)}"
        raise ImpossibleCuts(
            f"foreshots and heads together would take {100.0 * first:.4g} % of the charge's alcohol, which "
            "leaves no heart",
            f"The trade's habit is {habit}: write it like --foreshots "
            f'"{show.share(usual.foreshots_share.likely)}" --heads "{show.share(usual.heads_share.likely)}"',
        )
    if not cuts.tails_stop_pct_vol > 0.0:
        raise OutOfRange(
            "The strength where the tails end",
            cuts.tails_stop_pct_vol,
            "%vol",
            0.01,
            99.0,
            'Write it like --tails-end "10 %".',
        )
    if cuts.tails_stop_pct_vol >= cuts.heart_end_pct_vol:
        lower = min(usual.tails_stop_pct_vol.likely, 0.5 * cuts.heart_end_pct_vol)
        ways = [f"End the tails lower, like {said(lower, system)}"]
        if usual.heart_end_pct_vol.likely > cuts.tails_stop_pct_vol:
            ways.append(f"the heart higher, like {said(usual.heart_end_pct_vol.likely, system)}")
        raise ImpossibleCuts(
            f"the tails would end at {said(cuts.tails_stop_pct_vol, system)} at the spout, and the heart "
            f"before them at {said(cuts.heart_end_pct_vol, system)}, though the spout only grows weaker",
            f"{', or '.join(ways)}.",
        )
    return cuts


def check_heart(batch: Batch, cuts: CutRules, system: UnitSystem) -> None:
    """Refuse cuts that give no heart in most worlds of the first batch.

    Raises:
        ImpossibleCuts: with what does come over.
    """
    record, end = batch.parted.record, said(cuts.heart_end_pct_vol, system)
    if record is None or float(np.mean(batch.heart.volume_l > _LEAST_HEART_L)) > 0.5:
        return
    first = _spout(record.first_pct_vol, system)
    if np.mean(record.first_pct_vol <= cuts.heart_end_pct_vol) >= 0.5:
        raise ImpossibleCuts(
            f"the heart is to end at {end} at the spout, but the first batch begins at {first} and only "
            "grows weaker",
            "End the heart lower.",
        )
    raise ImpossibleCuts(
        f"the heads end when the spout shows {_spout(_heads_end(record), system)} (it begins at {first}), "
        f"and the heart is to end at {end}: nothing is left between them",
        "Cut the heads narrower, or end the heart lower.",
    )


def few_foreshots(cuts: CutRules, style: str) -> tuple[str, ...]:
    """Where less is discarded first than the trade does."""
    usual = load().practice(style).foreshots_share
    if cuts.foreshots_share >= usual.low:
        return ()
    least = f"{show.share(usual.low)} to {show.share(usual.high)} of the alcohol"
    taken = "Nothing is" if cuts.foreshots_share <= 0.0 else f"Only {show.share(cuts.foreshots_share)} are"
    return (
        f"{taken} discarded as foreshots, and the trade discards {least}: what comes first then goes round "
        "with the heads and into the heart.",
    )


def heartless(batch: Batch) -> float:
    """Share of worlds in which the cuts leave no heart."""
    return float(np.mean(batch.heart.volume_l <= _LEAST_HEART_L))


def _heads_end(record: SpiritRecord) -> Worlds:
    return np.asarray(record.run["heads"].to_pct_vol)


def _spout(pct_vol: Worlds, system: UnitSystem) -> str:
    return banded(band(pct_vol), "pct_vol", system)
