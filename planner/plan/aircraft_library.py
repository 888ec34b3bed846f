"""Aircraft that plans copy from, as open JSON.

`{"lowline_aircraft_library": 1, "aircraft": [...]}`, each aircraft with the keys that it has in a plan file.
"""

from collections.abc import Iterable
from pathlib import Path
from typing import Any, Final

from planner.atomic import write_text
from planner.errors import PlanFileError
from planner.plan.aircraft import Aircraft
from planner.plan.file_schema import aircraft_from_plain, plain_from_aircraft
from planner.plan.file_text import kind_of, object_from_json, quoted, read_text, text_from_object

VERSION: Final = 1
_MARK: Final = "lowline_aircraft_library"
_LIST: Final = "aircraft"


def read_aircraft(path: Path) -> tuple[Aircraft, ...]:
    """Return the aircraft of a library's file, in its order.

    Raises
    ------
    PlanFileError
        If the file can't be read, is no library, is of a later version, or an
        aircraft in it can't be used; nothing is left out silently.
    """
    plain = object_from_json(read_text(path), str(path))
    _checked(plain, str(path))
    entries = plain[_LIST]
    found = tuple(
        aircraft_from_plain(entry, f"{path}: {_LIST}[{number}]") for number, entry in enumerate(entries)
    )
    names = [aircraft.name for aircraft in found]
    if twice := next((name for name in names if names.count(name) > 1), ""):
        raise PlanFileError(f"two aircraft are called {quoted(twice)}", where=str(path), remedy="rename one")
    return found


def write_aircraft(aircraft: Iterable[Aircraft], path: Path) -> None:
    """Write a library's file in one step.

    Raises
    ------
    OutputError
        If that fails; the old file is then as it was.
    """
    entries = [plain_from_aircraft(one) for one in aircraft]
    write_text(path, text_from_object({_MARK: VERSION, _LIST: entries}))


def _checked(plain: dict[str, Any], where: str) -> None:
    version = plain.get(_MARK)
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise PlanFileError("this is no aircraft library", where=where, remedy="move it away, or mend it")
    if version > VERSION:
        raise PlanFileError(
            f"it is written in version {version}, this program knows {VERSION}",
            where=where,
            remedy="use a newer program",
        )
    if unknown := sorted(set(plain) - {_MARK, _LIST}):
        raise PlanFileError(f"the key {quoted(unknown[0])} is not known", where=where, remedy="remove it")
    if not isinstance(plain.get(_LIST), list):
        raise PlanFileError(
            f"its aircraft are {kind_of(plain.get(_LIST))}, not a list", where=where, remedy="mend it"
        )
