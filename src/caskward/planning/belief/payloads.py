"""What a target brings back beside its likelihood, put together from several runs of worlds."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray


def gathered(payloads: Sequence[Any], run: NDArray[np.intp], world: NDArray[np.intp], count: int) -> Any:
    """One payload whose worlds are those asked for: of which run, and which world of that run.

    Mappings, tuples and frozen dataclasses are gone through; arrays whose last axis has `count` worlds are
    picked from. Anything else (a name, one number for all worlds) is taken from the first run.
    """
    first = payloads[0]
    if isinstance(first, np.ndarray):
        if first.ndim == 0 or first.shape[-1] != count:
            return first
        return np.concatenate(payloads, axis=-1)[..., run * count + world]
    if isinstance(first, Mapping):
        return {key: gathered([p[key] for p in payloads], run, world, count) for key in first}
    if isinstance(first, list | tuple) and not hasattr(first, "_fields"):
        return type(first)(gathered(parts, run, world, count) for parts in zip(*payloads, strict=True))
    if is_dataclass(first) and not isinstance(first, type):
        return replace(
            first,
            **{
                f.name: gathered([getattr(p, f.name) for p in payloads], run, world, count)
                for f in fields(first)
                if f.init
            },
        )
    return first
