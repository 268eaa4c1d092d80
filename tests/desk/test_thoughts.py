"""What is thought of a batch beside its pages: the newest rows first, nothing of rows that are overtaken."""

from __future__ import annotations

import pytest

from caskward.desk import thoughts
from caskward.desk.thoughts import PARTS, Failed, Thoughts
from caskward.services.book.batch_record import BatchRecord


@pytest.fixture
def worked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, int, str]]:
    """Every part that is worked out: of which batch with which plan, in order."""
    found: list[tuple[str, int, str]] = []

    def working(name: str):
        return lambda _, of: found.append((of.of.name, of.of.plan, name)) or name

    monkeypatch.setattr(thoughts, "WORK", {name: working(name) for name in PARTS})
    monkeypatch.setattr(Thoughts, "_wake", lambda self: None)
    return found


def _of(name: str, plan: int) -> BatchRecord:
    return BatchRecord(name=name, is_open=True, entries=(), plan=plan)


def _thought_through(mind: Thoughts) -> None:
    mind._asked.put(None)
    mind._think()


def test_what_is_overtaken_is_not_thought_to_its_end(worked) -> None:
    mind = Thoughts(None)  # type: ignore[arg-type] # nothing here opens a book
    old, other = mind.of(_of("rye", 1)), mind.of(_of("pears", 1))
    new = mind.of(_of("rye", 2))
    _thought_through(mind)
    assert worked == [("pears", 1, name) for name in PARTS] + [("rye", 2, name) for name in PARTS]
    assert [type(old.part(name)) for name in PARTS] == [Failed] * len(PARTS), "nobody waits for it"
    assert (other.part("remedy"), new.part("remedy")) == ("remedy", "remedy")


def test_what_was_overtaken_is_thought_anew_where_it_holds_again(worked) -> None:
    mind = Thoughts(None)  # type: ignore[arg-type] # nothing here opens a book
    old, new = _of("rye", 1), _of("rye", 2)
    mind.of(old)
    mind.of(new)
    _thought_through(mind)
    again = mind.of(old)
    _thought_through(mind)
    assert again.part("remedy") == "remedy"
    assert mind.known(new) is not None
