"""What is told of a stretch that somebody who must see it does not see, with lines of sight made by hand.

Sources: 14 CFR 107.31, 107.33 (standing A). Where the worst of a stretch is, how many places to stand are
looked for, and that an own limit is no rule are the project's own.
"""

import attrs
import numpy as np
import pytest

from planner.plan.model import Purpose
from planner.plan.records import PermissionKind
from planner.plan.sheet import CallTimes, SheetNotes
from planner.rules import sight
from planner.rules.finding import Basis, Mark
from planner.rules.sight import crew_sees, names_of, unseen_stretches
from planner.rules.stretches import place_at
from planner.sight.along import Sight
from planner.sight.ranges import SightRange
from tests.rules.hand_made import all_seen, at_samples, complete, judged, where_seen
from tests.worlds import hover, plan, record

TRACK = complete().track
ALONG_M = TRACK.distance_m


@pytest.fixture(autouse=True)
def looked_for(monkeypatch):
    """The stretches for which a place to stand is looked for; the search has tests of its own."""
    found = []

    def stand(_case, _track, people, part):
        found.append(([one.key for one in people], part.first))
        return "let them stand THERE"

    monkeypatch.setattr(sight, "stand_words", stand)
    return found


def look(*samples, kind="hidden", **figures):
    """A look at the path with one lack at some samples."""
    return lambda case: all_seen(case, **{kind: at_samples(case, *samples)}, **figures)


def keyed(key, seen):
    return {key: lambda case: attrs.evolve(seen(case), key=key)}


def watched(seen, **changes):
    """What is told where the observer sees this, and the pilot all."""
    return told(keyed("observer", seen), **changes)


def told(see, reach=None, own_s=None, sheet=None, permissions=()):
    case = where_seen(see)
    viewers = case.sight.viewers
    if reach is not None:
        viewers = tuple(attrs.evolve(one, reach=reach) for one in viewers)
    flight = attrs.evolve(case.plan, own_unseen_s=own_s, sheet=sheet, permissions=permissions)
    case = attrs.evolve(case, plan=flight, sight=attrs.evolve(case.sight, viewers=viewers))
    return list(crew_sees(case))


BY_LAW, BY_PILOT = "14 CFR 107.31, 107.33", "14 CFR 107.31(a)"


@pytest.mark.parametrize(
    ("kind", "rule", "mark", "title"),
    [
        ("hidden", "hidden-from-crew", Mark.STOP, "Hidden from observer"),
        ("too_far", "too-far-to-see", Mark.STOP, "Too far away for observer"),
        ("unknown", "sight-not-known", Mark.UNKNOWN, "Not known whether seen by observer"),
        ("untried", "distance-not-tried", Mark.UNKNOWN, "Distance not tried by observer"),
    ],
)
def test_each_lack_has_its_rule_its_mark_and_its_stretch(kind, rule, mark, title):
    (one,) = watched(look(5, 6, 7, kind=kind))
    assert (one.rule, one.mark, one.basis, one.citation) == (rule, mark, Basis.LAW, BY_LAW)
    assert one.title == title
    assert (one.from_m, one.to_m) == (ALONG_M[5], ALONG_M[7])
    assert one.remedy
    # 14 CFR 107.205 lists 107.31: a waiver makes what cannot be seen something to do, and no more known.
    waiver = record("14 CFR 107.31", None, PermissionKind.WAIVER)
    (waived,) = watched(look(5, 6, 7, kind=kind), permissions=(waiver,))
    assert waived.mark is (Mark.ACT if mark is Mark.STOP else mark)
    assert (waived.basis, waived.citation) == (Basis.LAW, BY_LAW)


@pytest.mark.parametrize(("tried", "mark"), [(True, Mark.NOTE), (False, Mark.UNKNOWN)])
def test_against_the_sun_it_is_open_until_tried(tried, mark):
    trial = attrs.evolve(plan().crew[0].tried_ranges[0], against_sun=tried)
    (one,) = watched(look(5, 6, kind="against_sun"), reach=SightRange(None, 9_000.0, trial))
    assert (one.rule, one.mark) == ("against-the-sun", mark)
    assert one.title == "Against the sun for observer"
    assert (one.basis, one.citation) == ((Basis.SAFETY, "") if tried else (Basis.LAW, BY_LAW))
    assert bool(one.remedy) is not tried


