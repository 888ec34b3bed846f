"""How passages of the manual are named, and what leads to them; no Qt, and nothing heavy."""

import re
from typing import Final

FIRST: Final = "index"
FINDINGS: Final = "findings"
DATA: Final = "data"
_NO_ANCHOR = re.compile(r"[^\w\- ]")


def anchor_of(heading: str) -> str:
    """Return the anchor of a heading: 'Capacity at 0 °C' has 'capacity-at-0-c'."""
    return re.sub(r" ", "-", re.sub(r" +", " ", _NO_ANCHOR.sub("", heading.lower())).strip())


def address_of_rule(rule: str) -> str:
    """Return where the manual tells of a rule; all rules on data share a passage."""
    return f"{FINDINGS}#{DATA if rule.startswith('data-') else rule}"


def address_of_strip(name: str) -> str:
    """Return where the manual tells of a strip under the profile."""
    return f"strips#{name}"


def resolved(page: str, link: str) -> str:
    """Return the address that a link on a page leads to.

    '../sight.md#range' on 'plan/crew' is 'sight#range'.
    """
    path, _, anchor = link.partition("#")
    if not path:
        return f"{page}#{anchor}"
    parts: list[str] = []
    for part in [*page.split("/")[:-1], *path.removesuffix(".md").split("/")]:
        if part == "..":
            parts = parts[:-1]
        elif part != ".":
            parts.append(part)
    return f"{'/'.join(parts)}#{anchor}" if anchor else "/".join(parts)
