"""Airspace that is closed at certain times, while no time is set: what is told is that it may be closed.

14 CFR 107.45 forbids restricted areas without the agency's word; part 73 gives them times of designation.
That nothing is told as closed or open before the time of the flight is known is the program's own rule.
"""

from datetime import timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess
from planner.ceiling.derivation import StepKind, derive_along
from planner.ceiling.never_exceed import HeightUnit, Standing, never_exceed
from planner.ceiling.profile import Binding
from planner.desk.profile.owner_words import owner_words
from planner.desk.profile.readout import describe
from planner.desk.profile.strips import strips_of
from planner.desk.readout_line import ReadoutLine
from planner.drawing.path_pattern import stretches
from planner.drawing.patterns import Pattern
from planner.drawing.strip_rows import Look, strip_rows
from planner.geo.heights import AboveGround
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.desk.desk_rig import make_document, settled
from tests.worlds import START, above_ground, area, box, ft, plan, points, volume, world

EVENT = volume(
    AirspaceKind.STADIUM,
    name="INVENTED BOWL",
    top=above_ground(ft(3000)),
    active_from_utc=START,
    active_to_utc=START + timedelta(hours=1),
)
ALWAYS = volume(AirspaceKind.PROHIBITED, name="INVENTED P-1")


def judged(*airspace, height_ft=100, **flight):
    given = {"path": points([(0, 0, ft(height_ft)), (300, 0, ft(height_ft))]), "window": None, **flight}
    return assess(plan(**given), world(airspace=airspace))


def patterns(answer):
    return {stretch.pattern for stretch in stretches(answer)}


def test_without_a_time_nothing_says_that_it_is_closed_or_open():
    answer = judged(EVENT)
    assert answer.verdict is Verdict.UNDETERMINED
    assert np.isnan(answer.profile.ceiling_amsl_m).all()
    assert set(answer.profile.binding) == {Binding.UNKNOWN}
    assert set(answer.profile.binding_name) == {"INVENTED BOWL"}
    assert not answer.profile.in_closed.any()
    assert patterns(answer) == {Pattern.UNKNOWN}
    (binds,) = (strip for strip in strips_of(answer) if strip.name == "binds")
    assert {(one.text, one.short) for one in binds.intervals} == {
        ("may be closed · INVENTED BOWL", "may be closed")
    }
    (row,) = (row for row in strip_rows(answer) if row.name == "binds")
    assert {(run.look, run.words) for run in row.runs} == {(Look.UNKNOWN, "may be closed")}
    assert "ceiling not known (INVENTED BOWL: may be closed)" in describe(answer, 10.0).words()
    assert "at times" in owner_words(answer, 0)
    derived = derive_along(answer.scene, answer.track, 10.0)
    assert derived.ceiling_amsl_m is None
    assert StepKind.CLOSED_AT_TIMES in {step.kind for step in derived.steps}
    (figure,) = never_exceed(answer.track, answer.profile, 1.0, HeightUnit.FEET)
    assert (figure.figure, figure.standing) == (None, Standing.LIMIT_UNKNOWN)


@pytest.mark.parametrize("airspace", [(ALWAYS,), (ALWAYS, EVENT)])
def test_what_is_closed_at_all_times_stays_closed_without_a_time(airspace):
    answer = judged(*airspace)
    assert answer.verdict is Verdict.MUST_CHANGE
    assert set(answer.profile.binding) == {Binding.CLOSED}
    assert patterns(answer) == {Pattern.STOP}


def test_pieces_of_one_name_are_as_doubtful_as_the_finding_on_all_of_them():
    at_all_times = attrs.evolve(EVENT, key="b", active_from_utc=None, active_to_utc=None)
    answer = judged(EVENT, at_all_times)
    assert answer.verdict is Verdict.MUST_CHANGE
    assert answer.profile.in_closed.all()


def test_with_a_time_it_is_closed_while_it_is_held_and_gone_after():
    answer = judged(EVENT, window=plan().window)
    assert set(answer.profile.binding) == {Binding.CLOSED}
    assert patterns(answer) == {Pattern.STOP}
    over = attrs.evolve(
        EVENT, active_from_utc=START - timedelta(hours=9), active_to_utc=START - timedelta(hours=8)
    )
    assert set(judged(over, window=plan().window).profile.binding) == {Binding.GROUND}


def test_its_floor_above_the_flight_is_the_ceiling_and_not_called_closed():
    high = attrs.evolve(EVENT, floor=above_ground(ft(300)))
    answer = judged(high)
    assert set(answer.profile.binding) == {Binding.AIRSPACE_FLOOR}
    assert set(answer.profile.binding_name) == {"INVENTED BOWL"}


def test_over_an_area_the_lowest_limit_is_not_known():
    answer = judged(EVENT, path=(), area=area(box(-100, -100, 100, 100), AboveGround(ft(100))))
    assert answer.verdict is Verdict.UNDETERMINED
    assert (answer.area.lowest_limit_amsl_m, answer.area.over_by_m) == (None, None)
    assert not answer.area.in_closed


def test_the_line_under_the_pointer_says_so(qtbot):
    document = make_document(lambda _plan: world(airspace=(EVENT,)))
    document.replace(judged(EVENT).plan, None)
    settled(qtbot, document)
    line = ReadoutLine(document)
    qtbot.addWidget(line)
    line.resize(1200, 60)
    line.show()
    line.show_at(150.0)
    assert "ceiling not known (INVENTED BOWL: may be closed)" in line.words
    assert "in stadium event at times" in line.words
    assert "ceiling 0 ft" not in line.words
    document.close()
