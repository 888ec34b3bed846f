"""What is told of the radio links, where the margin at each sample and the bands are known by hand.

That 10 dB are wanted is common practice; what opens a band is tested with its rules (`test_radio`).
"""

import math

import attrs
import pytest

from planner.flight.bands import BandAnswer, BandStatus
from planner.flight.links import Failing
from planner.plan.aircraft import Radio, RadioUse
from planner.plan.beneath import BeneathItem, BeneathKind, DrawnAs
from planner.rules import flight_links
from planner.rules.finding import Basis, Mark
from planner.rules.flight_links import (
    bands,
    incomplete,
    least_db,
    margins,
    picture_lost,
    radio_name,
    what_takes,
)
from planner.rules.stretches import place_at
from tests.rules.hand_flown import CONTROL, VIDEO, complete, flown, row
from tests.worlds import at as place

CASE = complete()
TRACK, LINK = CASE.track, CASE.flight.links[0]
ALONG_M = TRACK.distance_m


def link(radio=VIDEO, margin=None, wanted=10.0, failing=Failing.FADES, terrain=0.0, worst_m=0.0):
    spec = attrs.evolve(LINK.profile.spec, use=radio.use, required_margin_db=wanted, failing=failing)
    margin = row(30.0) if margin is None else margin
    figures = {"terrain_db": row(terrain), "worst_m": row(worst_m)}
    return attrs.evolve(
        LINK, radio=radio, profile=attrs.evolve(LINK.profile, spec=spec, margin_db=margin, **figures)
    )


WEAK = row(30.0, {5: 9.0, 6: 3.4, 7: 8.0, 20: 9.9})


def test_a_link_of_less_than_is_wanted_is_a_stop_at_its_weakest():
    (one,) = margins(flown(links=(link(margin=WEAK, terrain=12.4, worst_m=140.0),)))
    assert (one.rule, one.mark, one.basis) == ("video-margin", Mark.STOP, Basis.SAFETY)
    assert one.title == "Video link too weak"
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[7], place_at(TRACK, 6))
    assert one.numbers == {"margin_db": 3.4, "wanted_db": 10.0}
    assert one.message == (
        f"Analog video at 5800 MHz has 3 dB over its sensitivity at {ALONG_M[6]:.0f} m; 10 dB are wanted. "
        "Ground takes 12 dB of it, 140 m from the antenna. An analog picture fades first: turn back as snow "
        "comes in. So it is on 1 more stretch of the path."
    )
    assert one.citation == "common practice"
    assert not list(margins(flown(links=(link(margin=row(10.0)),))))


@pytest.mark.parametrize(
    ("left_db", "wanted_db", "words"),
    [
        (9.98, 10.0, "has 9 dB over"),
        (-0.2, 10.0, "has -1 dB over"),
        (10.0, 10.4, "at 150 m; 11 dB are"),
        (10.0, 10.4, "has 10 dB over"),
    ],
)
def test_what_is_left_is_rounded_down_and_what_is_wanted_up(left_db, wanted_db, words):
    """Rounding never flatters (design): a stop does not say that it has the 10 dB that are wanted."""
    (one,) = margins(flown(links=(link(margin=row(30.0, {6: left_db}), wanted=wanted_db),)))
    assert words.replace("150 m", f"{ALONG_M[6]:.0f} m") in one.message


@pytest.mark.parametrize(("terrain_db", "said"), [(0.99, False), (1.0, True), (12.0, True)])
def test_what_the_ground_takes_is_told_from_a_decibel_on(terrain_db, said):
    (one,) = margins(flown(links=(link(margin=WEAK, terrain=terrain_db, worst_m=140.0),)))
    assert ("Ground takes" in one.message) is said


def test_a_margin_that_the_pilot_wants_is_an_own_limit():
    radio = attrs.evolve(CONTROL, required_margin_db=20.0)
    (one,) = margins(flown(links=(link(radio, row(19.0), 20.0, Failing.FREEZES),)))
    assert (one.rule, one.mark, one.basis, one.citation) == ("control-margin", Mark.STOP, Basis.OWN_LIMIT, "")
    assert one.title == "Control link too weak"
    assert "freezes without warning" in one.message


def test_each_link_is_told_and_what_is_not_known_is_open():
    video = link(margin=row(30.0, {5: 1.0, 9: math.nan, 10: math.nan}))
    control = link(CONTROL, row(30.0, {2: math.nan}))
    weak, dark, other = margins(flown(links=(video, control)))
    assert [weak.rule, dark.rule, other.rule] == ["video-margin", "link-not-known", "link-not-known"]
    assert (dark.mark, dark.from_m, dark.to_m) == (Mark.UNKNOWN, ALONG_M[9], ALONG_M[10])
    assert dark.title == "Video link not known everywhere"
    assert other.title == "Control link not known everywhere"
    assert other.message.endswith("not known for control at 2400 MHz.")


def test_without_a_path_or_an_answer_no_link_is_told():
    bad = flown(links=(link(margin=WEAK),))
    for rule in (margins, picture_lost):
        assert list(rule(bad))
        for lacking in ({"flight": None}, {"track": None}):
            assert not list(rule(attrs.evolve(bad, **lacking)))


# ---- the picture goes and control stays


