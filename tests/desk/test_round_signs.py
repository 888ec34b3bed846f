"""The question mark beside a part stays round in every size of text: Qt draws too large a radius square."""

import re

import pytest

from planner.desk.style import style_sheet


@pytest.mark.parametrize("percent", range(100, 201, 5))
def test_the_radius_is_half_the_side_at_the_most(percent):
    rule = re.search(r'QToolButton\[kind="help"\] \{([^}]*)\}', style_sheet(percent=float(percent))).group(1)
    radius, side = (float(re.search(rf"{what}: (\d+)px", rule).group(1)) for what in ("radius", "min-width"))
    edge = 1.0
    assert side / 2 + edge - 2.0 <= radius <= side / 2 + edge
