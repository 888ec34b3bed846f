"""Who must see the aircraft, and what of the path they have, with lines of sight made by hand.

Sources: 14 CFR 107.31 (standing A): the remote pilot and the person at the controls, if it is another, are
able to see it, whoever of them or the observer does; 14 CFR 89.115 (standing B). That of several people in
one group the best counts, and what an own limit is worth, is the project's own.
"""

from types import SimpleNamespace

import attrs
import numpy as np
import pytest

from planner.plan.aircraft import RemoteId
from planner.plan.crew import Contact, CrewMember, Role
from planner.plan.model import Purpose
from planner.plan.sheet import CallTimes, SheetNotes
from planner.rules.must_see import (
    Demand,
    all_stand_somewhere,
    demanded_keys,
    demands_of,
    missing_words,
    must_see_by_themselves,
    without_place,
)
from planner.rules.stretches import Stretch
from planner.sight.along import GRAVEST_FIRST, Sight
from planner.sight.ranges import SightRange
from planner.world.terrain import SurfaceKind
from tests.rules.hand_made import all_seen, at_samples, complete, where_seen
from tests.worlds import TRIED, at, plan

N = len(complete().track)


def member(role, key, name="", *, placed=True):
    return CrewMember(key, role, name, at() if placed else None, Contact.BESIDE, TRIED)


PILOT, HANDS = Role.REMOTE_PILOT, Role.PERSON_AT_CONTROLS


# ---- who


@pytest.mark.parametrize(
    ("purpose", "remote_id", "roles", "must"),
    [
        # 107.31: whoever has the say and whoever has the sticks.
        (Purpose.PART_107, RemoteId.STANDARD, (PILOT,), ["a"]),
        (Purpose.PART_107, RemoteId.STANDARD, (PILOT, HANDS), ["a", "b"]),
        (None, RemoteId.STANDARD, (PILOT, HANDS), ["a", "b"]),
        # 89.115: the person manipulating the flight controls alone.
        (Purpose.RECREATIONAL, RemoteId.BROADCAST_MODULE, (PILOT, HANDS), ["b"]),
        (Purpose.RECREATIONAL, RemoteId.BROADCAST_MODULE, (PILOT,), ["a"]),
        # 44809(a)(3): the observer is enough.
        (Purpose.RECREATIONAL, RemoteId.STANDARD, (PILOT, HANDS), []),
        (Purpose.RECREATIONAL, None, (PILOT, HANDS), []),
        (Purpose.PART_107, RemoteId.STANDARD, (Role.OBSERVER, Role.SPECTATOR), []),
    ],
)
def test_who_must_be_able_to_see_it_by_themselves(purpose, remote_id, roles, must):
    crew = tuple(member(role, key) for role, key in zip(roles, "abc", strict=False))
    flight = plan(purpose, crew=crew, aircraft=attrs.evolve(plan().aircraft, remote_id=remote_id))
    assert [one.key for one in must_see_by_themselves(flight)] == must


def crew_of(*told):
    """Crew from words: a letter of the role, capital where they have a place."""
    roles = {"p": PILOT, "h": HANDS, "o": Role.OBSERVER, "s": Role.SPECTATOR}
    return tuple(
        member(roles[word[0].lower()], word.lower(), word.upper(), placed=word[0].isupper()) for word in told
    )


@pytest.mark.parametrize(
    ("told", "nowhere", "missing", "keys"),
    [
        (("P", "O"), [], "", (("o",), ("p",))),
        (("P", "o"), ["o"], "O", (("p",),)),
        (("p", "O"), ["p"], "P", (("o",),)),
        (("p", "o"), ["o", "p"], "O, P", ()),
        (("P", "O1", "o2"), [], "", (("o1",), ("p",))),
        (("P", "O2", "O1"), [], "", (("o1", "o2"), ("p",))),
        (("P", "o1", "o2"), ["o1", "o2"], "O1, O2", (("p",),)),
        (("P", "H", "O"), [], "", (("o",), ("h",), ("p",))),
        (("P", "h", "O"), ["h"], "H", (("o",), ("p",))),
        (("P",), [], "no observer", (("p",),)),
        (("p",), ["p"], "no observer, P", ()),
        (("O",), [], "nobody who flies", (("o",),)),
        (("S",), [], "no observer, nobody who flies", ()),
        (("P", "O", "s"), [], "", (("o",), ("p",))),
    ],
)
def test_who_stands_nowhere_who_is_missing_and_of_whom_one_has_to(told, nowhere, missing, keys):
    flight = plan(crew=crew_of(*told))
    assert [one.key for one in without_place(flight)] == nowhere
    assert missing_words(flight) == missing
    assert all_stand_somewhere(flight) is (missing == "")
    assert demanded_keys(SimpleNamespace(plan=flight)) == keys


