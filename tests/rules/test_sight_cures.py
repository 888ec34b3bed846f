"""Why it is not seen and what would cure it, in words: lines of sight made by hand, places worked out here.

The law is 14 CFR 107.31 (standing A); cures are no rule, and their figures never flatter: what is missing is
rounded up, what is there rounded down.
"""

import math
from datetime import date, timedelta

import attrs
import numpy as np
import pytest
import shapely

from planner.plan.crew import TriedRange
from planner.plan.model import Purpose
from planner.rules import sight_places, sight_words
from planner.rules.sight_lower import lower_words
from planner.rules.sight_places import stand_words
from planner.rules.sight_words import cause_words, remedy_words, unmeasured_words
from planner.rules.stretches import Stretch
from planner.saying import told
from planner.sight.along import Sight, Viewer
from planner.sight.footing import Footing
from planner.sight.ranges import SightRange
from planner.sight.spot import Spot
from planner.sight.surfaces import Screen, ScreenKind
from tests.rules.hand_made import all_seen, at_samples, complete, where_seen
from tests.worlds import ft, plan

TRACK = complete().track
N = len(TRACK)
PILOT, OBSERVER = plan().crew
PART = Stretch(5, 7, float(TRACK.distance_m[5]), float(TRACK.distance_m[7]))
AT_6 = f"at {TRACK.distance_m[6]:.0f} m"


def figures(values, rest=9.0):
    """A figure for the samples of PART, another for all others."""
    made = np.full(N, rest)
    made[PART.slice] = values
    return made


def observing(reach=None, charts=None, footing=None, eye=None, **seen):
    """The case in which the observer has this of the path, and their profile."""
    pilot = {"pilot": lambda case: all_seen(case, "pilot", spare_m=figures(30.0))}
    case = where_seen({"observer": lambda case: all_seen(case, **seen)} | pilot)
    answer = case.sight
    changes = {name: value for name, value in (("reach", reach), ("eye", eye)) if value is not None}
    viewers = tuple(attrs.evolve(one, **changes) if one.key == "observer" else one for one in answer.viewers)
    surfaces = answer.surfaces if charts is None else attrs.evolve(answer.surfaces, **charts)
    answer = attrs.evolve(answer, viewers=viewers, surfaces=surfaces, footing=footing or Footing())
    (profile,) = [one for one in answer.profiles if one.key == "observer"]
    return attrs.evolve(case, sight=answer), profile


# ---- fly lower


BESIDE = attrs.evolve(TRACK, y_m=TRACK.y_m + 3.0)
# A metre before sample 6 and 5 m north of it; the path is 30 m above the ground, 28.3 m above the eye.
NEAR_IT = Spot(
    float(TRACK.x_m[6]) - 1.0, float(BESIDE.y_m[6]) + 5.0, float(TRACK.ground_amsl_m[6]) + 1.7, 0.0
)
ASIDE_M = math.hypot(float(TRACK.distance_m[7] - TRACK.distance_m[6]) + 1.0, 5.0)


def lower(reach, sight=Sight.UNTRIED, people=(OBSERVER,), part=PART, eye=NEAR_IT, **seen):
    case, _ = observing(reach, eye=eye, **{"spare_m": figures(30.0), **seen})
    return told(lower_words(case, BESIDE, people, sight, part))


@pytest.mark.parametrize(
    ("sight", "reach"),
    [(Sight.UNTRIED, SightRange(20.0, 9_000.0)), (Sight.TOO_FAR, SightRange(None, 20.0))],
)
def test_lower_by_what_brings_the_farthest_of_the_stretch_near_enough(sight, reach):
    drop_m = 28.3 - math.sqrt(20.0**2 - ASIDE_M**2)
    words = lower(reach, sight)
    assert words == f"fly {math.ceil(drop_m / ft(1)):.0f} ft lower at {TRACK.distance_m[7]:.0f} m, "


