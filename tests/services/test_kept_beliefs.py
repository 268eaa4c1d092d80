"""Beliefs that are kept: the same answer to the last bit, whatever state the folder is in."""

from __future__ import annotations

import stat
from dataclasses import replace

import numpy as np
import pytest

from caskward.planning.belief.tempering import Particles
from caskward.planning.sizing import size
from caskward.planning.update import anew, begin, update
from caskward.services import cache_folder, kept_beliefs, plan_update, plans

ROWS = (
    "mash 1 h: 1.050, 63 C",
    "wash: 8 %, 330 L",
    "heart: 20 L, 70 %",
)


@pytest.fixture
def home(tmp_path, monkeypatch):
    folder = tmp_path / "kept"
    monkeypatch.setenv(cache_folder.SWITCH, str(folder))
    return folder


@pytest.fixture(scope="module")
def before():
    return begin(size(plans.intent_text(f"worlds = 256\n{plans.starting_point('rye')}")), 64)


@pytest.fixture
def work(monkeypatch):
    """Stages that were worked out, not found; by a stand-in for `update` that goes stage by stage as well."""
    done = []

    def counted(belief, readings):
        done.append(readings[0].stage)
        return stand_in(belief, readings)

    monkeypatch.setattr(kept_beliefs, "update", counted)
    return done


def stand_in(belief, readings):
    """Other worlds after each stage, by what was read and by where they were."""
    for group in kept_beliefs.in_stages(readings):
        start = anew(belief, (*belief.readings, *group))
        where = belief.z if belief.z.shape == start.z.shape else start.z
        z = where * np.sqrt(0.5 + len(belief.readings)) + sum(r.value for r in group) / 7.0
        found = Particles(z, z[:, 0] / 3.0, None, 4, (0.3, 1.0), (32.5, 40.1), (0.5,), 0.96, 0.9, whole=True)
        belief = replace(
            start, z=z, log_like=found.log_like, readings=(*belief.readings, *group), particles=found
        )
    return belief


def readings(*rows):
    return plan_update.rows_of((), rows or ROWS).readings


def bits(belief):
    particles = belief.particles
    rest = (particles.evaluations, particles.ladder, particles.ess, particles.acceptance, particles.moved)
    return belief.z.tobytes(), belief.log_like.tobytes(), rest, particles.unique, particles.whole


def test_kept_or_not_the_answer_is_the_same_to_the_last_bit(home, before, monkeypatch):
    plain = update(before, readings())
    kept_beliefs.believed(before, readings(*ROWS[:2]))
    first = kept_beliefs.believed(before, readings())
    monkeypatch.setattr(kept_beliefs, "update", lambda *_: pytest.fail("worked out again"))
    again = kept_beliefs.believed(before, readings())
    for found in (first, again):
        assert bits(found) == bits(plain)
        assert found.readings == plain.readings
        assert found.chance == plain.chance
        np.testing.assert_array_equal(found.course.available_l, plain.course.available_l)


def test_one_more_row_begins_where_the_last_call_ended(home, before, work):
    kept_beliefs.believed(before, readings(*ROWS[:2]))
    work.clear()
    found = kept_beliefs.believed(before, readings())
    assert work == ["heart"]
    assert bits(found) == bits(stand_in(before, readings()))


def test_a_row_of_an_earlier_stage_does_not_find_what_came_later(home, before, work):
    kept_beliefs.believed(before, readings())
    work.clear()
    other = ("mash 1 h: 1.051, 63 C", *ROWS[1:])
    assert bits(kept_beliefs.believed(before, readings(*other))) == bits(stand_in(before, readings(*other)))
    assert work == ["mash", "wash", "heart"]


def test_how_a_row_was_typed_makes_no_other_answer_but_is_kept_in_mind(home, before, work):
    kept_beliefs.believed(before, readings())
    work.clear()
    spaced = readings(ROWS[0], "wash:  8 %,   330 L", ROWS[2])
    found = kept_beliefs.believed(before, spaced)
    assert not work
    assert found.readings == spaced


