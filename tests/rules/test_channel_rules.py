"""Channels of several pilots at one place: who shares one, overlaps, or meets the product of two others.

That 2 a - b of two transmitters falls on a third is common practice; sums by hand.
"""

import attrs
import pytest

from planner.plan.aircraft import Radio, RadioUse
from planner.plan.beneath import OtherPilot
from planner.rules.finding import Mark
from tests.rules.test_beneath_rules import finding, judged

VIDEO = Radio(RadioUse.VIDEO, 5_800.0, 25.0, analog=True)


@pytest.mark.parametrize(
    ("others", "rule", "mark"),
    [
        ([5_800.0], "channels-clash", Mark.STOP),
        ([5_815.0], "channels-clash", Mark.STOP),
        ([5_840.0], "channels-apart", Mark.NOTE),
        # Two others on one channel are theirs to settle.
        ([5_700.0, 5_700.0], "channels-clash", Mark.ACT),
        # By hand: 2 x 5,740 - 5,680 = 5,800 (third-order product, common practice).
        ([5_740.0, 5_680.0], "channels-clash", Mark.ACT),
    ],
)
def test_channels_of_several_pilots(others, rule, mark):
    pilots = tuple(OtherPilot(f"Pilot {k} (INVENTED)", mhz) for k, mhz in enumerate(others))
    answer = judged(changes={"other_pilots": pilots}, radios=(VIDEO,))
    found = [one for one in answer.findings if one.rule.startswith("channels-")]
    assert {(one.rule, one.mark) for one in found} == {(rule, mark)}
    assert "other pilots' channels: " not in " ".join(answer.not_known)
    for mhz in others:
        assert f"{mhz:g} MHz" in found[0].message


def test_products_of_many_pilots_are_one_thing_to_do():
    """By hand: of channels 40 MHz apart each two neighbours make the next; the own picture comes first."""
    pilots = tuple(OtherPilot(f"P{k} (INVENTED)", 5_800.0 + 40.0 * k) for k in range(1, 6))
    answer = judged(changes={"other_pilots": pilots}, radios=(VIDEO,))
    (one,) = [found for found in answer.findings if found.rule.startswith("channels-")]
    assert one.mark is Mark.ACT
    first = "P1 (INVENTED) 5840 MHz with P2 (INVENTED) 5880 MHz makes 5800 MHz, which meets you 5800 MHz;"
    assert one.message.startswith(first)
    # Ordered pairs (a, b) of six in a row with 2 a - b among them: 2 x (4 + 2) of steps 1 and 2.
    assert one.message.endswith("; and 9 more of the kind.")


@pytest.mark.parametrize(
    ("mhz", "width_mhz", "told"),
    # Control is 0.5 MHz wide here, a picture 20 where nothing is said: they meet within 10.25.
    [(2_450.0, None, True), (2_440.0, None, True), (2_439.5, None, False), (2_439.5, 40.0, True)],
)
def test_anothers_picture_on_own_control_is_told(mhz, width_mhz, told):
    control = Radio(RadioUse.CONTROL, 2_450.0, 100.0, width_mhz=0.5)
    other = OtherPilot("Ash (INVENTED)", mhz, width_mhz)
    answer = judged(changes={"other_pilots": (other,)}, radios=(VIDEO, control))
    found = finding(answer, "control-under-picture")
    assert (found is not None) is told
    if told:
        assert found.mark is Mark.ACT
        assert f"Ash (INVENTED) sends a picture at {mhz:g} MHz" in found.message


@pytest.mark.parametrize(("width_mhz", "clash"), [(None, False), (40.0, True)])
def test_the_own_channel_is_as_wide_as_it_is_said_to_be(width_mhz, clash):
    """By hand: 25 MHz apart; 20 and 20 MHz touch within 20, 40 and 20 within 30."""
    radio = attrs.evolve(Radio(RadioUse.VIDEO, 5_800.0, 25.0, analog=False), width_mhz=width_mhz)
    answer = judged(changes={"other_pilots": (OtherPilot("INVENTED", 5_825.0),)}, radios=(radio,))
    assert (finding(answer, "channels-clash") is not None) is clash


def test_without_an_own_channel_nothing_is_checked_and_that_is_said():
    answer = judged(changes={"other_pilots": (OtherPilot("INVENTED", 5_800.0),)}, radios=())
    assert finding(answer, "own-channel-not-said").mark is Mark.ACT
    assert "other pilots' channels: " in " ".join(answer.not_known)
