"""The plan file as text and as JSON, before anything is asked of its content."""

import json
import math
import reprlib
import stat
from collections import Counter
from json.encoder import encode_basestring
from pathlib import Path
from typing import Any, Final

from planner.errors import PlanFileError

LARGEST_BYTES: Final = 20_000_000

# Longer numbers overflow a float; Python also refuses to turn them into integers.
_LONGEST_INTEGER: Final = 300

_NUMBERS: Final = frozenset({int, float})


def quoted(value: object) -> str:
    """Return a value from a file for a message: short, printable, on one line."""
    shortener = reprlib.Repr()
    shortener.maxstring = 60
    return shortener.repr(value)


def read_text(path: Path) -> str:
    """Return the text of a UTF-8 file.

    Raises
    ------
    PlanFileError
        If it is missing, no file, unreadable, too large or not UTF-8.
    """
    data = _read_bytes(path)
    if len(data) > LARGEST_BYTES:
        raise PlanFileError(
            f"the file is larger than {LARGEST_BYTES // 1_000_000} MB",
            where=str(path),
            remedy="a plan never is; open another file",
        )
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise PlanFileError(
            f"byte {error.start + 1} is not UTF-8 text", where=str(path), remedy="save the file as UTF-8"
        ) from None


def object_from_json(text: str, where: str) -> dict[str, Any]:
    """Return the JSON object in a text.

    NaN and infinities come through as floats: who asks for a number refuses
    them and can say where they stand.

    Raises
    ------
    PlanFileError
        If the text is empty, not JSON, not an object, nested too deep or names
        a key twice.
    """
    if not text.strip():
        raise PlanFileError("the file is empty", where=where, remedy="open another file")
    try:
        value = json.loads(text, object_pairs_hook=_without_duplicates, parse_int=_integer)
    except json.JSONDecodeError as error:
        raise PlanFileError(
            f"not JSON: {error.msg}",
            where=f"{where}, line {error.lineno} column {error.colno}",
            remedy="mend that place or open another file",
        ) from None
    except PlanFileError as error:
        raise PlanFileError(error.what, where=where, remedy=error.remedy) from None
    except RecursionError:
        raise PlanFileError("nested too deep", where=where, remedy="open another file") from None
    if not isinstance(value, dict):
        raise PlanFileError(
            f"the file holds {kind_of(value)}, a plan is an object", where=where, remedy="open another file"
        )
    return value


def text_from_object(document: dict[str, Any]) -> str:
    """Return sorted, indented JSON that ends in a newline; a position takes one line."""
    return f"{_written(document, chr(10))}\n"


def kind_of(value: object) -> str:
    """Return what JSON calls a value, with its article."""
    names = {dict: "an object", list: "a list", str: "a text", bool: "true or false", type(None): "null"}
    return names.get(type(value), "a number")


def _written(value: object, line: str) -> str:
    """Return a value as `json` indents it; `line` is the line's end and what the next one begins with.

    With indents `json` itself takes twice as long, and of thousands of points that is felt.
    """
    inner = f"{line}  "
    if isinstance(value, dict) and value:
        parts = [f"{_leaf(key)}: {_written(part, inner)}" for key, part in sorted(value.items())]
        return f"{{{inner}{f',{inner}'.join(parts)}{line}}}"
    if isinstance(value, list | tuple) and value:
        if len(value) == 2 and _NUMBERS.issuperset(map(type, value)):
            return f"[{_leaf(value[0])}, {_leaf(value[1])}]"
        return f"[{inner}{f',{inner}'.join([_written(part, inner) for part in value])}{line}]"
    return _leaf(value)


def _leaf(value: object) -> str:
    if type(value) is str:
        return encode_basestring(value)
    if type(value) is float and math.isfinite(value):
        return repr(value)
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _read_bytes(path: Path) -> bytes:
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise PlanFileError("this is a folder", where=str(path), remedy="name a plan file in it")
        if not stat.S_ISREG(mode):
            raise PlanFileError("this is not a regular file", where=str(path), remedy="name a plan file")
        with path.open("rb") as stream:
            return stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise PlanFileError("there is no such file", where=str(path), remedy="check its name") from None
    except PermissionError:
        raise PlanFileError(
            "the file may not be read", where=str(path), remedy="ask its owner for read permission"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        name = str(path) if str(path).isprintable() else ascii(str(path))
        raise PlanFileError(
            f"the file can't be read ({reason})", where=name, remedy="check its name and its folder"
        ) from None


def _without_duplicates(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        twice = Counter(key for key, _ in pairs).most_common(1)[0][0]
        raise PlanFileError(f"the key {quoted(twice)} stands twice in one object", remedy="remove one")
    return found


def _integer(digits: str) -> int | float:
    return int(digits) if len(digits) <= _LONGEST_INTEGER else float(digits)
