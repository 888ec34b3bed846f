"""Sites that plans copy from, as open JSON.

`{"lowline_site_library": 1, "sites": [...]}`, each site as a plan's file would hold it, so that any
program for maps opens one of them by itself.
"""

import json
from collections.abc import Iterable
from pathlib import Path
from typing import Final

from planner.atomic import write_text
from planner.errors import PlanError, PlanFileError
from planner.plan.file import plan_from_json, plan_to_json
from planner.plan.file_text import object_from_json, quoted, read_text, text_from_object
from planner.plan.model import Plan
from planner.plan.site import site_of

VERSION: Final = 1
_MARK: Final = "lowline_site_library"
_LIST: Final = "sites"


def read_sites(path: Path) -> tuple[Plan, ...]:
    """Return the sites of a library's file, in its order.

    Raises
    ------
    PlanFileError
        If the file can't be read, is no library, is of another version, or a site in it can't be used;
        nothing is left out silently.
    """
    plain = object_from_json(read_text(path), str(path))
    if plain.get(_MARK) != VERSION or isinstance(plain.get(_MARK), bool):
        raise PlanFileError(
            f"this is no library of sites of version {VERSION}",
            where=str(path),
            remedy="move it away, or mend it",
        )
    if set(plain) != {_MARK, _LIST} or not isinstance(plain[_LIST], list):
        raise PlanFileError("it holds something else than a list of sites", where=str(path), remedy="mend it")
    sites = tuple(_site(entry, f"{path}: {_LIST}[{number}]") for number, entry in enumerate(plain[_LIST]))
    names = [site.name for site in sites]
    if twice := next((name for name in names if names.count(name) > 1), ""):
        raise PlanFileError(f"two sites are called {quoted(twice)}", where=str(path), remedy="rename one")
    return sites


def write_sites(sites: Iterable[Plan], path: Path) -> None:
    """Write a library's file in one step.

    Raises
    ------
    OutputError
        If that fails; the old file is then as it was.
    """
    entries = [json.loads(plan_to_json(site)) for site in sites]
    write_text(path, text_from_object({_MARK: VERSION, _LIST: entries}))


def _site(entry: object, where: str) -> Plan:
    plan = plan_from_json(json.dumps(entry), where=where)
    try:
        pure = site_of(plan, plan.name) == plan
    except PlanError as error:
        raise PlanFileError(error.what, where=where, remedy="mend it") from None
    if not pure:
        raise PlanFileError("it holds more than a site", where=where, remedy="remove the rest")
    return plan