def test_lower_is_no_cure_where_it_would_be_too_low_or_out_of_sight():
    near = SightRange(18.0, 9_000.0)
    drop_m = 28.3 - math.sqrt(18.0**2 - ASIDE_M**2)
    assert lower(near)
    # No nearer to the ground than 2 m (own choice), and no farther down than there is sight.
    spares = figures((30.0, 30.0, drop_m - 0.01))
    assert lower(near, spare_m=spares) == ""
    assert lower(near, spare_m=figures((30.0, 30.0, drop_m + 0.01)))
    assert lower(near, spare_m=figures((30.0, 30.0, math.nan))) == ""
    # 27.6 m lower would be 2.4 m above the ground, 28.2 m lower 1.8 m.
    for left_m, cured in ((0.7, True), (0.1, False)):
        reach = SightRange(math.hypot(ASIDE_M, left_m), 9_000.0)
        assert bool(lower(reach)) is cured


def test_lower_is_no_cure_where_they_stand_too_far_off():
    assert lower(SightRange(ASIDE_M - 1.0, 9_000.0)) == ""
    assert lower(SightRange(5.0, 9_000.0), part=Stretch(6, 6, 0.0, 0.0)) == ""  # There they stand 5.1 m off.
    assert lower(SightRange(11.0, 9_000.0), part=Stretch(6, 6, 0.0, 0.0))


def test_lower_is_told_only_of_what_is_too_far_and_where_something_is_missing():
    for sight in set(Sight) - {Sight.TOO_FAR, Sight.UNTRIED}:
        assert lower(SightRange(35.0, 35.0), sight) == ""
    assert lower(SightRange(9_000.0, 9_000.0)) == ""
    assert lower(SightRange(None, 9_000.0)) == ""
    assert lower(SightRange(35.0), Sight.TOO_FAR) == ""
    case, _ = observing(SightRange(35.0, 35.0))
    assert lower_words(attrs.evolve(case, sight=None), TRACK, (OBSERVER,), Sight.TOO_FAR, PART) == ""


def test_lower_must_do_for_all_who_are_told_of_and_for_nobody_else():
    # The pilot, 300 m off, has tried 9 km.
    near = SightRange(35.0, 9_000.0)
    assert lower(near, people=(PILOT, OBSERVER)) == lower(near)
    assert lower(near, people=(PILOT,)) == ""


# ---- stand elsewhere


def standing(monkeypatch, spot, people=(OBSERVER,), eyes=None, footing=None, reaches=None):
    """The words where the nearest place is this; those asked for it stand at these places."""
    asked = []

    def nearest(track, surfaces, viewers, conditions, part, footing):
        asked.append(([one.key for one in viewers], part))
        return spot

    monkeypatch.setattr(sight_places, "nearest_place", nearest)
    case, _ = observing(footing=footing)
    eyes = ((0.0, 0.0),) * len(people) if eyes is None else eyes
    reaches = (SightRange(134.0, 9_000.0),) * len(people) if reaches is None else reaches
    viewers = [
        Viewer(member.key, Spot(*eye, 301.7, 300.0), reach)
        for member, eye, reach in zip(people, eyes, reaches, strict=True)
    ]
    other = Viewer("other", Spot(5_000.0, 0.0, 301.7, 300.0), SightRange())
    case = attrs.evolve(case, sight=attrs.evolve(case.sight, viewers=(other, *viewers)))
    return told(stand_words(case, TRACK, people, PART)), asked


ELSEWHERE = "let them stand where it is seen"


@pytest.mark.parametrize(
    ("east_m", "north_m", "way"),
    [
        (0.0, 40.0, "north (000° true)"),
        (30.0, 30.0, "northeast (045° true)"),
        (50.0, 0.0, "east (090° true)"),
        (30.0, -30.0, "southeast (135° true)"),
        (0.0, -40.0, "south (180° true)"),
        (-30.0, -30.0, "southwest (225° true)"),
        (-50.0, 0.0, "west (270° true)"),
        (-30.0, 30.0, "northwest (315° true)"),
        # 359.7 degrees are 0; 22 degrees are still north, 23 northeast; 338 is north again.
        (-0.2, 40.0, "north (000° true)"),
        (40.0 * math.tan(math.radians(22.0)), 40.0, "north (022° true)"),
        (40.0 * math.tan(math.radians(23.0)), 40.0, "northeast (023° true)"),
        (-40.0 * math.tan(math.radians(22.0)), 40.0, "north (338° true)"),
    ],
)
def test_where_to_by_distance_and_true_bearing(east_m, north_m, way, monkeypatch):
    own = (70.0, -20.0)
    spot = Spot(own[0] + east_m, own[1] + north_m, 301.7, 300.0)
    words, asked = standing(monkeypatch, spot, eyes=(own,))
    assert f"to the {way}, from where this stretch is in sight, if one may stand there" in words
    away_m = math.hypot(east_m, north_m)
    assert words.startswith(
        f"let them stand {math.ceil(away_m / ft(1) - 1e-9)} ft ({math.ceil(away_m - 1e-9)} m)"
    )
    assert asked == [(["observer"], PART.slice)]


