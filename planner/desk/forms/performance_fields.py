"""What the aircraft draws and how fast it is: fields of the aircraft's form."""

from collections.abc import Mapping
from typing import Any, Final

import attrs

from planner.desk.forms.specs import quantity
from planner.desk.quantities import AREAS, CAPACITIES, CLIMBS, MOTOR_POWERS, SHARES, SPEED, SPEEDS, TIMES
from planner.plan import bounds
from planner.plan.performance import MeasuredFlight, Performance

PERFORMANCE_FIELDS: Final = (
    quantity(
        "hover_w",
        "Power in the hover",
        "Volts times amperes in a hover; watts unless you type kW. Charge is reckoned from it",
        MOTOR_POWERS,
        "W",
        1,
        bounds=bounds.MOTOR_POWER,
        example="300 W",
    ),
    quantity(
        "cruise_w",
        "Power in cruise",
        "Volts times amperes at cruise airspeed; watts unless you type kW. Charge is reckoned from it",
        MOTOR_POWERS,
        "W",
        1,
        bounds=bounds.MOTOR_POWER,
        example="350 W",
    ),
    quantity(
        "cruise_speed",
        "Cruise airspeed",
        "Through the air; {speed}. Wind is set against it",
        SPEEDS,
        SPEED,
        1,
        bounds=bounds.SPEED,
        example="30 kt",
    ),
    quantity(
        "highest_speed",
        "Highest airspeed",
        "Through the air; {speed}. More wind can't be held",
        SPEEDS,
        SPEED,
        1,
        bounds=bounds.SPEED,
        example="60 kt",
    ),
    quantity(
        "climb",
        "Highest rate of climb",
        "m/s unless you type ft/min. Steeper legs take longer",
        CLIMBS,
        "m/s",
        1,
        bounds=bounds.SPEED,
        example="8 m/s",
    ),
    quantity(
        "descent",
        "Highest rate of descent",
        "m/s unless you type ft/min. Steeper legs take longer",
        CLIMBS,
        "m/s",
        1,
        bounds=bounds.SPEED,
        example="5 m/s",
    ),
    quantity(
        "reserve",
        "Landing reserve",
        "Percent of the usable charge left at landing; 25 % if not said. The turn-back point keeps it",
        SHARES,
        "%",
        1,
        example="25 %",
    ),
    quantity(
        "drag_area",
        "Drag area",
        "Drag coefficient times frontal area; cm² unless you type m². A falling aircraft drifts by it",
        AREAS,
        "cm²",
        1,
        bounds=bounds.DRAG_AREA,
        example="120 cm²",
    ),
    quantity(
        "measured_time",
        "Measured flight: time",
        "From take-off to landing; minutes unless you type s. With the charge it took it stands for power",
        TIMES,
        "min",
        2,
        bounds=bounds.MEASURED_TIME,
        example="6.5 min",
    ),
    quantity(
        "measured_used",
        "Its charge taken",
        "As the charger put it back; mAh unless you type Ah",
        CAPACITIES,
        "mAh",
        0,
        bounds=bounds.MEASURED_CHARGE,
        example="1000 mAh",
    ),
    quantity(
        "measured_speed",
        "Its usual airspeed",
        "Through the air; {speed}. Empty: the cruise airspeed",
        SPEEDS,
        SPEED,
        1,
        bounds=bounds.SPEED,
        example="25 kt",
    ),
)

_FIELD_OF: Final = {
    "hover_w": "hover_w",
    "cruise_w": "cruise_w",
    "cruise_mps": "cruise_speed",
    "highest_mps": "highest_speed",
    "climb_mps": "climb",
    "descent_mps": "descent",
    "landing_reserve": "reserve",
    "drag_area_m2": "drag_area",
}
_MEASURED: Final = {
    "duration_s": "measured_time",
    "used_mah": "measured_used",
    "air_speed_mps": "measured_speed",
}


def performance_values(performance: Performance | None) -> dict[str, Any]:
    """Return each field's value for what is known of an aircraft."""
    measured = performance.measured if performance else None
    return {
        **{key: performance and getattr(performance, name) for name, key in _FIELD_OF.items()},
        **{key: measured and getattr(measured, name) for name, key in _MEASURED.items()},
    }


def performance_of(values: Mapping[str, Any], before: Performance | None) -> Performance | None:
    """Return what the fields say, None where nothing is said; a measured flight counts once it is whole.

    Raises
    ------
    FieldError
        If a value is none that an aircraft can have.
    """
    said = {name: values[key] for name, key in _FIELD_OF.items()}
    if said["landing_reserve"] is None:
        said["landing_reserve"] = Performance().landing_reserve
    measured = {name: values[key] for name, key in _MEASURED.items()}
    whole = measured["duration_s"] is not None and measured["used_mah"] is not None
    said["measured"] = MeasuredFlight(**measured) if whole else None
    described = attrs.evolve(before or Performance(), **said)
    return None if described == Performance() and before is None else described
