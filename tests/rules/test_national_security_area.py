"""A national security area is a caution (check_values 1.17, standing A), not a stop."""

from planner.assess import assess_live
from planner.rules.finding import Mark
from planner.world.airspace import AirspaceKind
from planner.world.readers.special_use import special_kind
from tests.worlds import plan, volume, world


def test_everybody_is_asked_to_keep_out():
    """FAA AIM 3-4-8 (from memory): pilots are requested to avoid it, and a notice may prohibit flight."""
    area = volume(special_kind("NSA"))
    assert area.kind is AirspaceKind.NATIONAL_SECURITY
    found = assess_live(plan(), world(airspace=(area,))).findings
    (act,) = [one for one in found if one.rule == "other-activity"]
    assert act.mark is Mark.ACT
    assert "asked to keep out of it" in act.message
    assert not [one for one in found if one.mark is Mark.STOP]