def test_of_a_recreational_crew_only_an_observer_is_wanted():
    assert all_stand_somewhere(plan(Purpose.RECREATIONAL, crew=crew_of("O")))
    assert all_stand_somewhere(plan(Purpose.RECREATIONAL, crew=crew_of("p", "O")))
    assert not all_stand_somewhere(plan(Purpose.RECREATIONAL, crew=crew_of("P")))
    assert missing_words(plan(Purpose.RECREATIONAL, crew=())) == "no observer"


def test_somebody_without_a_name_is_called_by_what_they_do_and_a_name_is_said_once():
    nameless = member(PILOT, "x", placed=False), member(HANDS, "y", placed=False)
    flight = plan(crew=(*nameless, *crew_of("O")))
    assert missing_words(flight) == "remote pilot, person at the controls"
    twins = tuple(member(role, str(role), "Ash", placed=False) for role in (PILOT, HANDS))
    assert missing_words(plan(crew=(*twins, *crew_of("O")))) == "Ash"


# ---- what one group has


def demand(*profiles, reaches=(), graves=None):
    people = tuple(member(Role.OBSERVER, f"o{k}") for k in range(len(profiles)))
    given = np.stack([one.grave for one in profiles]) if graves is None else graves
    return Demand(people, tuple(profiles), tuple(reaches), given, "")


def trial(*, against_sun):
    return attrs.evolve(TRIED[0], against_sun=against_sun)


@pytest.mark.parametrize(
    ("reaches", "known"),
    [
        ([SightRange()], False),
        ([SightRange(134.0)], False),
        ([SightRange(None, 3_000.0)], False),
        ([SightRange(134.0, 3_000.0)], True),
        ([SightRange(), SightRange(134.0, 3_000.0)], True),
        ([SightRange(134.0), SightRange(None, 3_000.0)], False),
    ],
)
def test_how_far_one_of_them_sees_must_be_known_in_both_ways(reaches, known):
    assert demand(*[all_seen(complete())] * len(reaches), reaches=reaches).can_be_judged is known


@pytest.mark.parametrize(
    ("tried", "all_tried"),
    [
        ([trial(against_sun=True)], True),
        ([trial(against_sun=False)], False),
        ([None], False),
        ([trial(against_sun=True), None], False),
        ([trial(against_sun=True), trial(against_sun=False)], False),
        ([trial(against_sun=True)] * 2, True),
    ],
)
def test_into_the_sun_counts_as_tried_once_each_of_them_has(tried, all_tried):
    reaches = [SightRange(134.0, 3_000.0, one) for one in tried]
    assert demand(*[all_seen(complete())] * len(tried), reaches=reaches).tried_against_sun is all_tried


ONE = at_samples(complete(), 3)


@pytest.mark.parametrize(
    ("first", "second", "barely"),
    [
        ({"barely"}, {"barely"}, True),
        ({"barely"}, set(), False),
        # Whoever has it best sees it barely: that another sees it surely against the sun is no cure.
        ({"barely"}, {"against_sun"}, True),
        ({"barely", "against_sun"}, {"against_sun"}, False),
        ({"barely", "against_sun"}, {"barely"}, True),
        ({"barely", "unknown"}, {"unknown", "barely"}, True),
        # What is too far or hidden is told as that.
        ({"barely", "too_far"}, {"barely", "too_far"}, False),
        ({"barely", "hidden"}, {"barely", "hidden"}, False),
        ({"barely", "hidden"}, {"barely"}, True),
        (set(), set(), False),
    ],
)
def test_barely_seen_is_what_whoever_has_it_best_sees_by_less_than_the_error(first, second, barely):
    case = complete()
    one = demand(*(all_seen(case, **dict.fromkeys(masks, ONE)) for masks in (first, second)))
    assert np.flatnonzero(one.barely).tolist() == ([3] if barely else [])


