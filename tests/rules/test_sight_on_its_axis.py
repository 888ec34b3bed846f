"""What the crew has of the path, sample by sample, and by how much it is barely seen: lines made by hand.

Whoever lacks most decides, of several observers whoever has it best: 14 CFR 107.31, 107.33 (standing A).
"""

import math

import attrs
import numpy as np
import pytest

from planner.rules import sight_barely as barely_rule
from planner.rules.finding import Basis, Mark
from planner.rules.sight_axis import sight_axis
from planner.rules.sight_barely import barely_seen
from planner.rules.stretches import place_at
from planner.sight.along import Sight
from planner.sight.ranges import SightRange
from tests.rules.hand_made import all_seen, at_samples, complete, judged, where_seen
from tests.worlds import ft, hover, plan

TRACK = complete().track
N = len(TRACK)
ALONG_M = TRACK.distance_m
FIGURES = ("slant_range_m", "clearance_m", "spare_m", "sure_spare_m", "sun_angle_deg")


def mine(number, **masks):
    """A look with figures of its own: `number` and a tenth of the sample's place in the row."""

    def look(case):
        figures = {name: 100.0 * k + number + np.arange(N) / 100.0 for k, name in enumerate(FIGURES)}
        return all_seen(
            case, **figures, **{kind: at_samples(case, *samples) for kind, samples in masks.items()}
        )

    return look


def keyed(key, look):
    return {key: lambda case: attrs.evolve(look(case), key=key)}


def three(first, second, pilot):
    """The case of two observers and a pilot."""
    crew = (*plan().crew, attrs.evolve(plan().crew[1], key="second", name="Second"))
    case = complete()
    answer = case.sight
    viewers = (*answer.viewers, attrs.evolve(answer.viewers[1], key="second"))
    case = attrs.evolve(
        case,
        plan=attrs.evolve(case.plan, crew=crew),
        sight=attrs.evolve(answer, people=crew, viewers=viewers),
    )
    return where_seen({**keyed("observer", first), **keyed("second", second), **keyed("pilot", pilot)}, case)


def test_of_the_observers_the_best_of_all_groups_the_worst_decides_with_its_own_figures():
    case = three(
        mine(1, hidden=(2, 3, 4), untried=(9,)),
        mine(2, untried=(2, 3), against_sun=(9,)),
        mine(3, against_sun=(2,), too_far=(3,), unknown=(20,)),
    )
    axis = sight_axis(case)
    expected = {
        2: (Sight.UNTRIED, "second", 2),
        3: (Sight.TOO_FAR, "pilot", 3),
        9: (Sight.AGAINST_SUN, "second", 2),
        20: (Sight.UNKNOWN, "pilot", 3),
    }
    for sample, (seen, key, number) in expected.items():
        assert axis.sight_at(sample) is seen
        assert axis.person_at(sample).key == key
        for k, name in enumerate(FIGURES):
            assert getattr(axis, name)[sample] == pytest.approx(100.0 * k + number + sample / 100.0), name
    assert axis.sight_at(4) is Sight.SEEN
    assert axis.sight_at(0) is Sight.SEEN
    assert axis.all_placed
    assert not axis.nobody_knows(Sight.UNKNOWN)


def test_it_says_whose_range_is_tried_toward_the_sun():
    case = three(mine(1), mine(2, hidden=(5,)), mine(3, hidden=(6,)))
    tried = {"observer": True, "second": False, "pilot": False}
    trial = plan().crew[0].tried_ranges[0]
    viewers = tuple(
        attrs.evolve(
            one,
            reach=SightRange(
                None, 9_000.0, attrs.evolve(trial, against_sun=True) if tried[one.key] else None
            ),
        )
        for one in case.sight.viewers
    )
    axis = sight_axis(attrs.evolve(case, sight=attrs.evolve(case.sight, viewers=viewers)))
    assert axis.person_at(5).key == "observer"
    assert axis.person_at(6).key == "pilot"
    assert (axis.sun_tried[5], axis.sun_tried[6]) == (True, False)
    by_day = tuple(
        attrs.evolve(one, reach=SightRange(None, 9_000.0, attrs.evolve(trial, against_sun=False)))
        for one in case.sight.viewers
    )
    axis = sight_axis(attrs.evolve(case, sight=attrs.evolve(case.sight, viewers=by_day)))
    assert not axis.sun_tried.any()