@pytest.mark.parametrize(
    ("kind", "figure", "values", "worst"),
    [
        ("hidden", "clearance_m", (-1.0, -4.0, -3.0), 1),
        ("hidden", "clearance_m", (np.nan, -1.0, -2.0), 2),
        ("hidden", "clearance_m", (np.nan, np.nan, np.nan), 0),
        ("too_far", "slant_range_m", (500.0, 510.0, 700.0), 2),
        ("untried", "slant_range_m", (500.0, 710.0, 700.0), 1),
        ("against_sun", "sun_angle_deg", (9.0, 7.0, 8.0), 1),
        ("unknown", "clearance_m", (3.0, 1.0, 2.0), 0),
    ],
)
def test_it_is_told_where_it_is_worst(kind, figure, values, worst):
    figures = np.full(len(TRACK), 100.0)
    figures[5:8] = values
    # Worse before and after the stretch, where it is no matter.
    figures[[4, 8]] = 9e9 if figure == "slant_range_m" else -9e9
    untried = SightRange(134.0, 9_000.0) if kind == "against_sun" else None
    (one,) = watched(look(5, 6, 7, kind=kind, **{figure: figures}), reach=untried)
    assert one.place == place_at(TRACK, 5 + worst)
    if kind != "unknown":
        given = values[worst]
        assert one.numbers.get(figure, np.nan) == pytest.approx(given, nan_ok=True)
    assert all(np.isfinite(value) for value in one.numbers.values())


def test_its_numbers_are_those_of_the_worst_sample():
    given = {"slant_range_m": 321.0, "clearance_m": -2.0, "spare_m": -3.5, "sun_angle_deg": np.nan}
    figures = {name: np.full(len(TRACK), value) for name, value in given.items()}
    (one,) = watched(look(5, 6, **figures))
    assert one.numbers == {"slant_range_m": 321.0, "clearance_m": -2.0, "spare_m": -3.5}


def test_who_misses_the_same_stretch_shares_a_finding_and_another_stretch_is_another():
    both = look(5, 6, 7)
    (one,) = told({**keyed("observer", both), **keyed("pilot", both)})
    assert one.title == "Hidden from observer and remote pilot"
    assert one.citation == BY_LAW
    found = told({**keyed("observer", both), **keyed("pilot", look(5, 6, 7, 8))})
    assert [each.title for each in found] == ["Hidden from observer", "Hidden from remote pilot"]
    assert [each.citation for each in found] == [BY_LAW, BY_PILOT]
    # The same ends, another cause.
    found = told({**keyed("observer", both), **keyed("pilot", look(5, 6, 7, kind="too_far"))})
    assert [each.title for each in found] == ["Hidden from observer", "Too far away for remote pilot"]


def test_the_gravest_comes_first_and_of_one_kind_the_first_along_the_path():
    found = told(
        {
            **keyed(
                "observer", lambda case: attrs.evolve(look(20, 21)(case), too_far=at_samples(case, 2, 3))
            ),
            **keyed("pilot", look(10, 11)),
        }
    )
    told_at = [(each.rule, each.from_m) for each in found]
    assert told_at == [
        ("hidden-from-crew", ALONG_M[10]),
        ("hidden-from-crew", ALONG_M[20]),
        ("too-far-to-see", ALONG_M[2]),
    ]


def test_one_sample_is_a_place_and_more_are_a_stretch():
    (one,) = watched(look(5))
    assert f"can't see it at {ALONG_M[5]:.0f} m: " in one.message
    (two,) = watched(look(5, 6))
    assert f"can't see it from {ALONG_M[5]:.0f} m to {ALONG_M[6]:.0f} m: " in two.message
    assert two.message.startswith("Observer can't")


def test_a_stretch_of_a_metre_is_told_as_a_stretch():
    case = judged(plan(path=hover(30.0)))
    case = where_seen({"observer": lambda case: all_seen(case, hidden=at_samples(case, 0, 1))}, case)
    (one,) = crew_sees(case)
    assert "can't see it from 0 m to 1 m: " in one.message


def test_names_are_joined_as_people_say_them():
    crew = [attrs.evolve(plan().crew[0], name=name) for name in ("Ash", "Birch", "", "Cedar")]
    assert names_of(tuple(crew[:1]), None) == "Ash"
    assert names_of(tuple(crew[:2]), None) == "Ash and Birch"
    assert names_of((*crew, crew[0]), None) == "Ash, Birch, pilot and Cedar"
    assert names_of((*crew, crew[0]), Purpose.PART_107) == "Ash, Birch, remote pilot and Cedar"