def test_of_a_stretch_the_profile_of_whoever_sees_most_of_it_is_told():
    case = complete()
    poor = all_seen(case, "poor", hidden=at_samples(case, 2, 3, 4))
    fair = all_seen(case, "fair", hidden=at_samples(case, 4, 5, 6, 7, 8))
    assert demand(poor, fair).best_profile(Stretch(2, 4, 0.0, 0.0)).key == "fair"
    assert demand(poor, fair).best_profile(Stretch(4, 8, 0.0, 0.0)).key == "poor"
    assert demand(poor, fair).grave.tolist()[2:9] == [7, 7, 0, 7, 7, 7, 7]


def test_each_group_has_its_own_rule_and_its_own_people():
    crew = (member(PILOT, "p"), member(HANDS, "h"), member(Role.OBSERVER, "o"), member(Role.OBSERVER, "n"))
    case = where_seen({})
    answer = case.sight
    viewers = tuple(attrs.evolve(answer.viewers[0], key=one.key) for one in crew)
    sight = attrs.evolve(
        answer, people=crew, viewers=viewers, profiles=tuple(all_seen(case, one.key) for one in crew)
    )
    case = attrs.evolve(case, plan=plan(crew=crew), sight=sight)
    found = demands_of(case)
    told = [([one.key for one in each.people], [one.key for one in each.profiles]) for each in found]
    assert told == [(["n", "o"], ["n", "o"]), (["h"], ["h"]), (["p"], ["p"])]
    assert [each.citation for each in found] == ["14 CFR 107.31, 107.33", *["14 CFR 107.31(a)"] * 2]
    fun = plan(
        Purpose.RECREATIONAL,
        crew=crew,
        aircraft=attrs.evolve(plan().aircraft, remote_id=RemoteId.BROADCAST_MODULE),
    )
    watching, flying = demands_of(attrs.evolve(case, plan=fun))
    assert watching.citation.startswith("49 USC 44809(a)(3)")
    assert flying.citation.startswith("14 CFR 89.115(a)")
    assert [one.key for one in flying.people] == ["h"]


# ---- what the pilot's own limit allows

BRIEFLY, HIDDEN, SEEN = (GRAVEST_FIRST.index(one) for one in (Sight.BRIEFLY_HIDDEN, Sight.HIDDEN, Sight.SEEN))


def lost(samples, **more):
    """A look at the path, hidden at some samples by what may be thin."""
    return lambda case: all_seen(
        case, hidden=at_samples(case, *samples), **{"thin": at_samples(case, *samples), **more}
    )


def observed(look, own_s, lost_s=None):
    """Per sample what the observer has; a sample takes a second."""
    sheet = SheetNotes(calls=CallTimes(lost_s=lost_s)) if lost_s else None
    case = where_seen({"observer": look})
    case = attrs.evolve(case, plan=attrs.evolve(case.plan, own_unseen_s=own_s, sheet=sheet))
    (watching, _) = demands_of(case)
    return watching.grave.tolist()


@pytest.mark.parametrize(
    ("samples", "own_s", "lost_s", "grave"),
    [
        # Hidden at 4 samples in a row are 3 s between the first and the last.
        ((4, 5, 6, 7), 3.0, None, BRIEFLY),
        ((4, 5, 6, 7), 2.9, None, HIDDEN),
        ((4, 5, 6, 7), None, None, HIDDEN),
        # An own limit is never worth more than the 5 s after which the call LOST lands it, or than that call.
        ((4, 5, 6, 7, 8, 9), 60.0, None, BRIEFLY),
        ((4, 5, 6, 7, 8, 9, 10), 60.0, None, HIDDEN),
        ((4, 5, 6, 7, 8, 9, 10), 60.0, 20.0, HIDDEN),
        ((4, 5, 6, 7), 60.0, 3.0, BRIEFLY),
        ((4, 5, 6, 7), 60.0, 2.5, HIDDEN),
    ],
)
def test_what_is_thin_may_hide_it_for_as_long_as_the_own_limit_holds(samples, own_s, lost_s, grave):
    expected = [SEEN] * N
    for sample in samples:
        expected[sample] = grave
    assert observed(lost(samples), own_s, lost_s) == expected


