"""How much acid, chalk, backset or calcium a tub takes, by a trial: `5 mL moved 5.8 to 5.4 in 1 L`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from caskward.catalogue.load import load
from caskward.errors import MissingValue, MoreThanNothing, NotUnderstood, OptionsClash, WrongKind
from caskward.planning.acid import (
    Backset,
    Kind,
    Needed,
    Response,
    Trial,
    backset_share,
    backset_trial,
    calcium_mg_l,
    calcium_salt_g,
    needed,
    response,
)
from caskward.units import parse

TRIAL_EXAMPLE: Final = '"5 mL moved 5.8 to 5.4 in 1 L"'
BACKSET_EXAMPLE: Final = '"10 % moved 5.9 to 5.6"'
EXAMPLE: Final = f'caskward tub acid {TRIAL_EXAMPLE} --to 5.2 --volume "460 L"'

Unit = Literal["mL", "g"]

_NUMBER = r"\d+(?:[.,]\d+)?"
_MOVED = rf"\s+moved\s+(?:it\s+|the\s+)?(?:ph\s+)?(?:from\s+)?({_NUMBER})\s*(?:to|->|→|-|–)\s*({_NUMBER})"
_ROW = re.compile(rf"(\d[\d.,/]*\s*[^\W\d]+\.?(?:\s+oz)?)(?:\s+(.*?))?{_MOVED}\s+in\s+(\d.*)", re.IGNORECASE)
_SHARE_ROW = re.compile(rf"(\d.*?)(?:\s+(?:of\s+)?backset)?{_MOVED}", re.IGNORECASE)
_ROW_ENDS = re.compile(
    rf"(\bin\s+{_NUMBER}\s*[a-z]+\.?|\bmoved[^;,]*?(?:to|->|→)\s*{_NUMBER})\s+(?=\d)", re.IGNORECASE
)
_BETWEEN = re.compile(r"\s*[;,]\s+|\s+and\s+(?=\d)", re.IGNORECASE)
_PH = re.compile(rf"(?:ph\s*)?({_NUMBER})", re.IGNORECASE)
_MG_L = re.compile(rf"({_NUMBER})\s*(?:mg/l|ppm)?", re.IGNORECASE)
_BASES: Final = ("chalk", "lime", "carbonate", "bicarbonate", "soda", "potash", "hydroxide", "base")


@dataclass(frozen=True)
class Tried:
    """Rows of a trial as typed: what was added, its unit, and how far each moved the pH."""

    what: str
    unit: Unit
    kind: Kind
    trials: tuple[Trial, ...]


@dataclass(frozen=True)
class CalciumNeed:
    """A salt for the calcium of so many litres [g], what is there and what comes of it [mg/L]."""

    salt: str
    grams: float
    has_mg_l: float
    reaches_mg_l: float
    volume_l: float


@dataclass(frozen=True)
class AcidAnswer:
    """What moves the tub to its pH: acid or chalk, backset, calcium; each only where it was asked.

    first: half of the need, to add before the pH is read again.
    """

    ph_now: float | None
    ph_target: float | None
    volume_l: float | None
    now_from_trial: bool
    seen: Response | None
    need: Needed | None
    first: float | None
    further: bool
    backset: Backset | None
    liquor_l: float | None
    calcium: CalciumNeed | None
    cautions: tuple[str, ...]


@dataclass(frozen=True)
class AcidAsk:
    """The question as typed, every part a text; what was not typed is empty."""

    rows: str = ""
    to: str = ""
    now: str = ""
    volume: str = ""
    backset: Sequence[str] = ()
    liquor: str = ""
    calcium: str = ""
    has: str = ""


def acid(ask: AcidAsk) -> AcidAnswer:
    """What the tub takes.

    Raises:
        InputError: a row that is not understood, something missing, a trial that tells nothing or points
            the other way.
    """
    if not (ask.rows.strip() or ask.backset or ask.calcium):
        raise MissingValue("tub acid", "what a trial in a jar showed", EXAMPLE)
    tried = tried_of(ask.rows) if ask.rows.strip() else None
    mixes = tuple(mix for given in ask.backset for mix in _mixes(given))
    trials = (*(tried.trials if tried else ()), *mixes)
    target = _ph(ask.to, "the pH you want") if ask.to else None
    if trials and target is None:
        raise MissingValue("tub acid", "the pH you want", "--to 5.2")
    now = _ph(ask.now, "the pH now") if ask.now else (trials[0].ph_before if trials else None)
    volume_l = _litres(ask.volume, "the mash")
    if volume_l is None and (tried or ask.calcium):
        raise MissingValue("tub acid", "how much mash there is", '--volume "460 L"')
    seen = response(tried.what, tried.unit, tried.trials, tried.kind) if tried else None
    need = _need(seen, now, target, volume_l)
    liquor_l = _litres(ask.liquor, "the liquor") if ask.liquor else volume_l
    return AcidAnswer(
        ph_now=now,
        ph_target=target,
        volume_l=volume_l,
        now_from_trial=not ask.now and bool(trials),
        seen=seen,
        need=need,
        first=0.5 * need.amount if need else None,
        further=bool(need and seen and not need.beyond and _past(seen, now, target)),
        backset=_backset(mixes, now, target, liquor_l),
        liquor_l=liquor_l,
        calcium=_calcium(ask, volume_l) if ask.calcium else None,
        cautions=_cautions(need),
    )


def tried_of(given: str) -> Tried:
    """Rows of one addition, `5 mL moved 5.8 to 5.4 in 1 L; 8 mL moved 5.8 to 5.2 in 1 L`.

    Raises:
        InputError: a row that is not understood, or rows of two additions.
    """
    rows = [_row(text) for text in _rows_of(given) if text.strip()]
    units = sorted({unit for _, unit, _ in rows})
    names = list(dict.fromkeys(what for what, _, _ in rows if what))
    one = "Give the trials of one addition at a time, in one kind of unit."
    for several in (units, names):
        if len(several) > 1:
            raise OptionsClash(f"A trial of {several[0]}", f"one of {several[1]}", one)
    trials = tuple(trial for _, _, trial in rows)
    what = names[0] if names else "what you tried"
    return Tried(what[:1].upper() + what[1:], rows[0][1], _kind(what, trials), trials)


# What is typed ---------------------------------------------------------------------------------------


def _rows_of(given: str) -> list[str]:
    """Rows parted by a semicolon, a comma, "and", or only by where the one before is complete."""
    return _BETWEEN.split(_ROW_ENDS.sub(r"\1; ", " ".join(given.split())))


def _litres(given: str, what: str, example: str = "460 L") -> float | None:
    """Litres as typed, some at least; none where nothing was typed."""
    if not given:
        return None
    volume_l = parse.volume_l(given, what=what)
    if not volume_l > 0.0:
        raise MoreThanNothing(what[:1].upper() + what[1:], volume_l, "L", example)
    return volume_l


def _row(text: str) -> tuple[str, Unit, Trial]:
    found = _ROW.fullmatch(text.strip())
    if not found:
        raise NotUnderstood("a trial of acid or chalk", text.strip(), TRIAL_EXAMPLE)
    amount, unit = _amount(found[1])
    what = re.sub(r"^of\s+", "", (found[2] or "").strip(), flags=re.IGNORECASE)
    before, after = (_ph(found[i], "a pH of the trial") for i in (3, 4))
    volume_l = _litres(found[5].rstrip(" ."), "the mash of the trial", "1 L") or 0.0
    if not amount > 0.0:
        raise MoreThanNothing("What went into the trial", amount, unit, f"5 {unit}")
    return what, unit, Trial(amount, volume_l, before, after)


def _amount(given: str) -> tuple[float, Unit]:
    """Millilitres, or grams where a mass was typed."""
    what = "what went into the trial"
    try:
        return 1000.0 * parse.mass_kg(given, what=what), "g"
    except WrongKind:
        return 1000.0 * parse.volume_l(given, what=what), "mL"


def _mixes(given: str) -> list[Trial]:
    rows = []
    for text in _rows_of(given):
        found = _SHARE_ROW.fullmatch(text.strip())
        if not found:
            raise NotUnderstood("a trial mix with backset", text.strip(), BACKSET_EXAMPLE)
        before, after = (_ph(found[i], "a pH of the trial mix") for i in (2, 3))
        share = parse.share(found[1], what="backset in the trial mix")
        if not share > 0.0:
            raise MoreThanNothing("The backset of the trial mix", share, "%", "10 %")
        rows.append(backset_trial(share, before, after))
    return rows


def _kind(what: str, trials: Sequence[Trial]) -> Kind:
    """By its name; what has none is what it did."""
    if any(word in what.lower() for word in _BASES):
        return "base"
    if "acid" in what.lower():
        return "acid"
    return "base" if sum(t.dose * t.move for t in trials) > 0.0 else "acid"


def _ph(given: str, what: str) -> float:
    found = _PH.fullmatch(given.strip())
    if not found:
        raise NotUnderstood(what, given, "5.2")
    return float(found[1].replace(",", "."))


# The answers -----------------------------------------------------------------------------------------


def _need(
    seen: Response | None, now: float | None, target: float | None, volume_l: float | None
) -> Needed | None:
    if seen is None or now is None or target is None or volume_l is None:
        return None
    return needed(seen, now, target, volume_l)


def _past(seen: Response, now: float | None, target: float | None) -> bool:
    return now is not None and target is not None and abs(target - now) > seen.most_move + 0.005


def _backset(
    mixes: tuple[Trial, ...], now: float | None, target: float | None, liquor_l: float | None
) -> Backset | None:
    if not mixes or now is None or target is None:
        return None
    return backset_share(response("Backset", "%", mixes), now, target, liquor_l or 0.0)


def _calcium(ask: AcidAsk, volume_l: float | None) -> CalciumNeed:
    found = _MG_L.fullmatch(ask.has.strip()) if ask.has else None
    if ask.has and not found:
        raise NotUnderstood("calcium in the water", ask.has, '"20 mg/L"')
    has_mg_l = float(found[1].replace(",", ".")) if found else 0.0
    salt, litres = ask.calcium.strip().lower(), volume_l or 0.0
    grams = calcium_salt_g(salt, litres, has_mg_l)
    brings = calcium_mg_l(salt, grams, litres) if litres > 0.0 else 0.0
    return CalciumNeed(salt, grams, has_mg_l, has_mg_l + brings, litres)


def _cautions(need: Needed | None) -> tuple[str, ...]:
    """What to mind with what goes in; half first stands in the answer itself."""
    if need is None or need.amount <= 0.0:
        return ()
    return (*need.cautions[1:], *(c.text for c in load().cautions.at("acid")))
