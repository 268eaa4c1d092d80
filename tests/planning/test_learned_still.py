"""What runs taught, kept in a file: it comes back as it went, and a file that is wrong says so."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from caskward.catalogue import Fact, load
from caskward.errors import InputError, NotALearnedStill, OptionsClash, OtherStillLearned, OutOfRange
from caskward.planning.doubts import doubts
from caskward.planning.intent_file import read_intent
from caskward.planning.learned_still import LearnedHabits, learned_text, read_learned
from caskward.planning.still_learning import learn_still
from caskward.planning.still_log import HeatUp, LoggedRun, SpoutPoint, priors_of
from caskward.planning.unknowns import draw
from caskward.services.plans import plan_bytes, starting_point
from caskward.services.still_gear import Gear, worlds_of
from caskward.services.still_saved import learned_file, save
from caskward.stages.distil import Still
from caskward.stages.stream import spirit_of

CATALOGUE = load()
POT = CATALOGUE.still("pot-bare")
POINTS = tuple(SpoutPoint(v, s) for v, s in ((1.0, 80.0), (5.0, 78.0), (10.0, 74.5), (15.0, 67.0)))
RUNS = [LoggedRun(f"run {k}", "spirit", spirit_of(60.0, 28.0), 6.0, POINTS) for k in (1, 2, 3)]
FOUND = learn_still(priors_of(POT), Still(6.0), RUNS)
TEXT = learned_text(FOUND, POT, 12, "2026-03-12")


def with_learned(name: str = "my-still.toml") -> str:
    return starting_point("rye").replace('kind = "pot-bare"  ', f'learned = "{name}"')


def test_what_is_written_is_read_again() -> None:
    habits = read_learned(TEXT, "x.toml")
    assert (habits.kind, habits.runs, habits.readings, habits.saved) == ("pot-bare", 3, 12, "2026-03-12")
    own = FOUND["spirit.reflux"].learned
    assert habits.reflux_spirit is not None
    assert (
        habits.reflux_spirit.low,
        habits.reflux_spirit.likely,
        habits.reflux_spirit.high,
    ) == pytest.approx((own.low, own.mid, own.high), rel=1e-5)


def test_what_no_run_taught_stays_the_catalogue_s() -> None:
    """No heat-up was logged, so nothing was learned of the heat that is lost."""
    habits = read_learned(TEXT, "x.toml")
    assert habits.heat_lost is None
    like = habits.like(POT)
    assert like.heat_loss_share == POT.heat_loss_share
    assert like.reflux_spirit != POT.reflux_spirit
    assert "heat" not in habits.sentence(POT)
    heated = [LoggedRun(r.name, r.kind, r.charge, 6.0, POINTS, HeatUp(1.0, 15.0)) for r in RUNS]
    text = learned_text(learn_still(priors_of(POT), Still(6.0), heated), POT, 15, "2026-03-12")
    assert read_learned(text, "x.toml").heat_lost is not None


def test_the_sentence_sets_learned_against_the_catalogue() -> None:
    said = read_learned(TEXT, "x.toml").sentence(POT)
    assert said.startswith("Learned from 3 runs of this still, saved 2026-03-12: the head sends back ")
    assert "catalogue 10 % (4–20)" in said


def test_a_plan_draws_from_what_was_learned() -> None:
    habits = read_learned(TEXT, "my-still.toml")
    usual = read_intent(starting_point("rye"), CATALOGUE)
    own = read_intent(with_learned(), CATALOGUE, lambda _: habits)
    assert own.gear.strip_still.learned.startswith("Learned from 3 runs")
    assert own.gear.spirit_still == own.gear.strip_still
    before, after = ({u.name: u for u in doubts(intent)} for intent in (usual, own))
    changed = {name for name in before if before[name] != after[name]}
    assert changed == {"strip.reflux", "spirit.reflux"}
    assert after["spirit.reflux"].likely == habits.reflux_spirit.likely  # type: ignore[union-attr]
    drawn = [draw(list(u.values()), 256, 1)["spirit.reflux"] for u in (before, after)]
    assert np.std(drawn[1]) < np.std(drawn[0])


def test_runs_draw_from_what_was_learned() -> None:
    habits = read_learned(TEXT, "my-still.toml")
    usual, own = Gear(power_kw=6.0), Gear(power_kw=6.0, learned=habits)
    before, after = (worlds_of(gear, "grain") for gear in (usual, own))
    assert np.median(after.spirit.reflux) == pytest.approx(habits.reflux_spirit.likely, rel=0.02)  # type: ignore[union-attr]
    assert np.std(after.spirit.reflux) < np.std(before.spirit.reflux)
    assert np.array_equal(after.spirit.heat_lost_share, before.spirit.heat_lost_share)
    assert own.taught.startswith("Learned from 3 runs")
    assert usual.taught == ""


def test_no_pot_s_head_sends_back_more_than_a_column() -> None:
    habits = read_learned(TEXT, "my-still.toml")
    wild = replace(habits, reflux_spirit=Fact(0.3, 0.45, 0.6, "maker", "maker"))
    with pytest.raises(OutOfRange, match=r"is 45 %, but must lie between 0 and 40 %"):
        wild.like(POT)
    with pytest.raises(OutOfRange):
        worlds_of(Gear(power_kw=6.0, learned=wild), "grain")


def test_a_file_of_another_still_is_refused() -> None:
    habits = read_learned(TEXT, "my-still.toml")
    with pytest.raises(OtherStillLearned, match="pot-lyne-arm"):
        habits.like(CATALOGUE.still("pot-lyne-arm"))
    both = with_learned().replace("charge_limit =", 'head_reflux = "12 %"\ncharge_limit =', 1)
    with pytest.raises(OptionsClash, match="head_reflux"):
        read_intent(both, CATALOGUE, lambda _: habits)


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (TEXT, "[[run]]\npower = 6\n", "a log of runs"),
        (TEXT, 'name = "cask"', "says nothing of one"),
        (TEXT, "[[", "TOML"),
        ("learned_still = 1", "learned_still = 2", "only 1 is understood"),
        ("runs = 3", "runs = 0", "runs is 0"),
        ("low = ", "lo = ", "Did you mean"),
        ("low = 0.", "low = 0.8 # 0.", "at most likely"),
        ("high = 0.", "high = 7.", "must lie between 0 and 0.9"),
        ("high = 0.", "high = true # 0.", "plain number"),
        ('kind = "pot-bare"', "", "needs kind"),
        (TEXT[TEXT.index("[reflux_strip]") :], "", "a habit"),
    ],
)
def test_a_wrong_file_is_named_with_what_is_wrong(old: str, new: str, said: str) -> None:
    assert old in TEXT
    with pytest.raises(NotALearnedStill, match=said) as refusal:
        read_learned(TEXT.replace(old, new, 1), "my-still.toml")
    assert str(refusal.value).startswith("my-still.toml is no file of a learned still: ")
    assert "caskward still learn" in str(refusal.value)


def test_it_is_looked_for_beside_the_maker_s_file(tmp_path: Path) -> None:
    save(TEXT, tmp_path / "my-still.toml")
    intent = with_learned().replace('confidence = "8 in 10"', "worlds = 256")
    outcome = plan_bytes(intent.encode(), "mine.toml", tmp_path)
    notes = [note for stage in outcome.stages if stage.key == "strip" for note in stage.notes]  # type: ignore[union-attr]
    assert any(note.startswith("Learned from 3 runs") for note in notes)
    with pytest.raises(InputError, match="cannot be read"):
        plan_bytes(intent.encode(), "mine.toml", tmp_path / "elsewhere")


def test_only_a_file_of_its_kind_is_written_over(tmp_path: Path) -> None:
    log = tmp_path / "runs.toml"
    log.write_text("[[run]]\n", encoding="utf-8")
    with pytest.raises(InputError, match="is there already"):
        save(TEXT, log)
    assert log.read_text(encoding="utf-8") == "[[run]]\n"
    for _ in range(2):
        save(TEXT, tmp_path / "still.toml")
    assert isinstance(learned_file(tmp_path / "still.toml"), LearnedHabits)
    with pytest.raises(InputError, match="cannot be written"):
        save(TEXT, tmp_path / "no" / "still.toml")