def test_each_moment_out_of_sight_is_counted_by_itself():
    samples = (2, 3, 10, 11, 12, 13, 14, 20)
    grave = observed(lost(samples), 2.0)
    assert [k for k in range(N) if grave[k] == BRIEFLY] == [2, 3, 20]
    assert [k for k in range(N) if grave[k] == HIDDEN] == [10, 11, 12, 13, 14]


def test_bare_ground_hides_for_no_moment_even_where_a_tree_does_beside_it():
    partly = at_samples(complete(), 4, 5)
    assert set(observed(lost((4, 5, 6), thin=partly), 3.0)[4:7]) == {HIDDEN}
    assert set(observed(lost((4, 5, 6), thin=at_samples(complete(), 4, 5, 6)), 3.0)[4:7]) == {BRIEFLY}


def test_what_is_graver_than_a_brief_moment_stays_what_it_is():
    graver = {"too_far": at_samples(complete(), 4), "untried": at_samples(complete(), 5)}
    told = observed(lost((4, 5, 6), against_sun=at_samples(complete(), 6), **graver), 3.0)
    assert [GRAVEST_FIRST[k] for k in told[4:7]] == [Sight.TOO_FAR, Sight.UNTRIED, Sight.AGAINST_SUN]


def test_of_two_the_one_behind_a_tree_may_miss_it_where_the_other_looks_at_a_hill():
    crew = (*plan().crew, attrs.evolve(plan().crew[1], key="second"))
    case = where_seen({})
    answer = case.sight
    samples = at_samples(case, 4, 5)
    hill = all_seen(case, "observer", hidden=samples)
    tree = all_seen(case, "second", hidden=samples, thin=samples)
    looks = (all_seen(case, "pilot"), hill, tree)
    viewers = (*answer.viewers, attrs.evolve(answer.viewers[1], key="second"))
    sight = attrs.evolve(answer, people=crew, viewers=viewers, profiles=looks)
    case = attrs.evolve(case, plan=plan(crew=crew, own_unseen_s=2.0), sight=sight)
    (watching, _) = demands_of(case)
    assert watching.graves[:, 4].tolist() == [HIDDEN, BRIEFLY]
    assert watching.grave[4] == BRIEFLY


def test_over_a_surface_model_any_hiding_may_be_a_tree():
    case = where_seen({"observer": lost((4, 5), thin=at_samples(complete()))})
    ground = case.sight.surfaces.ground
    treed = attrs.evolve(ground, terrain=attrs.evolve(ground.terrain, surface=SurfaceKind.SURFACE))
    flight = attrs.evolve(case.plan, own_unseen_s=3.0)
    for surfaces, grave in (
        (attrs.evolve(case.sight.surfaces, ground=treed), BRIEFLY),
        (case.sight.surfaces, HIDDEN),
        (None, HIDDEN),
    ):
        looked = attrs.evolve(case, plan=flight, sight=attrs.evolve(case.sight, surfaces=surfaces))
        assert demands_of(looked)[0].grave[4] == grave


def test_without_times_an_own_limit_allows_nothing():
    case = where_seen({"observer": lost((4, 5))}, times=None)
    case = attrs.evolve(case, plan=attrs.evolve(case.plan, own_unseen_s=5.0))
    assert demands_of(case)[0].grave[4] == HIDDEN


def test_a_moment_begins_where_the_last_of_them_loses_it_and_ends_where_the_first_has_it_again():
    crew = (*plan().crew, attrs.evolve(plan().crew[1], key="second"))
    case = where_seen({})
    answer = case.sight
    looks = (all_seen(case, "pilot"), lost((4, 5, 6))(case), lost((5, 6, 7, 8, 9))(case))
    viewers = (*answer.viewers, attrs.evolve(answer.viewers[1], key="second"))
    sight = attrs.evolve(answer, people=crew, viewers=viewers, profiles=looks)
    case = attrs.evolve(case, plan=plan(crew=crew, own_unseen_s=1.0), sight=sight)
    grave = demands_of(case)[0].grave.tolist()
    assert grave[4:8] == [SEEN, BRIEFLY, BRIEFLY, SEEN]


def test_without_a_path_or_any_answer_nobody_has_anything():
    assert demands_of(attrs.evolve(complete(), sight=None)) == ()
    assert demands_of(attrs.evolve(complete(), sight=attrs.evolve(complete().sight, profiles=()))) == ()
