"""Facts from the catalogue that a maker may look up before writing a file."""

from __future__ import annotations

import difflib
import json
from dataclasses import asdict, dataclass

from caskward.catalogue.kinds import Material
from caskward.catalogue.load import load
from caskward.errors import UnknownName


@dataclass(frozen=True)
class MaterialFact:
    """A material that a bill may name; shares are of its mass as it arrives, likely figures."""

    key: str
    name: str
    other_names: tuple[str, ...]
    kind: str
    prepare: str
    starch_share: float
    sugars_share: float
    most_lpa_per_kg: float
    caution: str


def materials(word: str = "") -> tuple[MaterialFact, ...]:
    """Materials whose name, other names or kind hold `word`; all of them without one.

    Raises:
        UnknownName: nothing is called so.
    """
    known = tuple(_fact(material) for material in load().materials.values())
    wanted = " ".join(word.lower().replace("-", " ").split())
    found = tuple(fact for fact in known if any(wanted in name for name in _names(fact)))
    if not found:
        every = [name for fact in known for name in _names(fact)]
        close = difflib.get_close_matches(wanted, every, n=1)
        kinds = tuple(dict.fromkeys(fact.kind for fact in known))
        raise UnknownName("material or kind of material", word, close[0] if close else None, kinds)
    return found


def as_json(found: tuple[MaterialFact, ...]) -> str:
    """Materials as JSON."""
    return json.dumps([asdict(fact) for fact in found], ensure_ascii=False, indent=2)


def _names(fact: MaterialFact) -> tuple[str, ...]:
    return tuple(n.lower().replace("-", " ") for n in (fact.key, fact.name, fact.kind, *fact.other_names))


def _fact(material: Material) -> MaterialFact:
    dry = 1.0 - material.moisture.likely
    others = dict.fromkeys(
        n for n in (material.plural, *material.aliases) if n.lower() != material.name.lower()
    )
    return MaterialFact(
        key=material.key,
        name=material.name,
        other_names=tuple(others),
        kind=material.kind,
        prepare=material.prepare,
        starch_share=dry * (material.starch_dry.likely + material.dextrin_dry.likely),
        sugars_share=dry * material.sugars_dry.likely,
        most_lpa_per_kg=material.potential_lpa_per_kg,
        caution=material.caution,
    )
