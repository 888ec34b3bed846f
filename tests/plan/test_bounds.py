"""What a figure can be at all: usual ones pass, the same a thousand times more or less are refused.

The usual figures are common practice (small camera aircraft, their packs and radios); the bounds are own
choice.
"""

import json
import math

import pytest

from planner.cli import main
from planner.errors import PlanError
from planner.locate import demo_missions_dir
from planner.plan.aircraft import Aircraft, Battery, Lights, LinkLoss, LinkLossAction, Radio, RadioUse
from planner.plan.beneath import OtherPilot
from planner.plan.crew import TriedRange
from planner.plan.file import read_plan
from planner.plan.geometry import Leg
from planner.plan.model import Plan
from planner.plan.performance import MeasuredFlight, Performance
from planner.plan.weather import TypedWind

SLIPS = [
    # what is built of a figure, usual figures, slips of a thousand (or of a unit) that must not pass
    (lambda kg: Aircraft("X", kg, 0.3), (0.02, 0.25, 0.92, 24.9), (0.92 / 1000, 920.0)),
    (lambda m: Aircraft("X", 0.9, m), (0.08, 0.46, 4.0), (46.0, 460.0, 0.00046)),
    (lambda m: Lights(True, m), (4_900.0,), (4.9e6, 0.5)),
    (lambda n: Battery("LiPo", n, 1300.0), (1, 6, 14), (0, -1, 4000)),
    (lambda mah: Battery("LiPo", 6, mah), (300.0, 1300.0, 30_000.0), (1.3, 1.3e6, 1e9, 1e-9)),
    (lambda mohm: Battery("LiPo", 6, 1300.0, mohm), (0.3, 4.0, 60.0), (0.004, 4_000.0)),
    (lambda w: Performance(hover_w=w), (3.0, 190.0, 4_000.0), (0.19, 190_000.0)),
    (lambda w: Performance(cruise_w=w), (3.0, 210.0, 4_000.0), (0.21, 210_000.0)),
    (lambda mps: Performance(highest_mps=mps), (8.0, 60.0), (0.024, 24_000.0)),
    (lambda mps: Performance(cruise_mps=mps), (8.0, 40.0), (0.015, 15_000.0)),
    (lambda mps: Performance(climb_mps=mps), (1.0, 40.0), (0.004, 4_000.0)),
    (lambda mps: Performance(descent_mps=mps), (0.5, 20.0), (0.003, 3_000.0)),
    (lambda m2: Performance(drag_area_m2=m2), (0.0, 0.012, 0.2), (120.0,)),
    (lambda s: MeasuredFlight(s, 1000.0), (120.0, 390.0, 7_200.0), (6.5, 1e6)),
    (lambda mah: MeasuredFlight(390.0, mah), (90.0, 1_000.0, 20_000.0), (1.0, 1e6)),
    (lambda mhz: Radio(RadioUse.VIDEO, mhz), (27.0, 5_865.0, 24_000.0), (5.8, 5.8e6, 1e-6, 1e12)),
    (lambda mhz: OtherPilot("INVENTED", mhz), (5_800.0,), (5.8, 5.8e6)),
    (lambda mw: Radio(RadioUse.VIDEO, 5_800.0, mw), (0.5, 25.0, 2_000.0), (0.025, 25_000.0, 1e9)),
    (lambda m: Radio(RadioUse.VIDEO, 5_800.0, ground_antenna_m=m), (0.0, 1.5, 30.0), (500.0, 1_500.0)),
    (lambda mhz: Radio(RadioUse.VIDEO, 5_800.0, width_mhz=mhz), (8.0, 20.0, 40.0, 160.0), (20_000.0,)),
    (lambda mhz: OtherPilot("INVENTED", 5_800.0, mhz), (20.0, 40.0), (20_000.0,)),
    (lambda db: Radio(RadioUse.VIDEO, 5_800.0, required_margin_db=db), (0.0, 10.0, 20.0), (10_000.0,)),
    (lambda m: LinkLoss(LinkLossAction.RETURN_FIXED, clear_by_m=m), (0.0, 10.0), (10_000.0,)),
    (lambda m: Plan(visibility_m=m), (50.0, 16_093.44, 160_000.0), (0.016, 1.6e7)),
    (lambda m: TriedRange("X", None, "", m), (200.0, 1_500.0), (0.4, 400_000.0)),
    (lambda mps: Leg(speed_mps=mps), (2.0, 30.0), (0.012, 12_000.0)),
    (lambda m: TypedWind(5.0, 0.0, measured_at_m=m), (2.0, 10.0, 100.0), (0.01, 1_000.0)),
]  # fmt: skip


@pytest.mark.parametrize(("build", "usual", "slips"), SLIPS)
def test_usual_figures_pass_and_slips_of_a_thousand_do_not(build, usual, slips):
    for figure in usual:
        build(figure)
    for figure in (*slips, math.nan, math.inf):
        with pytest.raises(PlanError, match=r"is not from .* to [\d,.]+ \w+") as refused:
            build(figure)
        assert "\n" not in refused.value.one_line()


@pytest.mark.parametrize(
    ("keys", "value", "told"),
    [
        (("battery", "capacity_mah"), 1e9, "aircraft.battery.capacity_mah: the battery's capacity of 1"),
        (("performance", "hover_w"), 0.19, "performance.hover_w: the power in the hover of 0.19"),
        (("take_off_weight_kg",), 920.0, "take_off_weight_kg: the take-off weight of 920.0 is"),
    ],
)  # fmt: skip
def test_a_file_with_such_a_figure_is_refused_in_one_line_that_says_where(
    keys, value, told, tmp_path, capsys
):
    plain = json.loads((demo_missions_dir() / "long_run_shorter.lowline.geojson").read_text("utf-8"))
    owner = plain["lowline"]["aircraft"]
    for key in keys[:-1]:
        owner = owner[key]
    owner[keys[-1]] = value
    path = tmp_path / "slip.lowline.geojson"
    path.write_text(json.dumps(plain), "utf-8")
    assert main(["check", str(path)]) == 2
    said = capsys.readouterr().err
    assert told in said
    assert len(said.strip().splitlines()) == 1


def test_every_demo_mission_lies_within_them():
    for path in sorted(demo_missions_dir().glob("*.lowline.geojson")):
        assert read_plan(path).aircraft is not None
