"""Where a wash ferments: what a course is told, and how it is laid over worlds and hours."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from caskward.properties._arrays import check_range
from caskward.stages.stream import Worlds
from caskward.stages.yeast import Yeast

PLENTY_MG_L = 1e9
"""Nitrogen where none is asked for: the yeast never wants."""


@dataclass(frozen=True)
class FermentSettings:
    """Where a wash ferments. Grids are (hours, 1) or (hours, worlds); plain numbers and worlds serve too.

    `set_point_c`: a controller's temperature, or the temperatures as logged; None lets the wash warm itself
    against a wall that loses `heat_loss_w_k` to the room. `dextrin_per_h`: share of the dextrin within reach
    (`dextrin_reach` of all) that living enzymes split in an hour; none off the grain and after a boil.
    `nitrogen_mg_l` None: enough. `sours_per_h`: share of the sugar that bacteria take in an hour once they
    have come up, about `sours_from_h`.
    """

    heat_loss_w_k: float | Worlds = 5.0
    room_c: float | Worlds = 20.0
    set_point_c: float | Worlds | None = None
    dextrin_per_h: float | Worlds = 0.0
    dextrin_reach: float | Worlds = 1.0
    nitrogen_mg_l: float | Worlds | None = None
    ph_start: float | Worlds = 5.2
    ph_end: float | Worlds = 4.0
    sours_per_h: float | Worlds = 0.0
    sours_from_h: float | Worlds = 24.0
    carried_off_share: float | Worlds = 0.006
    passed_over_kg: float | Worlds = 0.0


def checked(hours: Worlds, yeast: Yeast, settings: FermentSettings) -> Worlds:
    """The hours as a rising grid from 0; refuses what cannot be (`OutOfRange`)."""
    grid = np.atleast_1d(np.asarray(hours, dtype=float))
    check_range("first hour", float(grid[0]), "h", 0.0, 0.0, "A course starts when the yeast is pitched.")
    check_range("step from one hour to the next", np.diff(grid), "h", 1e-6, np.inf)
    for name, value in (("attenuation", yeast.attenuation), ("yield", yeast.yield_of_theory)):
        check_range(name, value, "", 0.01, 1.0)
    check_range("share at which the yeast gives out", yeast.gives_out_at, "", 0.0, 1.0)
    check_range("cells", yeast.cells_g_l, "g/L", 0.0, 200.0)
    check_range("lag", yeast.lag_h, "h", 0.0, 500.0)
    check_range("strength the yeast can stand", yeast.tolerance_pct_vol, "%vol", 1.0, 25.0)
    check_range("speed", yeast.speed, "", 0.0, 10.0)
    _check_settings(settings)
    return grid


def _check_settings(settings: FermentSettings) -> None:
    check_range("heat lost by the wall", settings.heat_loss_w_k, "W/K", 0.0, np.inf)
    if settings.set_point_c is not None:
        check_range("set point", settings.set_point_c, "°C", 0.0, 100.0)
    check_range("dextrin split in an hour", settings.dextrin_per_h, "1/h", 0.0, np.inf)
    for name, share in (
        ("dextrin within reach", settings.dextrin_reach),
        ("alcohol carried off", settings.carried_off_share),
    ):
        check_range(name, share, "", 0.0, 1.0)
    check_range("room", settings.room_c, "°C", -40.0, 60.0)
    for name, ph in (("pH at the start", settings.ph_start), ("pH at the end", settings.ph_end)):
        check_range(name, ph, "", 1.0, 9.0)
    check_range("sugar that bacteria take in an hour", settings.sours_per_h, "1/h", 0.0, 1.0)
    if settings.nitrogen_mg_l is not None:
        check_range("nitrogen", settings.nitrogen_mg_l, "mg/L", 0.0, 1e6)


GRIDS = ("room_c", "set_point_c", "dextrin_per_h")


def numbers(yeast: Yeast, settings: FermentSettings) -> Mapping[str, float | Worlds]:
    """Everything that is told once for a world, by name."""
    told = {**vars(yeast), **{k: v for k, v in vars(settings).items() if k not in GRIDS}}
    if told["nitrogen_mg_l"] is None:
        told["nitrogen_mg_l"] = PLENTY_MG_L
    return told


def shapes(facts: Yeast | FermentSettings, of_grid: int = 0) -> list[tuple[int, ...]]:
    """Shapes over worlds; a grid's first axis is hours."""
    shapes = []
    for name, value in vars(facts).items():
        shape: tuple[int, ...] = np.asarray(value).shape if value is not None else ()
        on_grid = name in GRIDS and len(shape) > 1 and shape[0] == of_grid
        shapes.append(shape[1:] if on_grid else shape)
    return shapes


def flat(value: float | Worlds, shape: tuple[int, ...]) -> Worlds:
    """A number or an array of worlds, as one row of worlds."""
    return np.array(np.broadcast_to(np.asarray(value, dtype=float), shape)).ravel()


def driven(value: float | Worlds, hours: Worlds, fine: Worlds, shape: tuple[int, ...]) -> Worlds:
    """What is given for worlds or on the grid, on the fine hours: (hours, 1) or (hours, worlds)."""
    given = np.asarray(value, dtype=float)
    if given.ndim < 2 or given.shape[0] != len(hours):
        wide = given.reshape(1, 1) if given.size == 1 else flat(given, shape)[None]
        return np.broadcast_to(wide, (len(fine), wide.shape[1]))
    given = given.reshape(len(hours), -1)
    at = np.clip(np.searchsorted(hours, fine, side="right") - 1, 0, max(len(hours) - 2, 0))
    part = ((fine - hours[at]) / np.diff(hours)[at])[:, None] if len(hours) > 1 else 0.0
    return np.asarray(given[at] + part * (given[np.minimum(at + 1, len(hours) - 1)] - given[at]))
