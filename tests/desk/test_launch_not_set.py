"""Without a launch point nobody knows where the goggles show nought: no height is told above it."""

import attrs

from planner.briefing.never_exceed_words import goggles_words
from planner.desk.profile.readout import describe
from tests.bench.profile_scene import MAST_M, build


def test_without_a_launch_point_no_height_is_told_above_it():
    scene = build(400)
    nowhere = attrs.evolve(scene, plan=attrs.evolve(scene.plan, launch=None))
    told = describe(nowhere, MAST_M)
    assert told.planned_above_launch_m is None
    assert "not known above launch" in told.words()[2]
    assert set(goggles_words(nowhere)) == {"?"}
    assert describe(scene, MAST_M).planned_above_launch_m is not None
    assert "?" not in goggles_words(scene)