def test_where_the_pilot_allows_it_is_said(monkeypatch):
    footing = Footing(allowed=shapely.box(0, 0, 1, 1))
    words, _ = standing(monkeypatch, Spot(0.0, 40.0, 301.7, 300.0), footing=footing)
    assert words.endswith("in sight, where you allow it")
    # 200 m are looked through: 656 ft, rounded down.
    words, _ = standing(monkeypatch, None, footing=footing)
    assert words == f"{ELSEWHERE} (where you allow to stand, within 656 ft of theirs none was found)"
    words, _ = standing(monkeypatch, None)
    assert words == f"{ELSEWHERE} (within 656 ft of theirs none was found)"


def test_only_who_stand_together_are_sent_somewhere_together(monkeypatch):
    spot, both = Spot(0.0, 40.0, 301.7, 300.0), (PILOT, OBSERVER)
    for apart, together in (
        ((0.0, 0.9), True),
        ((0.6, 0.9), False),
        ((1.1, 0.0), False),
        ((0.0, -1.1), False),
    ):
        words, asked = standing(monkeypatch, spot, both, (apart, (0.0, 0.0)))
        assert bool(asked) is together
        assert (words == ELSEWHERE) is not together
    words, asked = standing(monkeypatch, spot, both, ((300.0, 300.5), (300.0, 300.0)))
    assert asked


def test_nobody_is_sent_anywhere_while_it_is_not_known_how_far_they_see(monkeypatch):
    known, unknown = SightRange(134.0, 9_000.0), SightRange(None, 9_000.0)
    for people, reaches in (((OBSERVER,), (unknown,)), ((PILOT, OBSERVER), (known, unknown))):
        words, asked = standing(monkeypatch, Spot(0.0, 40.0, 301.7, 300.0), people, reaches=reaches)
        assert words == ELSEWHERE
        assert not asked
    case, _ = observing()
    for sight in (None, attrs.evolve(case.sight, surfaces=None)):
        assert stand_words(attrs.evolve(case, sight=sight), TRACK, (OBSERVER,), PART) == ELSEWHERE


# ---- what is in the way


def screen(name="", kind=ScreenKind.BUILDING):
    return Screen(shapely.box(0, 0, 1, 1), 320.0, kind=kind, name=name)


def cause(sight, sample=6, reach=None, charts=None, **seen):
    case, profile = observing(reach, charts, **seen)
    return told(cause_words(case, sight, profile, sample, "HERE", PART))


def cure(sight, sample=6, reach=None, charts=None, purpose=Purpose.PART_107, ceiling_m=None, **seen):
    case, profile = observing(reach, charts, **seen)
    if ceiling_m is not None:
        ceiling = np.full(N, float(TRACK.planned_amsl_m[6]) + ceiling_m)
        case = attrs.evolve(case, profile=attrs.evolve(case.profile, ceiling_amsl_m=ceiling))
    case = attrs.evolve(case, plan=attrs.evolve(case.plan, purpose=purpose))
    return told(remedy_words(case, TRACK, sight, profile, sample, PART, place="STAND"))


HIDDEN = at_samples(complete(), 5, 6, 7)


@pytest.mark.parametrize(
    ("behind", "what"),
    [
        ((-1, -1, -1), ""),
        ((0, -1, -1), "the ground and the building “barn”"),
        ((0, 0, 0), "the building “barn”"),
        ((0, 1, 1), "the building “barn” and the trees"),
        ((2, 1, 0), "the building “barn”, the trees and the building"),
        ((3, 3, 0), "the building “barn”"),
    ],
)
def test_what_hides_it_is_named(behind, what):
    screens = (screen("barn"), screen(kind=ScreenKind.TREES), screen(), screen("barn"))
    seen = {"hidden": HIDDEN, "behind": figures(behind, rest=-1).astype(int), "clearance_m": figures(-2.0)}
    words = cause(Sight.HIDDEN, charts={"screens": screens}, **seen)
    # 2 m are 6.6 ft, rounded up.
    if what:
        assert (
            words == f"can't see it HERE: it is behind {what}, the line of sight passes up to 7 ft too low."
        )
    else:
        assert words == "can't see it HERE: the line of sight passes 7 ft under what is in the way."
    assert cause(Sight.BRIEFLY_HIDDEN, charts={"screens": screens}, **seen) == words


