"""Rules on height where ceiling, ground and what is crossed are put in by hand, sample by sample.

The limit: 14 CFR 107.51(b) (check_values 1.1, standing B). What counts as close and whose word comes first
beside an airspace that is entered is design.
"""

from datetime import timedelta

import attrs
import numpy as np
import pytest

from planner.assess import assess_live
from planner.plan.records import PermissionKind
from planner.rules.height import RULES, above_limit, close_under_limit, into_ground, unknown_ground
from planner.rules.stretches import place_at
from planner.rules.structure_allowance import structure_used
from tests.rules.hand_made import judged
from tests.worlds import GROUND_M, START, hover, plan, points, record, tower, world

CASE = judged(plan(path=points([(-500, 0, 30.0), (500, 0, 30.0)])))
N = len(CASE.track)
LAST = N - 1


def row(rest, values=None):
    made = np.full(N, float(rest))
    for sample, value in (values or {}).items():
        made[sample] = value
    return made


def mask(*samples):
    return np.isin(np.arange(N), samples)


def changed(track=None, **profile):
    return attrs.evolve(
        CASE,
        track=attrs.evolve(CASE.track, **(track or {})),
        profile=attrs.evolve(CASE.profile, **profile),
    )


# ---- close under the ceiling


@pytest.mark.parametrize(
    ("close", "entered", "told"),
    [
        ((6, 7), (), [6]),
        ((6, 7), (5,), []),
        ((6, 7), (8,), []),
        ((7, 8), (5,), [7]),
        ((4, 5), (7,), [4]),
        ((6,), (6,), []),
        ((6, 7), (6,), []),
        # At the ends of the path there is nothing beside.
        ((0, 1), (LAST,), [0]),
        ((LAST - 1, LAST), (0,), [LAST - 1]),
        ((0,), (1,), []),
        ((1, 2), (0,), []),
        ((LAST - 2, LAST - 1), (LAST,), []),
        ((LAST,), (LAST - 1,), []),
    ],
)
@pytest.mark.parametrize("how", ["in_unpermitted", "in_closed"])
def test_beside_what_is_entered_anyway_nothing_is_called_close(close, entered, told, how):
    room = row(50.0, dict.fromkeys(close, 1.0))
    case = changed(
        ceiling_amsl_m=CASE.track.planned_amsl_m + room,
        uncertainty_m=row(2.0),
        in_unpermitted=mask(),
        in_closed=mask(),
    )
    case = attrs.evolve(case, profile=attrs.evolve(case.profile, **{how: mask(*entered)}))
    found = list(close_under_limit(case))
    assert [one.place for one in found] == [place_at(CASE.track, sample) for sample in told]


# ---- above the limit


@pytest.mark.parametrize(
    ("over_m", "agl_m", "worst"),
    [
        ({4: 5.0, 5: 9.0, 6: 5.0}, {}, 5),
        # Of several alike, to a thousandth of a millimetre, the one highest above the ground straight below.
        ({4: 9.0, 5: 9.0, 6: 9.0}, {5: 40.0, 6: 35.0}, 5),
        ({4: 9.0, 5: 9.0, 6: 9.0}, {4: 40.0}, 4),
        ({4: 9.0, 5: 9.0000005, 6: 9.0}, {6: 40.0}, 6),
        ({4: 8.0, 5: 9.0, 6: 8.0}, {4: 40.0, 6: 50.0}, 5),
        ({4: 9.0, 5: 9.0, 6: 9.0}, {4: np.nan, 5: 31.0}, 5),
    ],
)
def test_where_a_path_is_farthest_above_the_limit(over_m, agl_m, worst):
    up_m = row(30.0, agl_m)
    track = {"ground_amsl_m": CASE.track.planned_amsl_m - up_m}
    limit = CASE.track.planned_amsl_m - row(-1.0, over_m)
    (found,) = above_limit(changed(track, ground_limit_amsl_m=limit))
    assert found.place == place_at(CASE.track, worst)
    assert f"At {CASE.track.distance_m[worst]:.0f} m the path is" in found.message


# ---- very low


@pytest.mark.parametrize("sample", [0, 1, 2, LAST - 2, LAST - 1, LAST])
def test_only_the_very_ends_may_be_near_the_ground(sample):
    low_m = GROUND_M + row(30.0, {sample: 1.0})
    case = changed({"planned_amsl_m": low_m, "ground_amsl_m": row(GROUND_M)}, uncertainty_m=row(2.0))
    found = list(into_ground(case))
    assert [one.place for one in found] == ([place_at(CASE.track, sample)] if 0 < sample < LAST else [])


# ---- what a structure allows


@pytest.mark.parametrize(("over_m", "noted"), [(0.0, True), (-1.0, True), (0.01, False)])
def test_as_high_as_a_structure_allows_is_allowed_by_it(over_m, noted):
    path = points([(-50, 0, 200.0), (50, 0, 200.0)])
    flight = plan(path=path, structures_standing=frozenset({"tower 300"}))
    case = assess_live(flight, world(structures=(tower(300),))).case
    limit_m = case.profile.ground_limit_amsl_m
    case = attrs.evolve(case, track=attrs.evolve(case.track, planned_amsl_m=limit_m + over_m))
    assert bool(list(structure_used(case))) is noted


# ---- above the limit beside a structure that nobody has confirmed


def test_beside_an_unconfirmed_structure_a_waiver_is_named_only_where_one_is_on_record():
    charts = world(structures=(tower(402, (0.0, 30.0), key="t"),))
    stops = {}
    for which, papers in {
        "none": (),
        "short": (
            record("107.51(b)", None, PermissionKind.WAIVER, valid_to_utc=START + timedelta(minutes=5)),
        ),
        "other": (record("ANOTHER", 10.0),),
    }.items():
        answer = assess_live(plan(path=hover(200.0), permissions=papers), charts)
        (stops[which],) = [one for one in answer.findings if one.rule == "above-height-limit"]
    for which in ("none", "other"):
        assert stops[which].remedy.endswith("still stands")
    assert ", or keep within record " in stops["short"].remedy


def test_a_structure_that_the_path_is_not_near_where_it_is_worst_is_not_to_be_confirmed():
    """From 500 m to 300 m west, 200 m up; within 400 ft, 121.9 m, of its end only."""
    path = points([(-500, 0, 210.0), (-300, 0, 200.0)])
    answer = assess_live(plan(path=path), world(structures=(tower(402, (-250.0, 0.0)),)))
    (stop,) = [one for one in answer.findings if one.rule == "above-height-limit"]
    assert "stands" not in stop.remedy


def test_of_structures_of_one_name_one_whose_record_the_word_does_not_name_is_enough():
    near, other = (
        tower(300, (0.0, north), key=key, name="MAST") for key, north in (("a", 10.0), ("b", -10.0))
    )
    words = frozenset({near.standing_key, other.standing_word})
    flight = plan(path=hover(150.0), structures_standing=words)
    case = assess_live(flight, world(structures=(near, other))).case
    assert all("does not keep on which record" in one.message for one in structure_used(case))
    assert list(structure_used(case))


# ---- half of an answer


@pytest.mark.parametrize("rule", RULES)
def test_without_a_path_or_its_profile_nothing_is_said(rule):
    assert not list(rule(attrs.evolve(CASE, track=None)))
    if rule is not unknown_ground:
        assert not list(rule(attrs.evolve(CASE, profile=None)))
