"""Gauging: what is it really, how much water, what results; usable alone."""

from __future__ import annotations

import re
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from caskward.desk.forms import asked
from caskward.desk.pages import Answer, GaugingPage, Question
from caskward.desk.render import is_update, page, units_of
from caskward.desk.screens import GAUGING
from caskward.errors import HotSample, ImpossibleIntent, InputError
from caskward.errors.desk import NoSuchPage
from caskward.services import gauging, gauging_said, gauging_sentence
from caskward.services.gauging_mixing_words import step_rows
from caskward.services.gauging_systems import system_for
from caskward.services.gauging_words import words
from caskward.units.types import UnitSystem

router = APIRouter()
_IN_FAHRENHEIT = re.compile(r"\d\s*°?\s*F\b", re.IGNORECASE)

QUESTIONS = (
    Question(
        key="strength",
        name="True strength",
        label="What you read, and how warm it is",
        examples=("47 % at 28 C", "20 L of 63.2 % at 14 C", "126.4 proof at 82 F", "1.054 at 31 C"),
        keys=(" % ", " at ", " C", " F", " L of ", " proof ", " kg of "),
    ),
    Question(
        key="reduce",
        name="Reduce",
        label="How much of what, and the strength wanted",
        examples=("20 L 71.3 % to 63 %", "12.5 kg 71.3 % to 63 % over 5 days", "71.3 % to 50 L of 63 %"),
        keys=(" L ", " kg ", " % ", " to ", " at ", " C", " gal ", " proof "),
    ),
    Question(
        key="blend",
        name="Blend",
        label="What goes together",
        examples=(
            "20 L 63 % and 5 L water",
            "8 L 24 % and 12 L 70 %",
            "71 % and 24 % to 50 L of 60 %",
            "10 L 38 % to 40 % with 70 %",
        ),
        keys=(" L ", " % ", " and ", " to ", " with ", " of ", " kg ", " water "),
    ),
)
_US: Final = {
    "strength": Question(
        key="strength",
        name="True strength",
        label="What you read, and how warm it is",
        examples=("126.4 proof at 82 F", "5 gal of 126.4 proof at 58 F", "47 % at 82 F", "1.054 at 88 F"),
        keys=(" proof ", " at ", " F", " gal of ", " % ", " lb of "),
    ),
    "reduce": Question(
        key="reduce",
        name="Reduce",
        label="How much of what, and the strength wanted",
        examples=(
            "5 gal 142 proof to 126 proof",
            "28 lb 142 proof to 126 proof",
            "142 proof to 13 gal of 126 proof",
        ),
        keys=(" gal ", " lb ", " proof ", " to ", " at ", " F", " % "),
    ),
    "blend": Question(
        key="blend",
        name="Blend",
        label="What goes together",
        examples=(
            "5 gal 126 proof and 1 gal water",
            "2 gal 48 proof and 3 gal 140 proof",
            "142 proof and 48 proof to 13 gal of 120 proof",
            "3 gal 76 proof to 80 proof with 140 proof",
        ),
        keys=(" gal ", " proof ", " and ", " to ", " with ", " of ", " lb ", " water "),
    ),
}
"""The same questions with the examples and keys of a US maker."""


@router.get("/gauging")
@router.get("/gauging/{key}")
def ask(request: Request, key: str = "strength") -> Response:
    """The question, and its answer if something was typed."""
    question = next((one for one in QUESTIONS if one.key == key), None)
    if question is None:
        raise NoSuchPage
    typed, usual = asked(request, "q"), units_of(request)
    question = _US[key] if usual == "us" else question
    found, error = _answered(question, typed, usual) if typed else (None, "")
    data = GaugingPage(
        title="Gauging",
        screen=GAUGING.key,
        question=question,
        questions=QUESTIONS,
        typed=typed,
        answer=found,
        error=error,
        typing=is_update(request) and asked(request, "sent") == "",
    )
    status = 422 if error and not is_update(request) else 200
    return page(request, "gauging", data, part="gauging_answer", status=status)


def _answered(question: Question, typed: str, usual: UnitSystem) -> tuple[Answer | None, str]:
    try:
        return _answer(question, typed, usual), ""
    except HotSample as error:
        return None, error.plain if _IN_FAHRENHEIT.search(typed) else str(error)
    except (InputError, ImpossibleIntent) as error:
        return None, str(error)


def _answer(question: Question, typed: str, usual: UnitSystem) -> Answer:
    found = _of_one(typed) if question.key == "strength" else _of_several(typed)
    system = system_for("", [typed], usual)
    said = words(found, system)
    steps = step_rows(found.steps, system) if isinstance(found, gauging.ReduceAnswer) else ()
    return Answer(
        headline=said.headline,
        lines=tuple(line for line in said.lines if not line[0].startswith("Step ")),
        notes=tuple(note for note in said.notes if note not in found.assumed),
        assumed=found.assumed,
        cautions=said.cautions,
        steps=tuple((day.replace(" ", "\u00a0"), *rest) for day, *rest in steps),
    )


def _of_one(typed: str) -> gauging.GaugeAnswer | gauging.WashAnswer:
    """A spirit's strength, or a must's gravity."""
    ask_for = gauging_said.gauging(typed)
    reading = ask_for.readings[0]
    if reading.reading and gauging.is_of_a_wash(reading.reading):
        return gauging.gauge_wash(gauging.WashAsk(gravity=reading))
    return gauging.gauge(ask_for)


def _of_several(typed: str) -> gauging.ReduceAnswer | gauging.MixAnswer:
    return gauging_sentence.answer(gauging_sentence.wish(typed))
