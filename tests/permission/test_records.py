"""A record opens the airspace it names, by name or identifier, and no other."""

import pytest

from planner.assess import assess
from planner.rules.verdict import Verdict
from planner.world.airspace import AirspaceKind
from tests.worlds import cell, hover, plan, record, volume, world


# 14 CFR 107.41 (standing A): prior authorization for that airspace.
@pytest.mark.parametrize(
    ("named", "verdict"),
    [
        ("INVENTED D", Verdict.READY),
        ("invented  d", Verdict.READY),
        ("XXD", Verdict.READY),
        ("OTHER D", Verdict.PERMISSION_NEEDED),
        ("XXE", Verdict.PERMISSION_NEEDED),
    ],
)
def test_a_record_speaks_of_what_it_names(named, verdict):
    charts = world(
        airspace=(volume(AirspaceKind.CLASS_D, name="INVENTED D", ident="XXD"),), cells=(cell(200),)
    )
    answer = assess(plan(path=hover(30.0), permissions=(record(named, 60.0),)), charts)
    assert answer.verdict is verdict
