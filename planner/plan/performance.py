"""What the aircraft can do and what it draws, as its pilot knows it; any figure may be unknown."""

import attrs

from planner.plan import bounds
from planner.plan.checks import FieldError, bounded, perhaps


@attrs.frozen
class MeasuredFlight:
    """A flight of which the pilot knows time [s], charge taken [mAh] and usual airspeed [m/s]."""

    duration_s: float = attrs.field(validator=bounded(bounds.MEASURED_TIME, "a measured flight's time"))
    used_mah: float = attrs.field(validator=bounded(bounds.MEASURED_CHARGE, "a measured flight's charge"))
    air_speed_mps: float | None = attrs.field(
        default=None, validator=perhaps(bounds.SPEED, "a measured flight's speed")
    )


def _share(_owner: object, field: "attrs.Attribute[float]", value: float) -> None:
    if isinstance(value, bool) or not 0.0 <= value < 1.0:
        raise FieldError(f"a reserve of {value} is not a share from 0 to below 1", field=field.name)


@attrs.frozen
class Performance:
    """Speeds [m/s] and electrical power [W].

    `landing_reserve` is the share of the usable charge that must be left at
    landing.
    """

    hover_w: float | None = attrs.field(
        default=None, validator=perhaps(bounds.MOTOR_POWER, "the power in the hover")
    )
    cruise_w: float | None = attrs.field(
        default=None, validator=perhaps(bounds.MOTOR_POWER, "the power in cruise")
    )
    cruise_mps: float | None = attrs.field(default=None, validator=perhaps(bounds.SPEED, "the cruise speed"))
    highest_mps: float | None = attrs.field(
        default=None, validator=perhaps(bounds.SPEED, "the highest airspeed")
    )
    climb_mps: float | None = attrs.field(default=None, validator=perhaps(bounds.SPEED, "the rate of climb"))
    descent_mps: float | None = attrs.field(
        default=None, validator=perhaps(bounds.SPEED, "the rate of descent")
    )
    drag_area_m2: float | None = attrs.field(
        default=None, validator=perhaps(bounds.DRAG_AREA, "the drag area")
    )
    measured: MeasuredFlight | None = None
    landing_reserve: float = attrs.field(default=0.25, validator=_share)

    @property
    def believed_cruise_mps(self) -> float | None:
        """The cruise speed [m/s], or the highest airspeed where that is less: one of them is wrong."""
        if self.cruise_mps is None or self.highest_mps is None:
            return self.cruise_mps
        return min(self.cruise_mps, self.highest_mps)
