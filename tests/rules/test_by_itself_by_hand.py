"""How far along the path a return on lost link keeps the reserve, and what is not known of it: by hand.

That what is used is rounded down and volts up is our own rule (design 2: rounding never flatters).
"""

import attrs
import numpy as np
import pytest

from planner.geo.heights import AboveLaunch
from planner.plan.aircraft import LinkLoss, LinkLossAction
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules.case import AskedOnReturn
from planner.rules.flight_links import what_takes
from planner.rules.flight_loss import ceiling_unknown, way_unknown
from planner.rules.turn_back_words import by_itself_to, by_itself_words
from tests.rules.hand_flown import complete, flown, row
from tests.worlds import at

RESERVE = 0.2
N = len(complete().track)
ALONG_M = complete().track.distance_m
LOW_FROM = dict.fromkeys(range(20, N), 0.1)
# Between two samples charge falls evenly: from 0.5 to 0.1 three quarters of the way are above a fifth.
LAST_M = float(ALONG_M[19] + 0.75 * (ALONG_M[20] - ALONG_M[19]))


def charged(left, action=LinkLossAction.RETURN_FIXED, **back):
    """So much of the charge is left where the link is lost, and a return takes none of it."""
    case = complete()
    flight = case.flight
    energy = attrs.evolve(flight.charge.energy, charge_fraction=left)
    turn = attrs.evolve(flight.charge.turn_back, **{"at_m": None, "never": False, **back})
    charge = attrs.evolve(flight.charge, energy=energy, reserve=RESERVE, turn_back=turn)
    failsafe = attrs.evolve(flight.loss.failsafe, action=action)
    loss = attrs.evolve(flight.loss, failsafe=failsafe, parts_s=np.zeros((N, 4)))
    return attrs.evolve(case, flight=attrs.evolve(flight, charge=charge, loss=loss))


def test_the_last_place_from_which_it_comes_home_with_the_reserve_is_told():
    case = charged(row(0.5, LOW_FROM))
    last = by_itself_to(case)
    assert last.at_m == pytest.approx(LAST_M)
    assert not last.never
    said = by_itself_words(case)
    assert said.startswith(f"By itself on lost link it comes home with the reserve only to {LAST_M:.0f} m: ")
    assert said.endswith("V a cell under load.")


def test_a_return_takes_its_part_of_the_charge():
    case = charged(row(0.5))
    assert by_itself_to(case) is None
    parts_s = np.zeros((N, 4))
    parts_s[20:, 2] = 1e6
    flight = attrs.evolve(case.flight, loss=attrs.evolve(case.flight.loss, parts_s=parts_s))
    assert by_itself_to(attrs.evolve(case, flight=flight)).at_m == pytest.approx(ALONG_M[19], abs=0.05)


def test_from_nowhere_it_is_said_so():
    case = charged(row(0.1))
    assert by_itself_to(case).never
    assert by_itself_words(case) == (
        "By itself on lost link it comes home with the reserve from nowhere on the path."
    )


def test_only_what_is_nearer_than_the_turn_back_by_hand_is_said():
    same_m = by_itself_to(charged(row(0.5, LOW_FROM))).at_m
    for by_hand_m, tells in ((same_m - 1.0, False), (same_m, False), (same_m + 1.0, True)):
        assert bool(by_itself_words(charged(row(0.5, LOW_FROM), at_m=by_hand_m))) is tells


def test_where_home_is_never_reached_by_hand_that_is_said_alone():
    assert by_itself_words(charged(row(0.1), at_m=0.0, never=True)) == ""
    assert by_itself_words(charged(row(0.1), at_m=5.0, never=True)) == ""


def test_what_does_not_return_has_no_such_place():
    for action in (LinkLossAction.LAND, LinkLossAction.HOLD, LinkLossAction.DROP):
        assert by_itself_to(charged(row(0.5, LOW_FROM), action)) is None


def test_where_a_figure_is_missing_nothing_is_said():
    case = charged(row(0.5, LOW_FROM))
    assert by_itself_to(charged(row(np.nan))) is None
    lacking = [
        attrs.evolve(case, flight=None),
        attrs.evolve(case, track=None),
        *(
            attrs.evolve(case, flight=attrs.evolve(case.flight, **{name: None}))
            for name in ("loss", "charge")
        ),
    ]
    for one in lacking:
        assert by_itself_to(one) is None
        assert by_itself_words(one) == ""
    # Where some are not known the others still count.
    part = row(0.5, LOW_FROM)
    part[:5] = np.nan
    assert by_itself_to(charged(part)) is not None


@pytest.mark.parametrize(
    ("action", "height", "by_height"),
    [
        (LinkLossAction.RETURN_FIXED, None, True),
        (LinkLossAction.RETURN_OFFSET, None, True),
        (LinkLossAction.RETURN_FIXED, AboveLaunch(60.0), False),
        (LinkLossAction.RETURN_HIGHEST, None, False),
        (LinkLossAction.LAND, None, False),
    ],
)
def test_why_nobody_knows_the_way_home(action, height, by_height):
    """A return that is set by a height has none while that is not said; else it is the ground (own rule)."""
    what, remedy = way_unknown(flown({"link_loss": LinkLoss(action, 1.0, height)}))
    assert what.startswith("The height of its return" if by_height else "Ground on that way")
    assert ("state the return height" in remedy) is by_height


def test_the_ceiling_is_not_known_but_for_what_only_the_authority_opens():
    over_m = np.array([np.nan, 5.0, np.nan, np.nan])
    asked = AskedOnReturn(np.array([-1, -1, 0, 3]), np.zeros(4))
    assert ceiling_unknown(over_m, asked).tolist() == [True, False, False, False]
    assert ceiling_unknown(over_m, None).tolist() == [True, False, True, True]


def test_what_takes_most_of_a_wave_is_named():
    def hall(name):
        return BeneathItem(BeneathKind.BUILDING, DrawnAs.SPOT, (at(),), name, half_width_m=5.0, height_m=9.0)

    case = flown()
    case = attrs.evolve(case, plan=attrs.evolve(case.plan, beneath=(hall("ONE"), hall("TWO"))))
    link = case.flight.links[0]

    def named(cover, over=case):
        profile = attrs.evolve(link.profile, cover=cover)
        return what_takes(over, attrs.evolve(link, profile=profile), 3)

    samples = np.full(N, -1)
    assert named(None) == named(samples) == "ground"
    for which, name in ((0, "ONE"), (1, "TWO")):
        samples[3] = which
        assert name in named(samples)
        assert named(samples, attrs.evolve(case, mapped=None)) == "ground"