def test_where_the_picture_goes_and_control_stays_is_told():
    control = link(CONTROL, row(30.0, {6: 1.0, 7: 1.0}))
    (one,) = picture_lost(flown(links=(link(margin=WEAK), control)))
    assert (one.rule, one.mark) == ("picture-lost-control-alive", Mark.ACT)
    assert (one.from_m, one.to_m, one.place) == (ALONG_M[5], ALONG_M[5], place_at(TRACK, 5))
    assert "control still holds, so nothing begins by itself" in one.message
    assert f"At {ALONG_M[5]:.0f} m the picture of analog video at 5800 MHz" in one.message
    # Two control links: one that is gone is taken as none.
    both = link(CONTROL, row(30.0, {20: 1.0}))
    (one,) = picture_lost(flown(links=(link(margin=WEAK), control, both)))
    assert "more stretch" not in one.message
    (one,) = picture_lost(flown(links=(link(margin=WEAK),)))
    assert one.from_m == ALONG_M[5]
    assert "whether control still holds is not checked" in one.message
    assert one.place == place_at(TRACK, 6)
    assert not list(picture_lost(flown(links=(link(margin=WEAK), link(CONTROL, row(0.0))))))
    assert not list(picture_lost(flown(links=(link(CONTROL, WEAK),))))
    two = link(margin=row(30.0, {2: 1.0})), link(margin=row(30.0, {3: 1.0}))
    assert [one.from_m for one in picture_lost(flown(links=two))] == [ALONG_M[2], ALONG_M[3]]


# ---- figures and bands


def test_what_is_not_given_of_a_radio_is_named():
    radios = (VIDEO, attrs.evolve(CONTROL, sensitivity_dbm=None))
    (one,) = incomplete(flown({"radios": radios}))
    assert (one.rule, one.mark) == ("link-figures-missing", Mark.ACT)
    assert one.title == "Control link not checked"
    assert one.message.startswith("Of control at 2400 MHz is not given: ")
    assert "sensitivity" in one.message
    bare = flown({"radios": radios})
    bare = attrs.evolve(bare, plan=attrs.evolve(bare.plan, aircraft=None))
    assert not list(incomplete(bare))
    assert not list(bands(bare))


OPEN, CLOSED, UNKNOWN = BandStatus.OPEN, BandStatus.CLOSED, BandStatus.UNKNOWN


def answered(monkeypatch, status, *answers):
    """What is told of one radio by what its rules say: (rule, status, why, citation)."""
    monkeypatch.setattr(flight_links, "is_open", lambda *_given: status)
    found = tuple(BandAnswer(*one) for one in answers)
    monkeypatch.setattr(flight_links, "band_answers", lambda *_given: found)
    told = list(bands(flown({"radios": (VIDEO,)})))
    assert len(told) <= 1
    return told[0] if told else None


OUTSIDE = ("other", CLOSED, "5800 MHz is outside its bands", "C")


def test_a_band_that_no_rule_opens_is_something_to_do_with_each_rule_that_speaks_of_it(monkeypatch):
    strong, digital = ("low power", CLOSED, "too strong", "A"), ("spread", CLOSED, "not digital", "B")
    one = answered(monkeypatch, CLOSED, strong, OUTSIDE, digital, ("more", CLOSED, "no", "A"))
    assert (one.rule, one.mark, one.basis) == ("band-not-open", Mark.ACT, Basis.LAW)
    assert one.title == "Video band not open to this flight"
    assert one.message.startswith(
        "Analog video at 5800 MHz: low power: too strong; spread: not digital; more: no. In"
    )
    assert one.citation == "A; B"
    assert one.remedy.startswith("use a frequency")
    one = answered(monkeypatch, UNKNOWN, ("low power", UNKNOWN, "power not given", "A"))
    assert one.title == "Video band perhaps not open to this flight"
    assert one.remedy.startswith("say what is missing")
    one = answered(monkeypatch, CLOSED, OUTSIDE)
    assert "no rule opens that frequency" in one.message
    assert one.citation == "C"


def test_what_only_amateurs_may_use_asks_for_their_license(monkeypatch):
    amateur, model = ("amateur", OPEN, "licensed", "X"), ("amateur model craft", OPEN, "1 W", "Y")
    one = answered(monkeypatch, OPEN, amateur, OUTSIDE, model, ("low power", CLOSED, "too strong", "A"))
    assert (one.rule, one.mark, one.basis) == ("band-needs-license", Mark.ACT, Basis.LAW)
    assert one.title == "Video band open to licensed amateurs only"
    assert ": amateur: licensed; amateur model craft: 1 W. In the United States" in one.message
    assert one.citation == "X; Y"
    assert answered(monkeypatch, OPEN, amateur, ("low power", OPEN, "weak", "A")) is None


def test_what_a_radio_is_called():
    for analog, name in ((True, "analog video"), (False, "digital video"), (None, "video")):
        assert radio_name(Radio(RadioUse.VIDEO, 1_280.5, analog=analog)) == f"{name} at 1280.5 MHz"


def test_the_least_margin_of_a_link():
    assert least_db(link(margin=WEAK)) == 3.4
    assert least_db(link(margin=row(math.nan, {4: 7.0}))) == 7.0
    assert math.isnan(least_db(link(margin=row(math.nan))))


def test_what_takes_most_of_a_wave_is_named_where_something_drawn_does():
    ring = (place(), place(9), place(9, 9))
    woods = tuple(
        BeneathItem(BeneathKind.TREES, DrawnAs.AREA, ring, name, height_m=9.0) for name in ("W0", "W1")
    )
    case = attrs.evolve(CASE, plan=attrs.evolve(CASE.plan, beneath=woods))
    one = link()
    behind = attrs.evolve(one, profile=attrs.evolve(one.profile, cover=row(-1, {5: 0, 6: 1}).astype(int)))
    assert [what_takes(case, behind, sample) for sample in (4, 5, 6)] == ["ground", "W0", "W1"]
    assert what_takes(attrs.evolve(case, mapped=None), behind, 5) == "ground"
    assert what_takes(case, attrs.evolve(one, profile=attrs.evolve(one.profile, cover=None)), 5) == "ground"