def test_another_plan_another_count_or_another_version_finds_nothing(home, before, work, monkeypatch):
    kept_beliefs.believed(before, readings(*ROWS[1:]))
    intent = before.sized.intent
    others = (
        begin(before.sized, 128),
        begin(replace(before.sized, intent=replace(intent, seed=2)), 64),
        begin(replace(before.sized, method=replace(before.sized.method, strip_stop_pct_vol=2.0)), 64),
    )
    for other in others:
        work.clear()
        kept_beliefs.believed(other, readings(*ROWS[1:]))
        assert work == ["wash", "heart"]
    work.clear()
    monkeypatch.setattr(cache_folder, "version", lambda: "another")
    kept_beliefs.believed(before, readings(*ROWS[1:]))
    assert work == ["wash", "heart"]


@pytest.mark.parametrize(
    "broken",
    [
        lambda whole: b"",
        lambda whole: whole[:100],
        lambda whole: whole[:-300] + bytes([whole[-300] ^ 1]) + whole[-299:],
        lambda whole: b"not worlds at all",
    ],
)
def test_a_file_that_was_cut_off_or_changed_is_worked_out_again(home, before, work, broken):
    kept_beliefs.believed(before, readings(*ROWS[1:]))
    for path in home.iterdir():
        path.write_bytes(broken(path.read_bytes()))
    work.clear()
    assert bits(kept_beliefs.believed(before, readings(*ROWS[1:]))) == bits(
        stand_in(before, readings(*ROWS[1:]))
    )
    assert work == ["wash", "heart"]


def test_a_whole_file_of_something_else_is_worked_out_again(home, before, work, monkeypatch):
    monkeypatch.setattr(cache_folder, "name_of", lambda *_: "one.kept")
    cache_folder.write("one.kept", b'{"bill_kg": 3}')
    assert kept_beliefs.sized(before.sized.intent).method == before.sized.method
    cache_folder.write("one.kept", b"PK no archive")
    kept_beliefs.believed(before, readings(ROWS[1]))
    assert work == ["wash"]


def test_a_folder_that_cannot_be_made_or_written_costs_only_time(tmp_path, before, work, monkeypatch):
    in_the_way = tmp_path / "file"
    in_the_way.write_text("here", encoding="utf-8")
    for place in (in_the_way, in_the_way / "below"):
        monkeypatch.setenv(cache_folder.SWITCH, str(place))
        assert bits(kept_beliefs.believed(before, readings(ROWS[1]))) == bits(
            stand_in(before, readings(ROWS[1]))
        )
    assert in_the_way.read_text(encoding="utf-8") == "here"


def test_off_keeps_nothing(tmp_path, before, work, monkeypatch):
    monkeypatch.setenv(cache_folder.SWITCH, "off")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    kept_beliefs.believed(before, readings(ROWS[1]))
    kept_beliefs.believed(before, readings(ROWS[1]))
    assert work == ["wash", "wash"]
    assert not list(tmp_path.iterdir())


def test_the_folder_is_the_users_own_and_keeps_within_its_room(tmp_path, monkeypatch):
    monkeypatch.delenv(cache_folder.SWITCH, raising=False)
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    home = tmp_path / "caskward"
    assert cache_folder.folder() == home
    for number in range(5):
        cache_folder.write(f"{number}.kept", bytes(100), most_bytes=400)
        cache_folder.read("0.kept")
    left = {path.name for path in home.iterdir()}
    assert sum(path.stat().st_size for path in home.iterdir()) <= 400
    assert "4.kept" in left
    assert "0.kept" in left, "what is read stays"
    assert "1.kept" not in left
    assert stat.S_IMODE(home.stat().st_mode) == 0o700
    cache_folder.write("large.kept", bytes(500), most_bytes=400)
    assert cache_folder.read("large.kept") is None


def test_a_plan_is_sized_once(home, before, monkeypatch):
    intent = before.sized.intent
    first = kept_beliefs.sized(intent)
    monkeypatch.setattr(kept_beliefs, "size", lambda _: pytest.fail("sized again"))
    again = kept_beliefs.sized(intent)
    assert first.method == again.method == before.sized.method
    np.testing.assert_array_equal(first.course.available_l, again.course.available_l)


def test_what_is_worked_on_is_said(home, before, work):
    said = []
    kept_beliefs.believed(before, readings(), said.append)
    assert [words.split(" (")[1] for words in said] == ["1 of 3) ...", "2 of 3) ...", "3 of 3) ..."]
    said.clear()
    kept_beliefs.believed(before, readings(), said.append)
    assert not said
