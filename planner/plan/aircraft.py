"""The aircraft: all but weight and size may stay unknown (None)."""

from enum import StrEnum

import attrs

from planner.geo.heights import Height
from planner.plan.checks import not_empty, not_negative, positive


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
        default=None, validator=attrs.validators.optional(positive("a light's range"))
    )


@attrs.frozen
class Readout:
    """Height readout and its error [m], one-sided, as the pilot states it."""

    source: ReadoutSource
    error_m: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(not_negative("the readout's error"))
    )


@attrs.frozen
class LinkLoss:
    """The link-loss action, its delay [s] and the height it uses, if any."""

    action: LinkLossAction
    delay_s: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(not_negative("the link-loss delay"))
    )
    height: Height | None = None


@attrs.frozen
class Battery:
    """A battery pack: cells in series and capacity."""

    chemistry: str
    cells: int = attrs.field(validator=positive("the number of cells"))
    capacity_mah: float = attrs.field(validator=positive("the battery's capacity"))


@attrs.frozen
class Radio:
    """One radio link; `analog` is None where it isn't known."""

    use: RadioUse
    frequency_mhz: float = attrs.field(validator=positive("a radio frequency"))
    power_mw: float | None = attrs.field(
        default=None, validator=attrs.validators.optional(positive("a radio's power"))
    )
    analog: bool | None = None
    channel: str = ""


@attrs.frozen
class Aircraft:
    """A camera aircraft as it takes off."""

    name: str = attrs.field(validator=not_empty("the aircraft's name"))
    take_off_weight_kg: float = attrs.field(converter=float, validator=positive("the take-off weight"))
    largest_dimension_m: float = attrs.field(converter=float, validator=positive("the largest dimension"))
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