def test_while_somebody_stands_nowhere_nothing_is_better_than_not_known_and_worse_stays():
    case = where_seen(keyed("observer", mine(1, hidden=(5,), too_far=(6,), untried=(7,))))
    crew = (attrs.evolve(plan().crew[0], place=None), plan().crew[1])
    axis = sight_axis(attrs.evolve(case, plan=attrs.evolve(case.plan, crew=crew)))
    told = [axis.sight_at(k) for k in (4, 5, 6, 7)]
    assert told == [Sight.UNKNOWN, Sight.HIDDEN, Sight.TOO_FAR, Sight.UNKNOWN]
    assert axis.nobody_knows(Sight.UNKNOWN)
    assert not axis.nobody_knows(Sight.HIDDEN)


def test_without_anybody_or_anything_to_see_there_is_no_axis():
    case = complete()
    assert sight_axis(None) is None
    assert sight_axis(attrs.evolve(case, sight=None)) is None
    assert sight_axis(attrs.evolve(case, sight=attrs.evolve(case.sight, profiles=()))) is None
    nobody = attrs.evolve(case.plan, crew=())
    assert sight_axis(attrs.evolve(case, plan=nobody)) is None


# ---- barely seen


def barely(*samples, spare_m=2.0, sure_m=-1.0):
    """Barely seen at some samples; one figure for all, or one for each of the samples."""

    def look(case):
        spares, sures = np.full(N, 9.0), np.full(N, 9.0)
        spares[list(samples)], sures[list(samples)] = spare_m, sure_m
        return all_seen(case, barely=at_samples(case, *samples), spare_m=spares, sure_spare_m=sures)

    return look


@attrs.define
class Line:
    """What `planner.sight.line` would say of one line; it has tests of its own."""

    spare_m: float
    clear: bool | None


@attrs.define
class Looked:
    """The two lines through the worst sample, and what was asked for."""

    given: Line = attrs.field(factory=lambda: Line(9.0, True))
    lifted: Line = attrs.field(factory=lambda: Line(-4.0, False))
    asked: list = attrs.field(factory=list)


@pytest.fixture(autouse=True)
def looked(monkeypatch):
    found = Looked()

    def line_of_sight(_surfaces, eye, target, refraction, error_m):
        found.asked.append((eye, target, refraction, error_m))
        return found.lifted if len(found.asked) % 2 == 0 else found.given

    monkeypatch.setattr(barely_rule, "line_of_sight", line_of_sight)
    return found


def feet_in(words, before):
    return int(words.split(before)[1].split(" ft")[0])


def test_the_tightest_sample_of_a_stretch_is_told(looked):
    case = where_seen(keyed("observer", barely(5, 6, 7, spare_m=(2.0, 1.5, 3.0), sure_m=(-1.0, -2.0, -0.5))))
    (one,) = barely_seen(case)
    assert (one.rule, one.mark, one.basis) == ("barely-seen", Mark.ACT, Basis.SAFETY)
    assert one.citation == "14 CFR 107.31, 107.33"
    assert one.title == "Barely seen by observer"
    assert (one.from_m, one.to_m) == (ALONG_M[5], ALONG_M[7])
    assert one.place == place_at(TRACK, 6)
    assert f"from {ALONG_M[5]:.0f} m to {ALONG_M[7]:.0f} m: at {ALONG_M[6]:.0f} m" in one.message
    # 1.5 m of room, rounded down; ground as high as it may be hides it by 4 m: 5.5 m, rounded up.
    assert one.numbers["spare_m"] == pytest.approx(1.5)
    assert one.numbers["uncertainty_m"] == pytest.approx(5.5)
    assert one.numbers["ground_error_m"] == 0.0
    assert feet_in(one.message, "it could sink ") == math.floor(1.5 / ft(1))
    assert feet_in(one.message, "hidden, and ") == math.ceil(5.5 / ft(1))
    assert feet_in(one.remedy, "fly ") == math.ceil(4.0 / ft(1))
    assert f"higher at {ALONG_M[6]:.0f} m" in one.remedy
    given, lifted = looked.asked
    (eye,) = [viewer.eye for viewer in case.sight.viewers if viewer.key == "observer"]
    for asked, error_m in ((given, 0.0), (lifted, case.sight.surfaces.ground.terrain.vertical_uncertainty_m)):
        assert asked[0] is eye
        assert asked[1].x_m == pytest.approx(TRACK.x_m[6])
        assert asked[1].y_m == pytest.approx(TRACK.y_m[6])
        assert asked[1].amsl_m == pytest.approx(TRACK.planned_amsl_m[6])
        assert asked[1].ground_amsl_m == pytest.approx(TRACK.ground_amsl_m[6])
        assert asked[3] == error_m