@pytest.mark.parametrize("reach", [SightRange(), SightRange(134.0), SightRange(None, 9_000.0)])
def test_while_nobody_knows_how_far_they_see_only_what_is_in_the_way_is_told(reach):
    """That the range is not known is said once, not for each stretch."""
    for kind in ("too_far", "unknown", "untried"):
        assert not watched(look(5, 6, kind=kind), reach=reach)
    (one,) = watched(look(5, 6), reach=reach)
    assert one.mark is Mark.STOP
    (brief,) = watched(look(5, 6, thin=at_samples(complete(), 5, 6)), reach=reach, own_s=2.0)
    assert brief.mark is Mark.ACT


# ---- the pilot's own limit


def behind_a_tree(*samples):
    return look(*samples, thin=at_samples(complete(), *samples))


def test_within_the_own_limit_it_is_something_to_do_and_no_law_is_cited():
    (one,) = watched(behind_a_tree(5, 6), own_s=2.5)
    assert (one.rule, one.mark, one.basis) == ("hidden-from-crew", Mark.ACT, Basis.OWN_LIMIT)
    assert (one.citation, one.remedy) == ("", "")
    assert one.title == "Hidden from observer, within your own limit"
    assert one.message.endswith(" Your own limit for that is 2.5 s; it is no rule.")


@pytest.mark.parametrize(
    ("own_s", "lost_s", "said"),
    [
        # 3 s out of sight: longer than an own limit of 2 s, which is not worth a word then.
        (2.0, None, ""),
        (6.0, 2.0, "Your own limit of 6 s counts for 2 s at the most"),
        (2.0, 2.0, ""),
        (None, None, ""),
    ],
)
def test_a_limit_that_counts_for_less_than_is_typed_is_said_to(own_s, lost_s, said):
    sheet = SheetNotes(calls=CallTimes(lost_s=lost_s)) if lost_s else None
    (one,) = watched(behind_a_tree(5, 6, 7, 8), own_s=own_s, sheet=sheet)
    assert (one.mark, one.basis) == (Mark.STOP, Basis.LAW)
    assert ("own limit" in one.message) is bool(said)
    assert said in one.message


def test_of_what_is_not_hidden_an_own_limit_says_nothing():
    (one,) = watched(look(5, 6, kind="too_far"), own_s=60.0)
    assert "own limit" not in one.message + one.title


# ---- where else to stand


def test_a_place_is_looked_for_where_it_is_hidden_three_times_at_most(looked_for):
    found = watched(look(2, 3, 6, 7, 10, 11, 14, 15, 18))
    assert [each.from_m for each in found] == [ALONG_M[k] for k in (2, 6, 10, 14, 18)]
    assert looked_for == [(["observer"], k) for k in (2, 6, 10)]
    assert ["let them stand THERE" in each.remedy for each in found] == [True] * 3 + [False] * 2
    assert all("let them stand" in each.remedy for each in found)


@pytest.mark.parametrize("kind", ["too_far", "unknown", "untried"])
@pytest.mark.parametrize("tried", [True, False])
def test_no_place_is_looked_for_where_another_lack_would_stay(kind, tried, looked_for):
    trial = attrs.evolve(plan().crew[0].tried_ranges[0], against_sun=tried)
    watched(look(2, 3, kind=kind), reach=SightRange(None, 9_000.0, trial))
    assert not looked_for


@pytest.mark.parametrize(("tried", "looks"), [(True, 0), (False, 1)])
def test_out_of_the_sun_a_place_is_looked_for_unless_it_was_tried(tried, looks, looked_for):
    trial = attrs.evolve(plan().crew[0].tried_ranges[0], against_sun=tried)
    watched(look(5, 6, kind="against_sun"), reach=SightRange(None, 9_000.0, trial))
    assert len(looked_for) == looks


def test_others_than_those_told_do_not_use_up_the_places(looked_for):
    def mixed(case):
        far = at_samples(case, 1, 3, 5, 7)
        return attrs.evolve(look(10, 14, 18)(case), too_far=far)

    watched(mixed)
    assert looked_for == [(["observer"], k) for k in (10, 14, 18)]


def test_without_a_path_or_an_answer_nothing_is_told():
    assert not list(crew_sees(attrs.evolve(complete(), sight=None)))
    assert not list(crew_sees(attrs.evolve(complete(), track=None)))


def test_the_same_stretch_is_kept_with_all_who_miss_it():
    both = look(5, 6, 7)
    case = where_seen({**keyed("observer", both), **keyed("pilot", both)})
    (one,) = unseen_stretches(case, case.track)
    assert one.sight is Sight.HIDDEN
    assert [member.key for member in one.people] == ["observer", "pilot"]
    assert one.profile.key == "observer"
