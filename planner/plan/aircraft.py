"""The aircraft: all but weight and size may stay unknown (None)."""

from enum import StrEnum

import attrs

from planner.geo.heights import Height
from planner.plan import bounds
from planner.plan.checks import bounded, not_empty, perhaps, within
from planner.plan.performance import Performance


class AircraftForm(StrEnum):
    """How the aircraft flies; decides which visibility estimate fits."""

    ROTORCRAFT = "rotorcraft"
    FIXED_WING = "fixed-wing"


class RemoteId(StrEnum):
    """How the aircraft identifies itself (14 CFR part 89)."""

    STANDARD = "standard"
    BROADCAST_MODULE = "broadcast-module"
    NONE = "none"


class OverPeople(StrEnum):
    """Category for operations over people (14 CFR part 107 subpart D)."""

    CATEGORY_1 = "category-1"
    CATEGORY_2 = "category-2"
    CATEGORY_3 = "category-3"
    CATEGORY_4 = "category-4"
    NONE = "none"


class ReadoutSource(StrEnum):
    """Where the height in the goggles comes from."""

    BAROMETER = "barometer"
    SATELLITE = "satellite"
    NONE = "none"


class ReadoutUnit(StrEnum):
    """The unit in which the goggles show height."""

    FEET = "feet"
    METRES = "metres"


class LinkLossAction(StrEnum):
    """What the aircraft does by itself when the control link is gone."""

    DROP = "drop"
    LAND = "land"
    HOLD = "hold"
    RETURN_FIXED = "return-at-fixed-height"
    RETURN_OFFSET = "return-at-height-plus-offset"
    RETURN_HIGHEST = "return-at-highest-so-far"


class RadioUse(StrEnum):
    """What a radio carries."""

    CONTROL = "control"
    VIDEO = "video"


@attrs.frozen
class Lights:
    """Anti-collision light: `visible_m` is how far it can be seen [m]."""

    anti_collision: bool
    visible_m: float | None = attrs.field(
        default=None, validator=perhaps(bounds.LIGHT_RANGE, "a light's range")
    )


@attrs.frozen
class Readout:
    """Height readout and its error [m], one-sided, as the pilot states it; `unit` None: feet."""

    source: ReadoutSource
    error_m: float | None = attrs.field(
        default=None, validator=perhaps(bounds.READOUT_ERROR, "the readout's error")
    )
    unit: ReadoutUnit | None = None


@attrs.frozen
class LinkLoss:
    """The link-loss action, its delay [s] and the height it uses, if any.

    `needs_fix` and `needs_compass` say whether the action fails without a
    satellite fix or a compass; None: not known. `speed_mps` is the airspeed of
    a return, `climb_mps` and `descent_mps` the rates it uses [m/s];
    `clear_by_m` is the clearance its pilot wants over ground and structures.
    """

    action: LinkLossAction
    delay_s: float | None = attrs.field(
        default=None,
        validator=perhaps(bounds.DELAY, "the link-loss delay"),
    )
    height: Height | None = None
    needs_fix: bool | None = None
    needs_compass: bool | None = None
    speed_mps: float | None = attrs.field(
        default=None,
        validator=perhaps(bounds.SPEED, "the speed of the way home"),
    )
    climb_mps: float | None = attrs.field(
        default=None,
        validator=perhaps(bounds.SPEED, "the rate of climb of the way home"),
    )
    descent_mps: float | None = attrs.field(
        default=None,
        validator=perhaps(bounds.SPEED, "the rate of descent of the way home"),
    )
    clear_by_m: float | None = attrs.field(
        default=None, validator=perhaps(bounds.CLEARANCE, "the clearance of the way home")
    )


@attrs.frozen
class Battery:
    """A battery pack: cells in series, capacity and resistance of one cell [mOhm].

    `share_at_0_c` is the share of its capacity that it gives at 0 degrees C,
    as its pilot has measured it; None: as is usual for its chemistry.
    """

    chemistry: str
    cells: int = attrs.field(validator=bounded(bounds.CELLS, "the number of cells"))
    capacity_mah: float = attrs.field(validator=bounded(bounds.CAPACITY, "the battery's capacity"))
    cell_resistance_mohm: float | None = attrs.field(
        default=None, validator=perhaps(bounds.RESISTANCE, "a cell's resistance")
    )
    share_at_0_c: float | None = attrs.field(
        default=None,
        validator=attrs.validators.optional(within(0.05, 1.0, "the share of capacity left at 0 degrees C")),
    )


@attrs.frozen
class Radio:
    """One radio link; `analog` is None where it isn't known.

    Gains of the antennas on the ground and in the air [dBi], the receiver's
    sensitivity [dBm], the margin that its pilot wants left [dB], and the
    height of the antenna on the ground above it [m]. `width_mhz` is what its
    signal takes; None: as is usual for an analog picture.
    """

    use: RadioUse
    frequency_mhz: float = attrs.field(validator=bounded(bounds.FREQUENCY, "a radio frequency"))
    power_mw: float | None = attrs.field(
        default=None, validator=perhaps(bounds.RADIO_POWER, "a radio's power")
    )
    analog: bool | None = None
    channel: str = ""
    ground_gain_dbi: float | None = attrs.field(
        default=None, validator=perhaps(bounds.GAIN, "an antenna's gain")
    )
    air_gain_dbi: float | None = attrs.field(
        default=None, validator=perhaps(bounds.GAIN, "an antenna's gain")
    )
    sensitivity_dbm: float | None = attrs.field(
        default=None, validator=perhaps(bounds.SENSITIVITY, "a receiver's sensitivity")
    )
    required_margin_db: float | None = attrs.field(
        default=None, validator=perhaps(bounds.MARGIN, "the margin of a link")
    )
    ground_antenna_m: float | None = attrs.field(
        default=None, validator=perhaps(bounds.ANTENNA_HEIGHT, "the height of an antenna")
    )
    width_mhz: float | None = attrs.field(
        default=None, validator=perhaps(bounds.CHANNEL_WIDTH, "the width of a channel")
    )


@attrs.frozen
class Aircraft:
    """A camera aircraft as it takes off."""

    name: str = attrs.field(validator=not_empty("the aircraft's name"))
    take_off_weight_kg: float = attrs.field(
        converter=float, validator=bounded(bounds.WEIGHT, "the take-off weight")
    )
    largest_dimension_m: float = attrs.field(
        converter=float, validator=bounded(bounds.SIZE, "the largest dimension")
    )
    form: AircraftForm = AircraftForm.ROTORCRAFT
    registration: str | None = None
    remote_id: RemoteId | None = None
    lights: Lights | None = None
    propeller_guards: bool | None = None
    over_people: OverPeople | None = None
    readout: Readout | None = None
    link_loss: LinkLoss | None = None
    battery: Battery | None = None
    radios: tuple[Radio, ...] = ()
    performance: Performance | None = None