def test_only_what_hides_it_in_the_stretch_is_named_and_three_names_are_enough():
    screens = tuple(screen(name) for name in ("a", "b", "c", "d", "e"))
    behind = figures((0, 1, 2), rest=4).astype(int)
    part_of = at_samples(complete(), 5, 7)
    assert "“a” and the building “c”," in cause(
        Sight.HIDDEN, charts={"screens": screens}, hidden=part_of, behind=behind
    )
    wide = Stretch(5, 9, PART.from_m, float(TRACK.distance_m[9]))
    hidden = at_samples(complete(), *range(5, 10))
    for more, said in (
        ((3, 4), "“c” and 2 more,"),
        ((3, 0), "“c” and 1 more,"),
        ((1, 0), "“b” and the building “c”,"),
    ):
        behind[8:10] = more
        case, profile = observing(None, {"screens": screens}, hidden=hidden, behind=behind)
        assert said in told(cause_words(case, Sight.HIDDEN, profile, 6, "HERE", wide))


def test_how_far_it_is_and_how_far_is_known():
    slant = figures((900.0, 1_000.0, 950.0))
    words = cause(Sight.TOO_FAR, reach=SightRange(None, 600.0), slant_range_m=slant)
    assert words == (
        "can't find it HERE: it is up to 3,280 ft (1,000 m) through the air, and at this visibility nothing "
        "is found beyond 1,968 ft (600 m) (visibility estimate, no US legal force)."
    )
    trial = TriedRange("5-inch quad", date(2027, 6, 1), "overcast", 150.0)
    words = cause(Sight.UNTRIED, reach=SightRange(134.45, 600.0, trial), slant_range_m=slant)
    assert words.endswith(
        "it is up to 3,280 ft (1,000 m) through the air; tried are 492 ft (150 m) (1 Jun 2027, overcast)."
    )
    words = cause(
        Sight.UNTRIED, reach=SightRange(134.45, 600.0, attrs.evolve(trial, light="")), slant_range_m=slant
    )
    assert "(1 Jun 2027)." in words
    words = cause(Sight.UNTRIED, reach=SightRange(134.45, 600.0), slant_range_m=slant)
    assert words.endswith(
        "nothing is tried, the estimate is 441 ft (134 m) (visibility estimate, no US legal force)."
    )


def test_how_near_the_sun_it_is():
    words = cause(Sight.AGAINST_SUN, sun_angle_deg=figures((9.0, 7.4, 8.0), 90.0))
    assert words.startswith("must look at it HERE within 7° of the sun; within 20° it may be lost")


def test_what_of_unknown_height_may_hide_it_is_named():
    unmeasured = (screen("barn"), screen(kind=ScreenKind.TREES))
    unknown = at_samples(complete(), 5, 6, 7)
    bare = "ground or height there is not known"
    # 20 m for a building and 40 m for trees: 65.6 ft and 131.2 ft, rounded up.
    for which, words in (
        ((-1, -1, -1), f"may or may not see it HERE: {bare}."),
        ((0, 0, 0), "passes low over the building “barn”, whose height is not given (up to 66 ft are"),
        ((0, 1, 0), "over the building “barn” and the trees, whose heights are not given (up to 132 ft are"),
        ((0, -1, 0), f", and {bare} everywhere."),
    ):
        seen = {"unknown": unknown, "unmeasured": figures(which, rest=1).astype(int)}
        said = cause(Sight.UNKNOWN, charts={"unmeasured": unmeasured}, **seen)
        assert words in said
        assert ("everywhere" in said) is (which == (0, -1, 0))
        remedy = cure(Sight.UNKNOWN, charts={"unmeasured": unmeasured}, **seen)
        if max(which) < 0:
            assert remedy == "add terrain that covers the place they stand, the path and all between"
        else:
            assert remedy.startswith("draw the building “barn”")
            assert ("the trees" in remedy) is (1 in which)
            assert remedy.endswith("with a height, under that name, or STAND")
    # What may hide it where it is not unknown is no cause.
    seen = {"unknown": at_samples(complete(), 5), "unmeasured": figures((0, 1, 1), rest=1).astype(int)}
    assert "trees" not in cause(Sight.UNKNOWN, charts={"unmeasured": unmeasured}, **seen)
    seen = {"unknown": at_samples(complete(), 5), "unmeasured": figures((0, -1, -1), rest=-1).astype(int)}
    assert "everywhere" not in cause(Sight.UNKNOWN, charts={"unmeasured": unmeasured}, **seen)
    assert "up to 132 ft" in told(unmeasured_words([screen(kind=ScreenKind.TREES), screen()]))


