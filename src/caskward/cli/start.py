"""From words to an exit code: which command they ask for, and what happens to an error."""

from __future__ import annotations

import difflib
import os
import traceback
from importlib import import_module
from pathlib import Path
from typing import cast

from caskward.cli.loose import LooseCommand
from caskward.cli.terminal import complain, in_my_words
from caskward.errors import CaskwardError, UnknownName

LOOSE = ("gauge", "proof", "card", "still", "tub", "book", "desk")
"""Commands that take loose words; each is the `COMMAND` of a module of its own, loaded when asked for."""
OF_A_PLAN = ("update", "why", "next", "remedy", "learn")
"""Questions about a plan's batch under way, behind `plan`; a file of such a name is planned as `./update`."""


def loose(name: str) -> LooseCommand:
    """The command of this name that takes loose words."""
    return cast(LooseCommand, import_module(f"caskward.cli.{name}").COMMAND)


def run(words: list[str]) -> int:
    """Run one command and return its exit code; whatever goes wrong ends in one sentence.

    0 done, 1 a fault of Caskward's own, 2 an input that cannot be used, 3 a wish that this gear cannot meet,
    130 stopped by the keyboard.
    """
    # Many small matrices: threads of the linear algebra would only wait for each other.
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        if words and words[0] in LOOSE:
            return loose(words[0]).run(words[1:])
        if words[:1] == ["plan"] and len(words) > 1 and _asks_of_a_plan(words):
            return loose(f"plan_{words[1]}").run(words[2:])
        from caskward.cli.app import run_listed

        return run_listed(words)
    except CaskwardError as error:
        complain(in_my_words(str(error)))
        return error.exit_code
    except OSError as error:
        complain(f"The answer cannot be written: {error.strerror or error}.")
        return 1
    except Exception as error:  # the last resort: no stack trace in a shed
        if os.environ.get("CASKWARD_DEBUG") == "1":
            complain(traceback.format_exc().rstrip())
        complain(
            f"Something went wrong inside Caskward ({type(error).__name__}), and it is not your fault. "
            "Please report it with your file; CASKWARD_DEBUG=1 shows where it happened."
        )
        return 1


def _asks_of_a_plan(words: list[str]) -> bool:
    """True where the word behind `plan` is a question and not a file.

    Raises:
        UnknownName: it is nearly one, no file of that name is there, and more words follow.
    """
    word = words[1]
    if word in OF_A_PLAN:
        return True
    if len(words) > 2 and word.isalpha() and not Path(word).exists():
        close = difflib.get_close_matches(word, OF_A_PLAN, n=1)
        if close and not _is_a_starting_point(word):
            raise UnknownName("question about a plan", word, close[0], OF_A_PLAN)
    return False


def _is_a_starting_point(word: str) -> bool:
    from caskward.services.plans import starting_points

    return word in starting_points()
