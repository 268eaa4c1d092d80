"""Gaussians fitted to particles, and the proposals made from them.

A fit to two thousand particles in forty directions is noisy. Where its spread along a direction cannot be
told from the prior's, it is the prior's; where it can, the noise of the eigenvalue is taken out.
Source: spiked covariance: edge (1 ± sqrt(γ))², γ = directions / particles, and its debiased eigenvalue
(Donoho, Gavish and Johnstone 2018, Annals of Statistics 46), from memory; the tests hold what it is used for.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from caskward.stages.stream import Worlds

Deviates = NDArray[np.float64]
"""Standard normal deviates, (worlds, unknowns)."""

_WIDER: Final = 2.0
"""Factor on the sd of the wide part of a proposal."""
_PARTS: Final = (0.8, 0.15, 0.05)
"""Shares of a proposal that come from the fit, the wide fit, and the prior."""
_MOST_NOISE: Final = 0.9


@dataclass(frozen=True)
class Gaussian:
    """Mean (d,) and covariance (d, d) of the deviates."""

    mean: Worlds
    cov: Worlds


def gaussian_of(z: Deviates, weights: Worlds) -> Gaussian:
    """Weighted mean and covariance of particles, as they are."""
    mean = weights @ z
    off = z - mean
    return Gaussian(mean, (off * weights[:, None]).T @ off)


@dataclass(frozen=True)
class Bell:
    """A Gaussian by its axes: the sd along each, and where it is wider or narrower than the prior.

    axes: (d, d), a direction in each column. sd: (d,). told: (d,), true where readings tell something.
    """

    mean: Worlds
    axes: Worlds
    sd: Worlds
    told: NDArray[np.bool_]

    @property
    def wide_sd(self) -> Worlds:
        """Sd along each axis of the wide part."""
        return np.where(self.told, _WIDER * self.sd, self.sd)

    @property
    def centre(self) -> Worlds:
        """The mean, along the axes."""
        return np.asarray(self.mean @ self.axes)

    def along(self, z: Deviates) -> Deviates:
        """Deviates of z from the mean along each axis: what the methods below work on."""
        return np.asarray((z - self.mean) @ self.axes)

    def at(self, along: Deviates) -> Deviates:
        """The z whose deviates along the axes are these."""
        return np.asarray(self.mean + along @ self.axes.T)

    def log_density(self, along: Deviates) -> Worlds:
        """Log density but for the constant of a standard normal."""
        return _log_density(along, self.sd)

    def mixture_log_density(self, along: Deviates) -> Worlds:
        """Log density of draws of `mixture`, but for the same constant."""
        near, wide = _log_density(along, self.sd), _log_density(along, self.wide_sd)
        parts = (near, wide, prior_log_density(along + self.centre))
        logs = [part + np.log(share) for part, share in zip(parts, _PARTS, strict=True)]
        return np.asarray(np.logaddexp(np.logaddexp(logs[0], logs[1]), logs[2]))

    def mixture(self, xi: Deviates, rng: np.random.Generator) -> Deviates:
        """Independent proposals from standard normals xi: mostly the fit, some wider, a few as the prior."""
        which = rng.choice(len(_PARTS), size=len(xi), p=_PARTS)
        along = xi * self.sd
        along[which == 1] = xi[which == 1] * self.wide_sd
        along[which == 2] = xi[which == 2] - self.centre
        return along

    def step(self, along: Deviates, xi: Deviates, size: float) -> Deviates:
        """Preconditioned Crank-Nicolson steps, which leave this Gaussian as it is."""
        return np.asarray(np.sqrt(1.0 - size * size) * along + (size * self.sd) * xi)


def _log_density(along: Deviates, sd: Worlds) -> Worlds:
    return np.asarray(-0.5 * (np.square(along) @ sd**-2.0) - np.log(sd).sum())


def prior_log_density(z: Deviates) -> Worlds:
    """Log density of independent standard normals, but for the constant."""
    return np.asarray(-0.5 * np.einsum("ij,ij->i", z, z))


def bell_of(gaussian: Gaussian, particles: float) -> Bell:
    """A fitted Gaussian with its noise taken out, by how many independent particles it was fitted to."""
    noise = min(gaussian.mean.size / max(particles, 1.0), _MOST_NOISE)
    variance, axes = np.linalg.eigh(gaussian.cov)
    variance = np.maximum(variance, 1e-12)
    told = (variance < (1.0 - np.sqrt(noise)) ** 2) | (variance > (1.0 + np.sqrt(noise)) ** 2)
    middle = variance + 1.0 - noise
    root = np.sqrt(np.maximum(middle * middle - 4.0 * variance, 0.0))
    # Of the two roots the one on its own side of 1: a narrow direction is narrow in truth.
    debiased = np.where(variance < 1.0, 0.5 * (middle - root), 0.5 * (middle + root))
    kept = np.where(told, np.maximum(debiased, 1e-12), 1.0)
    return Bell(_mean_of(gaussian.mean, axes, told, noise), axes, np.sqrt(kept), told)


def _mean_of(mean: Worlds, axes: Worlds, told: NDArray[np.bool_], noise: float) -> Worlds:
    """The mean, pulled to nought (James and Stein) in directions whose spread is the prior's."""
    along = mean @ axes
    rest = float(np.square(along[~told]).sum())
    keeps = max(0.0, 1.0 - noise / rest) if rest > 0.0 else 0.0
    return np.asarray(axes @ np.where(told, along, keeps * along))


def normals(rng: np.random.Generator, count: int, directions: int) -> Deviates:
    """Standard normals whose mean is nought and whose covariance is one, exactly where there are enough."""
    xi = rng.standard_normal((count, directions))
    if count < 4 * directions:
        return xi
    xi -= xi.mean(axis=0)
    root = np.linalg.cholesky(xi.T @ xi / count)
    return np.asarray(xi @ np.linalg.inv(root).T)
