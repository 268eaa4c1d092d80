"""Scrambled Sobol points: evenly spread worlds.

Written out because the library that has them takes two seconds to import, which every command would
pay; the tests hold these points against that library's. Direction numbers: Joe and Kuo (2008).
"""

from __future__ import annotations

from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

MOST_DIMENSIONS = 128
_BITS = 32


@cache
def _directions() -> NDArray[np.uint32]:
    """Direction integers, (128, 30), highest bit first."""
    text = resources.files(__package__).joinpath("data/sobol_directions.csv").read_text("utf-8")
    rows = [line.split(",") for line in text.splitlines() if not line.startswith("#")]
    return np.array(rows, dtype=np.uint64).astype(np.uint32)


def sobol(count: int, dimensions: int, seed: int | None) -> NDArray[np.float64]:
    """The first `count` points in the unit cube, (count, dimensions), each coordinate inside (0, 1).

    Args:
        count: a power of two keeps the points balanced, 1 to 2**20.
        dimensions: 1 to 128.
        seed: for a linear matrix scramble and a digital shift (Matousek 1998); None leaves the points
            unscrambled.

    Raises:
        ValueError: more dimensions than there are direction numbers.
    """
    if not 1 <= dimensions <= MOST_DIMENSIONS:
        raise ValueError(f"{dimensions} dimensions; Sobol directions reach {MOST_DIMENSIONS}")
    directions = _directions()[:dimensions]
    shift = np.zeros(dimensions, dtype=np.uint32)
    if seed is not None:
        rng = np.random.default_rng(seed)
        directions = _scrambled(directions, rng)
        shift = rng.integers(0, 1 << _BITS, size=dimensions, dtype=np.uint32)
    index = np.arange(count, dtype=np.uint32)
    gray = index ^ (index >> np.uint32(1))
    points = np.broadcast_to(shift, (count, dimensions)).copy()
    for bit in range(max(count - 1, 1).bit_length()):
        chosen = ((gray >> np.uint32(bit)) & np.uint32(1)).astype(bool)
        points[chosen] ^= directions[:, bit]
    middle = 0.0 if seed is None else 0.5
    return np.asarray((points + middle) / float(1 << _BITS), dtype=np.float64)


def _scrambled(directions: NDArray[np.uint32], rng: np.random.Generator) -> NDArray[np.uint32]:
    """Each dimension's digits times a random lower triangular matrix of ones and noughts, modulo 2."""
    places = np.arange(_BITS - 1, -1, -1, dtype=np.uint32)
    digits = (directions[:, :, None] >> places) & np.uint32(1)
    mixing = np.tril(rng.integers(0, 2, size=(len(directions), _BITS, _BITS), dtype=np.uint32), -1)
    mixing += np.eye(_BITS, dtype=np.uint32)
    mixed = np.einsum("dij,dkj->dki", mixing, digits) & np.uint32(1)
    return np.asarray((mixed << places).sum(axis=2, dtype=np.uint64).astype(np.uint32))
