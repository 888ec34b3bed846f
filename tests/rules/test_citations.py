"""Each purpose is pointed to its own law, and a plan that names none to both.

14 CFR part 107 and 49 USC 44809 (check_values 1.1, 1.5, 1.20 to 1.25; sections as read there).
"""

import pytest

from planner.plan.model import Purpose
from planner.rules.bibliography import (
    airspace_rule,
    give_way_rule,
    height_rule,
    notices_rule,
    sight_rule,
)


@pytest.mark.parametrize(
    ("rule", "part_107", "recreational"),
    [
        (height_rule, "14 CFR 107.51(b)", "49 USC 44809(a)(6)"),
        (airspace_rule, "14 CFR 107.41", "49 USC 44809(a)(5)"),
        (give_way_rule, "14 CFR 107.37(a)", "49 USC 44809(a)(4)"),
        (sight_rule, "14 CFR 107.31", "49 USC 44809(a)(3)"),
        (notices_rule, "14 CFR 107.49(a)", "49 USC 44809(a)(6)"),
    ],
)
def test_the_law_of_the_purpose_is_cited(rule, part_107, recreational):
    assert rule(Purpose.PART_107).startswith(part_107)
    assert "USC" not in rule(Purpose.PART_107)
    assert rule(Purpose.RECREATIONAL).startswith(recreational)
    assert "107" not in rule(Purpose.RECREATIONAL)
    unsaid = rule(None)
    assert part_107 in unsaid
    assert (recreational in unsaid) is (rule is not notices_rule)