@pytest.mark.parametrize(
    ("given", "lifted", "spare_m", "sure_m"),
    [
        # A sample answers for points beside it: what is told is never better than that.
        (Line(9.0, True), Line(-4.0, False), 2.0, -4.0),
        (Line(1.2, True), Line(-4.0, False), 1.2, -4.0),
        # Where the one line is clear, or not known, what was found of the sample stands.
        (Line(9.0, True), Line(3.0, True), 2.0, -1.0),
        (Line(9.0, True), Line(math.nan, None), 2.0, -1.0),
    ],
)
def test_the_one_line_never_makes_it_better(given, lifted, spare_m, sure_m, looked):
    looked.given, looked.lifted = given, lifted
    (one,) = barely_seen(where_seen(keyed("observer", barely(5))))
    assert one.numbers["spare_m"] == pytest.approx(spare_m)
    assert one.numbers["uncertainty_m"] == pytest.approx(spare_m - sure_m)


def test_what_has_no_room_to_sink_is_told_with_none(looked):
    looked.given = Line(-0.5, False)
    (one,) = barely_seen(where_seen(keyed("observer", barely(5))))
    assert feet_in(one.message, "it could sink ") == 0
    assert one.numbers["spare_m"] == pytest.approx(-0.5)


def test_higher_is_told_only_up_to_the_ceiling(looked):
    case = where_seen(keyed("observer", barely(5)))
    room_m = float(case.profile.ceiling_amsl_m[5] - TRACK.planned_amsl_m[5])
    for missing_m, told in ((room_m - 0.1, True), (room_m, True), (room_m + 0.1, False), (math.inf, False)):
        looked.lifted = Line(-missing_m, False)
        (one,) = barely_seen(case)
        assert ("fly " in one.remedy) is told
        assert "let them stand nearer or elsewhere" in one.remedy
    looked.lifted = Line(-1.0, False)
    (blind,) = barely_seen(attrs.evolve(case, profile=None))
    assert "fly " not in blind.remedy


def test_of_several_observers_the_one_who_has_most_is_told_of():
    some = barely(5, 6, spare_m=2.0, sure_m=(-1.0, -3.0))
    other = barely(5, 6, spare_m=3.0, sure_m=(-2.0, -1.5))
    (one,) = barely_seen(three(some, other, mine(3)))
    assert one.numbers["spare_m"] == pytest.approx(3.0)
    assert one.place == place_at(TRACK, 5)
    assert one.title == "Barely seen by observer and Second"


def test_who_shares_a_stretch_shares_a_finding_and_stretches_follow_the_path():
    both = keyed("observer", barely(5, 6)) | keyed("pilot", barely(5, 6))
    (one,) = barely_seen(where_seen(both))
    assert one.title == "Barely seen by observer and remote pilot"
    apart = keyed("observer", barely(20, 21)) | keyed("pilot", barely(5, 6))
    found = list(barely_seen(where_seen(apart)))
    assert [(one.title, one.from_m) for one in found] == [
        ("Barely seen by remote pilot", ALONG_M[5]),
        ("Barely seen by observer", ALONG_M[20]),
    ]


def test_one_sample_is_a_place_and_a_metre_a_stretch():
    (one,) = barely_seen(where_seen(keyed("observer", barely(5))))
    assert f"may lose it at {ALONG_M[5]:.0f} m: " in one.message
    case = judged(plan(path=hover(30.0)))
    case = where_seen({"observer": lambda case: all_seen(case, barely=at_samples(case, 0, 1))}, case)
    (one,) = barely_seen(case)
    assert "may lose it from 0 m to 1 m: " in one.message


def test_without_ground_a_path_or_an_answer_nothing_is_barely_seen():
    case = where_seen(keyed("observer", barely(5)))
    assert list(barely_seen(case))
    assert not list(barely_seen(attrs.evolve(case, sight=None)))
    assert not list(barely_seen(attrs.evolve(case, track=None)))
    assert not list(barely_seen(attrs.evolve(case, sight=attrs.evolve(case.sight, surfaces=None))))
