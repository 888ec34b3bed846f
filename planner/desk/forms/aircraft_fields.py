"""The aircraft's fields as a table: what each is, its unit, why it matters, and how it is read."""

from collections.abc import Mapping
from functools import partial
from typing import Any

import attrs

from planner.desk.forms.bounded import within_bounds
from planner.desk.forms.link_loss_fields import LINK_LOSS_FIELDS, link_loss_of, link_loss_values
from planner.desk.forms.performance_fields import PERFORMANCE_FIELDS, performance_of, performance_values
from planner.desk.forms.specs import FieldSpec, quantity
from planner.desk.quantities import (
    CAPACITIES,
    HEIGHT,
    LENGTHS,
    PLAIN,
    RESISTANCES,
    SHARES,
    SIZE,
    WEIGHT,
    WEIGHTS,
)
from planner.desk.words import (
    FORM_WORDS,
    OVER_PEOPLE_WORDS,
    READOUT_UNIT_WORDS,
    READOUT_WORDS,
    REMOTE_ID_WORDS,
    YES_NO_WORDS,
)
from planner.errors import PlanError
from planner.plan import bounds
from planner.plan.aircraft import (
    Aircraft,
    Battery,
    Lights,
    Readout,
    ReadoutSource,
)

Values = Mapping[str, Any]

_SHOWN = (
    "name",
    "take_off_weight_kg",
    "largest_dimension_m",
    "form",
    "registration",
    "remote_id",
    "lights",
    "propeller_guards",
    "over_people",
    "readout",
    "link_loss",
    "battery",
    "performance",
)
"""What of an aircraft the fields describe."""


def _count_of_cells(text: str) -> int:
    count = within_bounds("cells in series", PLAIN, "", bounds.CELLS)(text)
    if count != round(count):
        raise PlanError(f"cells in series: {text.strip()!r} is not a whole number", remedy="type it like 6")
    return round(count)


FIELDS = (
    FieldSpec("name", "Name", "How you call it", str.strip, example="5-inch quad", required=True, wide=True),
    quantity(
        "weight",
        "Take-off weight",
        "With battery and camera; {weight}. Decides registration and more",
        WEIGHTS,
        WEIGHT,
        3,
        bounds=bounds.WEIGHT,
        example="1.37 lb",
        required=True,
    ),
    quantity(
        "size",
        "Largest dimension",
        "Tip to tip, propellers included; {size}. Sight depends on it",
        LENGTHS,
        SIZE,
        1,
        bounds=bounds.SIZE,
        example="11 in",
        required=True,
    ),
    FieldSpec(
        "form",
        "Form",
        "Decides which estimate of visibility fits, how it comes down on lost link and what it takes to fly",
        choices=FORM_WORDS,
        required=True,
    ),
    FieldSpec("remote_id", "Remote ID", "14 CFR part 89: how it identifies itself", choices=REMOTE_ID_WORDS),
    FieldSpec(
        "registration", "Registration", "The number marked on it", str.strip, example="number", wide=True
    ),
    FieldSpec("over_people", "Over-people category", "14 CFR part 107 subpart D", choices=OVER_PEOPLE_WORDS),
    FieldSpec("lights", "Anti-collision light", "Needed at twilight and night", choices=YES_NO_WORDS),
    quantity(
        "light_range",
        "Light seen from",
        "Statute miles unless you type km, m or ft; three are asked for by 14 CFR 107.29",
        LENGTHS,
        "mi",
        2,
        bounds=bounds.LIGHT_RANGE,
        example="3 mi",
    ),
    FieldSpec("guards", "Propeller guards", "Whether all propellers are guarded", choices=YES_NO_WORDS),
    FieldSpec(
        "readout", "Height readout", "Where the height in the goggles comes from", choices=READOUT_WORDS
    ),
    quantity(
        "readout_error",
        "Readout error",
        "How far it may be off, one-sided; {height}. It is taken off the height allowed",
        LENGTHS,
        HEIGHT,
        1,
        bounds=bounds.READOUT_ERROR,
        example="10 ft",
    ),
    FieldSpec(
        "readout_unit",
        "Readout shows",
        "Heights as the goggles show them are printed in this unit; feet if not set",
        choices=READOUT_UNIT_WORDS,
    ),
    *LINK_LOSS_FIELDS,
    FieldSpec(
        "chemistry",
        "Battery chemistry",
        "Li-Po, Li-HV or Li-ion; they sag and mind the cold apart",
        str.strip,
        example="Li-Po",
    ),
    FieldSpec(
        "cells",
        "Cells in series",
        "A count",
        _count_of_cells,
        example="6",
    ),
    quantity(
        "capacity",
        "Capacity",
        "As printed on it; mAh unless you type Ah. The turn-back point hangs on it",
        CAPACITIES,
        "mAh",
        0,
        bounds=bounds.CAPACITY,
        example="1300 mAh",
    ),
    quantity(
        "cell_resistance",
        "Resistance of a cell",
        "As the charger measures it; mΩ. The voltage sags by it; empty: by rule of thumb",
        RESISTANCES,
        "mΩ",
        1,
        bounds=bounds.RESISTANCE,
        example="3 mΩ",
    ),
    quantity(
        "cold_share",
        "Capacity at 0 °C",
        "Percent of what is printed, as measured. Empty: by rule of thumb 82 % Li-Po, 80 Li-HV, 86 Li-ion",
        SHARES,
        "%",
        1,
        example="82 %",
    ),
    *PERFORMANCE_FIELDS,
)


