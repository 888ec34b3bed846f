"""Figures of sight and radio that can't be, or hardly: each bound at its edge, worked by hand.

A minute of arc is the definition of 20/20 sight; -174 dBm/Hz is thermal noise at 290 K. What is usual is
an own choice, stated beside each in `planner.rules.absurd_sight` and `absurd_radio`: held here as stated.
"""

import math
from datetime import date

import attrs
import pytest

from planner.flight.reported import Visibility
from planner.flight.weather_now import TYPED
from planner.plan.aircraft import RadioUse
from planner.plan.crew import TriedRange
from planner.rules.absurd_radio import below_noise
from planner.rules.absurd_sight import tried_too_far, visibility
from tests.rules.hand_flown import CONTROL, VIDEO, complete, flown


def the(rule, **aircraft):
    found = list(rule(flown(aircraft)))
    assert len(found) <= 1
    return found[0] if found else None


@pytest.mark.parametrize(("m", "told"), [(80_000.0, False), (80_000.5, True)])
def test_a_visibility_of_eighty_kilometres_is_believed(m, told):
    weather = attrs.evolve(complete().weather, visibility=Visibility(m, False, TYPED))
    assert bool(list(visibility(flown(case={"weather": weather})))) is told


def tried(metres, **changes):
    """The complete case, the observer's and the pilot's range tried at a distance."""
    case = complete()
    reach = TriedRange("5-inch quad", date(2027, 6, 1), "INVENTED", metres, against_sun=True)
    viewers = tuple(
        attrs.evolve(one, reach=attrs.evolve(one.reach, tried=reach)) for one in case.sight.viewers
    )
    people = tuple(attrs.evolve(one, **changes) for one in case.sight.people)
    return attrs.evolve(case, sight=attrs.evolve(case.sight, viewers=viewers, people=people))


def test_who_has_no_name_is_told_by_what_they_do():
    case = tried(9_999.0)
    named = {one.title.split(" hardly")[0] for one in tried_too_far(tried(9_999.0, name="ALEX INVENTED"))}
    assert named == {"ALEX INVENTED"}
    roles = {one.role.value.replace("-", " ").capitalize() for one in case.sight.people}
    nameless = {one.title.split(" hardly")[0] for one in tried_too_far(tried(9_999.0, name=""))}
    assert nameless
    assert nameless <= roles


def test_where_nobody_looks_or_nothing_flies_no_range_is_judged():
    case = tried(9_999.0)
    assert not list(tried_too_far(attrs.evolve(case, sight=None)))
    assert not list(tried_too_far(attrs.evolve(case, plan=attrs.evolve(case.plan, aircraft=None))))


def noise_dbm(hertz):
    """Thermal noise at 290 K, -174 dBm in each hertz."""
    return -174.0 + 10 * math.log10(hertz)


DIGITAL = attrs.evolve(VIDEO, analog=False, width_mhz=None)
BIT_HZ = 1_000 * math.log(2.0)  # Shannon: ln 2 of the noise in a hertz for each bit a second


@pytest.mark.parametrize(
    ("radio", "least_hz", "usual_hz"),
    [
        (VIDEO, 5e6, 5e6),
        (DIGITAL, 1e6, 5e6),
        (attrs.evolve(DIGITAL, width_mhz=20.0), 1e6, 20e6),
        (attrs.evolve(DIGITAL, width_mhz=0.5), 1e6, 1e6),
        (attrs.evolve(VIDEO, width_mhz=20.0), 5e6, 20e6),
        (CONTROL, BIT_HZ, 1e4),
    ],
)
def test_a_receiver_hears_no_less_than_the_noise_in_its_width(radio, least_hz, usual_hz):
    least_dbm, usual_dbm = noise_dbm(least_hz), noise_dbm(usual_hz)
    for dbm, bound_dbm in ((usual_dbm, None), (usual_dbm - 0.01, usual_dbm), (least_dbm - 0.01, least_dbm)):
        found = the(below_noise, radios=(attrs.evolve(radio, sensitivity_dbm=dbm),))
        assert (found is None) is (bound_dbm is None)
        if found:
            if bound_dbm is usual_dbm and least_dbm == usual_dbm:
                bound_dbm = least_dbm
            assert found.numbers == pytest.approx({"sensitivity_dbm": dbm, "least_dbm": bound_dbm})
            assert ("No receiver takes" in found.title) is (dbm < least_dbm)
            assert ("a picture" in found.title) is (radio.use is RadioUse.VIDEO)
    at_least = the(below_noise, radios=(attrs.evolve(radio, sensitivity_dbm=least_dbm),))
    assert at_least is None or "Hardly a receiver takes" in at_least.title
    assert the(below_noise, radios=(attrs.evolve(radio, sensitivity_dbm=None),)) is None
