"""From values and a template to a PDF, the same bytes wherever the same letters are at hand."""

import json
import re
from collections.abc import Iterable, Mapping
from datetime import datetime
from functools import cache
from importlib.resources import as_file, files
from pathlib import Path
from typing import Any

import typst

from planner.errors import OutputError
from planner.locate import resources_dir

_FONT_PACKAGE = "fontpkg_source_sans_3"
_COVERED = (
    (0x20, 0x7E), (0xA0, 0x17F), (0x38E, 0x3A1), (0x3A3, 0x3CE), (0x400, 0x45F), (0x1EA0, 0x1EF9),
    (0x2010, 0x201E), (0x2026, 0x2026), (0x2190, 0x2193), (0x2260, 0x2260), (0x2264, 0x2264),
)  # fmt: skip


_REMEMBERED_SETTINGS = 10
"""So many settings later Typst forgets what one has left in its memory."""

# Typst's own words for a place: "┌─ folder/pilot.typ:137:5".
_AT = re.compile(r"┌─ (?P<file>.+\.typ):(?P<line>\d+):\d+")


class Picture(str):
    """A drawing as SVG among the values: the template gets its name, and the drawing by that name.

    Kept apart because Typst hashes whatever is handed to a function at every call. All goes
    in as one input: of several the order would change, and nothing be remembered.
    """

    __slots__ = ()


def typeset(
    values: Mapping[str, Any],
    made_utc: datetime | None,
    template_name: str = "briefing.typ",
    folder: Path | None = None,
) -> bytes:
    """Return the PDF of a template of the briefing's folder, or of another one, filled with values.

    The date inside is `made_utc`, never the clock's. Only text in scripts
    that the font of the briefing lacks is set in fonts of this computer.

    Raises
    ------
    OutputError
        If there is no such template or it can't be set.
    """
    timestamp = max(int(made_utc.timestamp()), 0) if made_utc else 0
    return bytes(_compiled(_template(template_name, folder), values, format="pdf", timestamp=timestamp))


def typeset_pictures(
    values: Mapping[str, Any],
    pixels_per_inch: float,
    template_name: str = "briefing.typ",
    folder: Path | None = None,
) -> list[bytes]:
    """Return the pages of a template as PNG.

    Raises
    ------
    OutputError
        If there is no such template or it can't be set.
    """
    pages = _compiled(_template(template_name, folder), values, format="png", ppi=pixels_per_inch)
    return [bytes(page) for page in pages] if isinstance(pages, list) else [bytes(pages)]


def _template(name: str, folder: Path | None) -> Path:
    template = (folder or resources_dir() / "briefing") / name
    if not template.is_file():
        raise OutputError(
            f"there is no template {name}", where=str(folder), remedy="write one: lowline template FOLDER"
        )
    return template


def _compiled(template: Path, values: Mapping[str, Any], **how: Any) -> Any:  # noqa: ANN401
    pictures: dict[str, str] = {}
    told = {**_lifted(dict(values), pictures), "pictures": pictures}
    text = json.dumps(told, ensure_ascii=False, allow_nan=False)
    fonts = _fonts(with_system=not is_covered(_texts(values)))
    try:
        return typst.compile(
            str(template), root=str(template.parent), font_paths=fonts, sys_inputs={"briefing": text}, **how
        )
    except typst.TypstError as error:
        raise OutputError(
            f"the briefing can't be set ({_first_line(error)})",
            where=_where(error, template),
            remedy="undo changes to the template",
        ) from error
    finally:
        _forget(fonts)


def _forget(fonts: typst.Fonts) -> None:
    """Let Typst drop what it keeps of a setting: 30 MB of a sheet, and the next is no slower without it.

    It offers no other way than to set something else; nothing at all takes it a millisecond.
    """
    for _ in range(_REMEMBERED_SETTINGS + 1):
        typst.compile(b"", font_paths=fonts, format="svg")


def _lifted(value: Any, pictures: dict[str, str]) -> Any:  # noqa: ANN401
    """Return values with a name in place of each picture, which is put among `pictures`."""
    match value:
        case Picture() if value:
            name = f"picture-{len(pictures) + 1}"
            pictures[name] = str(value)
            return name
        case Mapping():
            return {key: _lifted(inner, pictures) for key, inner in value.items()}
        case list() | tuple():
            return [_lifted(inner, pictures) for inner in value]
    return value


@cache
def _fonts(*, with_system: bool) -> typst.Fonts:
    # Found once: looking for fonts takes a third of the time of a sheet.
    with as_file(files(_FONT_PACKAGE) / "files") as folder:
        return typst.Fonts(with_system, True, [str(folder)])


def is_covered(texts: Iterable[str]) -> bool:
    """Whether the font of the briefing has every letter of these texts."""
    letters = map(ord, set().union(*texts))
    return all(any(low <= letter <= high for low, high in _COVERED) for letter in letters)


def _texts(values: object) -> Iterable[str]:
    match values:
        case str():
            yield values
        case Mapping():
            for value in values.values():
                yield from _texts(value)
        case list() | tuple():
            for value in values:
                yield from _texts(value)


def _where(error: typst.TypstError, template: Path) -> str:
    """Return the template's file and line that the fault is in, as far as Typst tells."""
    told = _AT.search(str(getattr(error, "diagnostic", "")))
    if told is None:
        return str(template)
    return f"{template.parent / Path(told['file']).name}, line {told['line']}"


def _first_line(error: typst.TypstError) -> str:
    return (str(error).splitlines() or ["no reason given"])[0]
