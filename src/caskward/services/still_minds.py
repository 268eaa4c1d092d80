"""What to mind about a run: where its stop, heat or column leave the ground that the model was made for."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from caskward.services.still_gear import Gear
from caskward.services.still_receivers import ReceiverLine
from caskward.services.still_sense import HARD_KW_PER_L, wall_loss_kw
from caskward.stages.distil import Profile
from caskward.stages.receivers import Receiver
from caskward.units import show
from caskward.units.types import UnitSystem

A_DROP_L = 1e-6
ONCE_ONLY = (
    "This is a wash run once, without a strip before it: the heart is a first distillate, weaker and fuller "
    "than one from low wines, and the trade's marks are those of low wines. To strip it first: caskward "
    "still strip"
)


def minds_of(
    profile: Profile, gear: Gear, volume_l: float, *, wash: bool, system: UnitSystem
) -> tuple[str, ...]:
    """Where a figure leaves the ground that its model was made for, each in a sentence."""
    return (
        *_about_the_stop(profile),
        *((ONCE_ONLY,) if wash else ()),
        *_about_the_heat(gear, volume_l, system),
        *_about_the_column(gear),
    )


def _about_the_stop(profile: Profile) -> list[str]:
    said = []
    missed, nothing = (1.0 - float(np.mean(v)) for v in (profile.reached, profile.volume_l[-1] > A_DROP_L))
    if missed > 0.999:
        said.append("The stop is met in no possible run: each goes on until the charge is spent.")
    elif missed > 0.0:
        said.append(
            f"The stop is not met in {_in_ten(missed)} possible runs: there it goes on until the charge is "
            "spent."
        )
    if nothing > 0.0:
        said.append(
            f"The stop is met before the first drop in {_in_ten(nothing)} possible runs: bands of strength "
            "are over the others."
        )
    return said


def _about_the_heat(gear: Gear, volume_l: float, system: UnitSystem) -> list[str]:
    said = []
    if gear.power_kw > HARD_KW_PER_L * volume_l:
        hard = show.power(HARD_KW_PER_L * volume_l, system)
        said.append(
            f"{show.power(gear.power_kw, system)} is hard for so small a charge: from about {hard} a boil "
            "may throw liquid over the head, which no figure here knows."
        )
    kind = gear.known_kind
    lost = min(wall_loss_kw(gear, volume_l, least=False) / gear.power_kw, 1.0)
    if lost > kind.heat_loss_share.high:
        most = show.share(kind.heat_loss_share.high)
        said.append(
            f"At so little power the pot's own walls lose about {show.share(round(lost, 2))} of it, and at "
            f"most {most} is reckoned here: it takes longer than shown, and the head sends more back."
        )
    return said


def _about_the_column(gear: Gear) -> list[str]:
    if gear.plates <= 0.0:
        only_time = (
            "A reflux ratio without plates makes nothing stronger: what goes back boils again, and buys only "
            "time and energy. Give --plates, or leave it out."
        )
        return [only_time] if gear.reflux_ratio > 0.0 else []
    said = [
        "Plates hold no liquid of their own in this model: congeners that gather on them come a little "
        "later than shown, and the trade's marks are those of pot stills."
    ]
    if gear.reflux_ratio <= 0.0 and gear.dephlegmator_share <= 0.0:
        said.insert(
            0,
            "Plates with nothing sent back over them do nothing: say what is, by --reflux-ratio or "
            "--dephlegmator.",
        )
    return said


def _in_ten(share: float) -> str:
    tenths = round(10.0 * share)
    if 0 < tenths < 10:
        return f"{tenths} of 10"
    return "over 9 of 10" if share > 0.5 else "under 1 of 10"


def first_words(plan: Sequence[Receiver]) -> tuple[str, ...]:
    """What to mind where the first runnings go into the heart, or foreshots stand behind another receiver."""
    names = [receiver.name for receiver in plan]
    kinds = [name.casefold() for name in names]
    late = next((k for k, kind in enumerate(kinds) if k and kind.startswith("foreshots")), 0)
    if not names or not (late or kinds[0].startswith("heart")):
        return ()
    behind = f", and {names[late]} stands behind it" if late else ""
    return (
        f"What runs first holds the foreshots, and in this plan it goes into {names[0]}{behind}. Plan "
        "foreshots first, and keep them out of the heart.",
    )


def skipped_words(lines: Sequence[ReceiverLine], plan: Sequence[Receiver]) -> tuple[str, ...]:
    """Receivers whose end is met before they begin, where others after them fill."""
    last = max((k for k, line in enumerate(lines) if line.filled > 0.0), default=0)
    early = [
        line.name
        for line, receiver in zip(lines[:last], plan, strict=False)
        if line.filled <= 0.0 and any(stop.by != "own_volume_l" for stop in receiver.stops)
    ]
    if not early:
        return ()
    ends = "its end is met before it begins" if len(early) == 1 else "their ends are met before they begin"
    return (f"Nothing runs into {' and '.join(early)}: {ends}. Look at the order of the receivers.",)
