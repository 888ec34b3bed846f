"""Airspace told from others of its name: by what it is, its notice or identifier, and its times."""

from typing import Final

from planner.permission.namesakes import called, identity, spoken
from planner.track.mapped import Mapped
from planner.world.airspace import AirspaceKind, AirspaceVolume

_CLASSES: Final = {
    AirspaceKind.CLASS_A: "Class A",
    AirspaceKind.CLASS_B: "Class B",
    AirspaceKind.CLASS_C: "Class C",
    AirspaceKind.CLASS_D: "Class D",
    AirspaceKind.CLASS_E2: "Class E2",
    AirspaceKind.CLASS_E3: "Class E3",
    AirspaceKind.CLASS_E4: "Class E4",
    AirspaceKind.CLASS_E_OTHER: "Class E",
}


def which_airspace(volume: AirspaceVolume) -> tuple[str, ...]:
    """Return what parts of one airspace have alike and no other airspace has."""
    return spoken(volume.name), volume.kind.value, *identity(volume)


def told_apart(volume: AirspaceVolume, mapped: Mapped | None) -> str:
    """Return its name, with what it is where other airspace near has the name as well."""
    others = () if mapped is None else mapped.airspace.values()
    if not any(
        spoken(other.name) == spoken(volume.name) and which_airspace(other) != which_airspace(volume)
        for other in others
    ):
        return volume.name
    own, letters = called(volume), _CLASSES.get(volume.kind)
    return f"{volume.name} ({letters})" if own == volume.name and letters else own