# ---- cures


def test_higher_where_it_would_be_seen_and_is_allowed():
    spares = figures((-1.0, -5.0, -2.0))
    given = {"hidden": HIDDEN, "spare_m": spares}
    # 5 m are 16.4 ft, rounded up.
    words = cure(Sight.HIDDEN, ceiling_m=5.0, **given)
    assert words.startswith(f"fly 17 ft higher {AT_6}, or STAND, or record a waiver of 14 CFR 107.31")
    assert cure(Sight.HIDDEN, ceiling_m=4.9, **given).startswith("STAND")
    assert cure(Sight.HIDDEN, ceiling_m=5.0, hidden=HIDDEN, spare_m=figures(-0.5)).startswith("fly 2 ft")
    for values in ((np.nan,) * 3, (1.0, 2.0, 3.0), (0.0, 1.0, 1.0), (-math.inf, -1.0, -1.0)):
        assert cure(Sight.HIDDEN, ceiling_m=100.0, hidden=HIDDEN, spare_m=figures(values)).startswith("STAND")
    partly = figures((np.nan, -5.0, np.nan))
    assert cure(Sight.HIDDEN, ceiling_m=100.0, hidden=HIDDEN, spare_m=partly).startswith("fly 17 ft")
    case, profile = observing(**given)
    blind = attrs.evolve(case, profile=None)
    assert remedy_words(blind, TRACK, Sight.HIDDEN, profile, 6, PART).startswith(ELSEWHERE)


def test_a_waiver_is_a_cure_under_part_107_only():
    for sight in (Sight.HIDDEN, Sight.TOO_FAR):
        reach = SightRange(None, 60.0)
        assert "waiver" in cure(sight, reach=reach, hidden=HIDDEN)
        for purpose in (Purpose.RECREATIONAL, None):
            assert "waiver" not in cure(sight, reach=reach, hidden=HIDDEN, purpose=purpose)


def test_nearer_by_what_is_missing():
    slant = figures((900.0, 1_000.0, 950.0))
    # 1,000 m against 600 m and 150 m: 400 m are 1,312.3 ft, 850 m 2,788.7 ft, 1,000 m 3,280.8 ft, rounded up.
    words = cure(Sight.TOO_FAR, reach=SightRange(None, 600.0), slant_range_m=slant)
    assert words.startswith(
        f"fly nearer, or let them stand 1,313 ft (400 m) nearer {AT_6}, or record a waiver"
    )
    words = cure(Sight.UNTRIED, reach=SightRange(150.0, 600.0), slant_range_m=slant)
    assert words == (
        f"try 3,281 ft (1,000 m) with this aircraft, record it, or fly 2,789 ft (850 m) nearer {AT_6}"
    )


@pytest.mark.parametrize(
    ("shift_h", "said"),
    [(None, ""), (1, "begin the window at 20:00, "), (-20, "begin the window at 23:00 on 11 Jun, ")],
)
def test_another_hour_without_the_sun_in_the_eyes(shift_h, said, monkeypatch):
    """The window begins at 19:00 UTC on 12 June, and has no other clock."""
    asked = []

    def free(flight, track, answer, keys):
        asked.append(set(keys))
        return None if shift_h is None else timedelta(hours=shift_h)

    monkeypatch.setattr(sight_words, "free_shift", free)
    words = cure(Sight.AGAINST_SUN)
    assert words == f"{said}STAND, or record a range tried toward the sun"
    assert asked == [{"observer", "pilot"}]
    case, profile = observing()
    timeless = attrs.evolve(case, plan=attrs.evolve(case.plan, window=None))
    assert remedy_words(timeless, TRACK, Sight.AGAINST_SUN, profile, 6, PART).startswith(ELSEWHERE)
