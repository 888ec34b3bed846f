"""Values of JSON whose types nobody has vouched for."""

import json
import math
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TypeAlias

from planner.errors import ChartError
from planner.world.readers.plain import one_line
from planner.world.readers.text_file import read_bytes

Json: TypeAlias = Mapping[str, object]
_REMEDY = "fetch the file again from its publisher"


def load_json(path: Path) -> object:
    """Return the content of a JSON file.

    Raises
    ------
    ChartError
        If it can't be read, is not JSON or nests too deep.
    """
    try:
        content: object = json.loads(read_bytes(path))
    except (ValueError, UnicodeDecodeError) as error:
        raise ChartError(
            f"is not JSON ({one_line(str(error))[:120]})", where=str(path), remedy=_REMEDY
        ) from None
    except RecursionError:
        raise ChartError("is nested too deep", where=str(path), remedy=_REMEDY) from None
    return content


def mapping(value: object) -> Json:
    """Return an object's members, none if it is no object."""
    return value if isinstance(value, dict) else {}


def sequence(value: object) -> Sequence[object]:
    """Return a list's items; of anything else itself as the only item, of nothing none."""
    if value is None or value == "":
        return ()
    return value if isinstance(value, list) else (value,)


def number(value: object) -> float | None:
    """Return a finite figure, given as number or text."""
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        return None
    try:
        figure = float(value)
    except (ValueError, OverflowError):
        return None
    return figure if math.isfinite(figure) else None


def words(value: object) -> str:
    """Return text, also where it is given by language (English first) or as a list."""
    if isinstance(value, str):
        return one_line(value)
    if isinstance(value, bool | int | float):
        return str(value)
    if isinstance(value, dict):
        return words(value["text"]) if isinstance(value.get("text"), str) else ""
    if isinstance(value, list):
        english = [part for part in value if str(mapping(part).get("lang", "")).casefold().startswith("en")]
        by_language = english or [part for part in value if isinstance(part, dict)][:1]
        plain = [part for part in value if isinstance(part, str)]
        return ", ".join(text for part in (by_language or plain) if (text := words(part)))
    return ""