TOGETHER = (
    ("What it does when the link drops", ("link_loss",), tuple(spec.key for spec in LINK_LOSS_FIELDS)),
    (
        "The battery",
        ("cells", "capacity"),
        ("cells", "capacity", "chemistry", "cell_resistance", "cold_share"),
    ),
    (
        "A measured flight",
        ("measured_time", "measured_used"),
        ("measured_time", "measured_used", "measured_speed"),
    ),
)
"""What counts only once some of its fields are filled: its name, these fields, and all that belong to it."""


def values_of(aircraft: Aircraft | None) -> dict[str, Any]:
    """Return each field's value for an aircraft."""
    if aircraft is None:
        return {spec.key: None for spec in FIELDS}
    part = partial(_part, aircraft)
    return {
        "name": aircraft.name,
        "weight": aircraft.take_off_weight_kg,
        "size": aircraft.largest_dimension_m,
        "form": aircraft.form,
        "registration": aircraft.registration,
        "remote_id": aircraft.remote_id,
        "over_people": aircraft.over_people,
        "lights": part("lights", "anti_collision"),
        "light_range": part("lights", "visible_m"),
        "guards": aircraft.propeller_guards,
        "readout": part("readout", "source"),
        "readout_error": part("readout", "error_m"),
        "readout_unit": part("readout", "unit"),
        **link_loss_values(aircraft.link_loss),
        "chemistry": part("battery", "chemistry"),
        "cells": part("battery", "cells"),
        "capacity": part("battery", "capacity_mah"),
        "cell_resistance": part("battery", "cell_resistance_mohm"),
        "cold_share": part("battery", "share_at_0_c"),
        **performance_values(aircraft.performance),
    }


def aircraft_of(values: Values, before: Aircraft | None) -> Aircraft:
    """Return the aircraft that the fields describe; what has no field stays as it was.

    Raises
    ------
    PlanError
        If a value is none that an aircraft can have.
    """
    described = Aircraft(
        name=values["name"],
        take_off_weight_kg=values["weight"],
        largest_dimension_m=values["size"],
        form=values["form"],
        registration=values["registration"] or None,
        remote_id=values["remote_id"],
        lights=_lights(values),
        propeller_guards=values["guards"],
        over_people=values["over_people"],
        readout=_readout(values),
        link_loss=link_loss_of(values, before.link_loss if before else None),
        battery=_battery(values, before),
        performance=performance_of(values, before.performance if before else None),
    )
    return _over(before, described, _SHOWN)


def _part(aircraft: Aircraft, name: str, field: str) -> Any:  # noqa: ANN401
    owner = getattr(aircraft, name)
    return None if owner is None else getattr(owner, field)


def _lights(values: Values) -> Lights | None:
    if values["lights"] is None:
        return Lights(True, values["light_range"]) if values["light_range"] else None
    return Lights(values["lights"], values["light_range"])


def _readout(values: Values) -> Readout | None:
    source, error, unit = values["readout"], values["readout_error"], values["readout_unit"]
    if source is None and error is None and unit is None:
        return None
    return Readout(source or ReadoutSource.BAROMETER, error, unit)


def _battery(values: Values, before: Aircraft | None) -> Battery | None:
    if values["cells"] is None or values["capacity"] is None:
        return None
    return _over(
        before.battery if before else None,
        Battery(
            values["chemistry"] or "",
            values["cells"],
            values["capacity"],
            values["cell_resistance"],
            values["cold_share"],
        ),
        ("chemistry", "cells", "capacity_mah", "cell_resistance_mohm", "share_at_0_c"),
    )


def _over(before: Any | None, described: Any, shown: tuple[str, ...]) -> Any:  # noqa: ANN401
    """Return what was there before with the fields that are shown taken from what is described."""
    if before is None:
        return described
    return attrs.evolve(before, **{name: getattr(described, name) for name in shown})
