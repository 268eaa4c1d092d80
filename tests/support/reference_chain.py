"""A long reference: Metropolis and Hastings, many chains side by side, on the same target as the worlds.

Every other step is a random walk, every other a draw of the prior. A walk alone is too slow for the tails: a
reading that may be simply wrong leaves a far plateau that few steps lead to, and spreads came out some
percent too narrow against 800,000 draws of the prior, weighed.
Source: Metropolis et al. (1953), Journal of Chemical Physics 21; Hastings (1970), Biometrika 57; steps of
2.38/sqrt(d) times the target's own spread (Gelman, Roberts and Gilks 1996, Bayesian Statistics 5), all from
memory.
"""

from __future__ import annotations

import numpy as np

from caskward.planning.belief.tempering import Target
from caskward.stages.stream import Worlds

_EVERY = 25


def long_chain(target: Target, z: Worlds, steps: int, keep: int, seed: int) -> tuple[Worlds, float]:
    """States of chains that began at z (chains, unknowns): `keep` rounds of the second half, and acceptance.

    Acceptance is that of the walk.

    Over the first half the proposal's spread follows that of all chains; then it stands, and what is kept
    follows the target alone.
    """
    rng = np.random.default_rng(seed)
    z, count, half = np.array(z), len(z), steps // 2
    log = _log_density(target, z)
    root, size, kept, taken = np.eye(z.shape[1]), 2.38 / np.sqrt(z.shape[1]), [], []
    for step in range(1, steps + 1):
        xi, walks = rng.standard_normal(z.shape), step % 2 == 1
        tried = z + size * xi @ root.T if walks else xi
        found = _log_density(target, tried)
        # A draw of the prior is accepted by the likelihood alone.
        gain = found - log if walks else (found + _half_square(tried)) - (log + _half_square(z))
        accepted = np.log(rng.random(count)) < gain
        z[accepted], log[accepted] = tried[accepted], found[accepted]
        if step <= half and step % _EVERY == 0:
            root = np.linalg.cholesky(np.cov(z.T) + 1e-6 * np.eye(z.shape[1]))
        if step > half:
            if walks:
                taken.append(float(accepted.mean()))
            if (step - half) % max(half // keep, 1) == 0:
                kept.append(z.copy())
    return np.concatenate(kept), float(np.mean(taken))


def _log_density(target: Target, z: Worlds) -> Worlds:
    log = target(z).log_like - _half_square(z)
    return np.where(np.isnan(log), -np.inf, log)


def _half_square(z: Worlds) -> Worlds:
    return np.asarray(0.5 * np.einsum("ij,ij->i", z, z))
