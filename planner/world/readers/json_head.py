"""The first features of a long GeoJSON file: the library would read all of it before it gives one."""

import json
import re
from pathlib import Path

_SHORT_BYTES = 2_000_000
_HEAD_BYTES = 1_000_000
_FEATURES = re.compile(r'"features"\s*:\s*\[')
_BETWEEN = " \t\r\n,"


def first_features(path: Path, most: int) -> bytes | None:
    """Return a short GeoJSON file of the first features, None where the whole file is short or is none."""
    if path.stat().st_size <= _SHORT_BYTES:
        return None
    with path.open("rb") as file:
        text = file.read(_HEAD_BYTES).decode("utf-8", errors="replace").lstrip("\ufeff")
    begin = _FEATURES.search(text)
    if not text.lstrip().startswith("{") or begin is None:
        return None
    features = _decoded(text, begin.end(), most)
    return json.dumps({"type": "FeatureCollection", "features": features}).encode() if features else None


def _decoded(text: str, at: int, most: int) -> list[object]:
    decoder = json.JSONDecoder()
    found: list[object] = []
    while len(found) < most:
        while at < len(text) and text[at] in _BETWEEN:
            at += 1
        try:
            feature, at = decoder.raw_decode(text, at)
        except (json.JSONDecodeError, RecursionError):
            break
        found.append(feature)
    return found
