"""From a product's label, or a malt's diastatic power, to the enzyme that the mash meets."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from caskward.properties._arrays import check_range
from caskward.stages.enzymes import PLAIN, Does, Dose, Enzyme, Habit, loss_per_h, speed
from caskward.stages.stream import Worlds

THINNED_SHARE, SWEETENED_SHARE = 0.998, 0.95
"""What "done in the stated time" means on a label: a drop with iodine stays clear, which asks for less long
starch than `iodine.SHOWS_AT_SHARE`; and nearly all the sugar is there. *Common practice, no source.*"""
BRANCHED_SHARE = 0.2
"""Share of starch that ends as branched limit dextrin (from memory: a fifth to a quarter of a wort's)."""
MALT_RATE_PER_H = 45.0
"""Speed of malt's own enzymes at 100 degrees Lintner over the whole grist [1/h]: the least round figure at
which a pale malt's sugar is all but made in 10 min at 61.4 to 64.5 °C (rittenauer-2021)."""
REFERENCE_LINTNER = 100.0


@dataclass(frozen=True)
class Nature:
    """What a label does not say: constants of the kind of enzyme, as `Enzyme` has them; numbers or worlds."""

    does: Does
    best_c: float | Worlds
    half_life_h: float | Worlds
    half_life_at_c: float
    loss_kj_mol: float | Worlds
    activation_kj_mol: float | Worlds
    habit: Habit = PLAIN


Span = tuple[float | Worlds, float | Worlds]


def label_enzyme(nature: Nature, window_c: Span, window_ph: Span, hold_h: float | Worlds) -> Enzyme:
    """The enzyme that a label promises.

    The meaning of a label, *common practice, no source*: at its full dose and right pH, anywhere from the
    middle of its window to two thirds of the way up (or its best temperature, if higher), it finishes in its
    stated hold: 99.8 % of swollen starch thinned, or 95 % sweetened of all it can sweeten, loss on the way
    included. Nearer to the bottom of the window it takes longer, by Arrhenius. The best temperature is the
    kind's if that lies in the upper half of the label's window, else two thirds of the way up. A label rules
    over its kind: where a kind would be half lost there before a quarter of the hold is over, the product is
    taken to last that long.

    Args:
        nature: constants of the kind. window_c: low and high [°C]. window_ph: low and high [pH].
        hold_h: the label's time to finish [h], above 0.
    """
    check_range("The label's hold", hold_h, "h", 0.01, 100.0)
    low_c, high_c = (np.asarray(c, dtype=float) for c in window_c)
    check_range("The label's window, high less low", high_c - low_c, "K", 0.0, 100.0)
    middle_c = 0.5 * (low_c + high_c)
    kind_c = np.asarray(nature.best_c, dtype=float)
    fits = (kind_c >= middle_c) & (kind_c <= high_c)
    upper_c = low_c + (high_c - low_c) * 2.0 / 3.0
    best_c = np.where(fits, kind_c, upper_c)
    bare = _bare(nature, (low_c, best_c, high_c), window_ph)
    lasting = np.maximum(1.0, 0.25 * np.asarray(hold_h) * loss_per_h(bare, best_c) / np.log(2.0))
    bare = replace(bare, half_life_h=nature.half_life_h * lasting)
    right_ph = 0.5 * (np.asarray(window_ph[0]) + window_ph[1])
    needed = [
        _rate_needed(bare, nature, at_c, right_ph, hold_h) for at_c in (middle_c, np.maximum(best_c, upper_c))
    ]
    return replace(bare, rate_per_h=np.maximum(*needed))


def _bare(nature: Nature, temps_c: tuple[Worlds, Worlds, Worlds], window_ph: Span) -> Enzyme:
    """The enzyme with its window and its loss, its speed still open."""
    return Enzyme(
        nature.does,
        *temps_c,
        *window_ph,
        rate_per_h=1.0,
        half_life_h=nature.half_life_h,
        half_life_at_c=nature.half_life_at_c,
        loss_kj_mol=nature.loss_kj_mol,
        activation_kj_mol=nature.activation_kj_mol,
        habit=nature.habit,
    )


def _rate_needed(enzyme: Enzyme, nature: Nature, at_c: Worlds, ph: Worlds, hold_h: float | Worlds) -> Worlds:
    """Speed at best [1/h] at which the hold at a temperature is just enough, loss included."""
    lost = loss_per_h(enzyme, at_c) * hold_h
    alive_h = hold_h * -np.expm1(-lost) / np.maximum(lost, 1e-12)
    return np.asarray(_lifetimes_to_finish(nature) / (alive_h * speed(enzyme, at_c, ph)))


def _lifetimes_to_finish(nature: Nature) -> Worlds:
    """The x of exp(-x) at which a label's work is done; branched dextrin is slower, or left out.

    For a sweetener that splits branches: (1 - b) exp(-x) + b exp(-βx) = 0.05, solved by halving.
    """
    if nature.does == "thin":
        return np.asarray(-np.log(1.0 - THINNED_SHARE))
    left, slower = 1.0 - SWEETENED_SHARE, np.asarray(nature.habit.on_branched, dtype=float)
    least = np.full(slower.shape, -np.log(left))
    most = least / np.maximum(slower, 1e-3)
    for _ in range(50):
        x = 0.5 * (least + most)
        more = (1.0 - BRANCHED_SHARE) * np.exp(-x) + BRANCHED_SHARE * np.exp(-slower * x) > left
        least, most = np.where(more, x, least), np.where(more, most, x)
    return np.asarray(np.where(slower > 0.0, most, -np.log(left)))


def malt_enzymes(
    lintner: float | Worlds,
    malt_kg: float | Worlds,
    grist_kg: float | Worlds,
    natures: tuple[Nature, Nature],
    windows: tuple[tuple[Span, Span], tuple[Span, Span]],
    at_h: float = 0.0,
) -> tuple[Dose, Dose]:
    """Malt's own thinning and sweetening enzyme, by the malt's diastatic power spread over the grist.

    strength = lintner x malt / grist / 100: twice the malt brings twice the enzyme. 30 degrees Lintner over
    the whole grist is the least, 60 comfortable (*common practice, no source*): well below 30 the sweetening
    enzyme is lost before it has done its work.

    Args:
        lintner: the malt's diastatic power [degrees Lintner], 0 to 500. malt_kg, grist_kg: [kg].
        natures: alpha- and beta-amylase. windows: (window_c, window_ph) of each. at_h: when it goes in [h].
    """
    check_range("The malt's diastatic power", lintner, "degrees Lintner", 0.0, 500.0)
    strength = grist_lintner(lintner, malt_kg, grist_kg) / REFERENCE_LINTNER
    doses = []
    for nature, (window_c, window_ph) in zip(natures, windows, strict=True):
        temps = (np.asarray(window_c[0]), np.asarray(nature.best_c), np.asarray(window_c[1]))
        enzyme = replace(_bare(nature, temps, window_ph), rate_per_h=MALT_RATE_PER_H)
        doses.append(Dose(enzyme, at_h, strength))
    return doses[0], doses[1]


def grist_lintner(lintner: float | Worlds, malt_kg: float | Worlds, grist_kg: float | Worlds) -> Worlds:
    """Diastatic power of the whole grist [degrees Lintner]; nothing where there is no grist."""
    whole_kg = np.maximum(np.asarray(grist_kg, dtype=float), 1e-9)
    return np.asarray(np.asarray(lintner) * np.asarray(malt_kg) / whole_kg)
