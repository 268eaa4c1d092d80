"""Stage cards: from a forecast to what is written down for each stage, in the order of the work."""

from __future__ import annotations

from caskward.catalogue.kinds import Cautions
from caskward.planning import still_cards, tub_cards
from caskward.planning.plan import StageCard
from caskward.planning.sizing import Sized
from caskward.planning.tub.timings import Dry
from caskward.units.show import temperatures_in


def stage_cards(sized: Sized, cautions: Cautions, dry: Dry) -> tuple[StageCard, ...]:
    """Every stage of a sized batch with its targets and cautions; stages that nothing passes are left out."""
    tags = tags_of(sized)
    cards = (
        ("cook", "Cook", tub_cards.cook(sized), tub_cards.material_notes(sized, "cook")),
        ("convert", "Convert", tub_cards.convert(sized), tub_cards.convert_notes(sized)),
        (
            "pitch",
            tub_cards.pitch_title(sized),
            tub_cards.pitch(sized, dry),
            tub_cards.material_notes(sized, "dissolve", "crush"),
        ),
        ("ferment", "Ferment", tub_cards.ferment(sized, dry), tub_cards.ferment_notes(sized, dry)),
        ("separate", "Separate", tub_cards.separate(sized), ()),
        ("strip", "Strip", still_cards.strip(sized), still_cards.strip_notes(sized)),
        ("charge", "Charge for the spirit run", still_cards.charge(sized), still_cards.charge_notes(sized)),
        ("spirit", "Spirit run", still_cards.spirit(sized), still_cards.spirit_notes(sized)),
        ("reduce", "Reduce", still_cards.reduce(sized), ()),
        ("fill", "Fill the cask", still_cards.fill(sized), still_cards.fill_notes(sized)),
        ("clean", "Clean", still_cards.clean(sized), ()),
    )
    return tuple(
        StageCard(
            key,
            title,
            tuple(targets),
            tuple(notes),
            tuple(
                temperatures_in(c.text, sized.intent.show)
                for c in cautions.at(key, *tags, heated_by(sized, key))
            ),
        )
        for key, title, targets, notes in ((k, t, list(made), n) for k, t, made, n in cards)
        if targets
    )


def tags_of(sized: Sized) -> tuple[str, ...]:
    """Whom a caution is for: the style and every material's own, the gear, and what heats pot and still."""
    intent, gear = sized.intent, sized.intent.gear
    tags = [intent.practice.key, gear.tub.kind.key, gear.strip_still.kind.key, gear.straining.key]
    tags += [item.material.usual_style for item in intent.bill]
    tags += ["fruit"] if any(label.does == "fruit" for label in intent.enzymes) else []
    tags += ["enzymes"] if intent.enzymes else []
    return tuple(tags)


def heated_by(sized: Sized, stage: str) -> str:
    """What heats a stage's vessel, so that its cautions stand where its heat is."""
    gear = sized.intent.gear
    if stage == "strip":
        return gear.strip_still.heat.key
    if stage in ("charge", "spirit"):
        return gear.spirit_still.heat.key
    return gear.cook_pot.kind.key if gear.cook_pot is not None else ""
