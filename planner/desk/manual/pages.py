"""The pages of the manual as text, and the passages under their headings; no Qt.

A page is a file under `resources/manual`; its name is its path there without the ending. A passage has the
anchor that GitHub, too, gives its heading, so that the same links hold in the program and in the repository.
"""

import re
from collections.abc import Iterator, Mapping
from pathlib import Path

import attrs

from planner.desk.manual.anchors import DATA, FINDINGS, anchor_of
from planner.locate import resources_dir
from planner.rules.plain_words import PLAIN_WORDS, plain_words

_HEADING = re.compile(r"^(#{1,4}) +(.+?) *$")
_CODES = re.compile(r"^Codes: (.+)$", re.MULTILINE)
_LINK = re.compile(r"!?\[[^\]]*\]\(([^)]+)\)")


@attrs.frozen
class Passage:
    """What stands under one heading, down to the next; `anchor` names it within its page."""

    page: str
    anchor: str
    heading: str
    text: str

    @property
    def address(self) -> str:
        """Where it is: 'sight#range'."""
        return f"{self.page}#{self.anchor}"


@attrs.frozen
class Page:
    """One page; its first passage is its own heading."""

    name: str
    text: str
    passages: tuple[Passage, ...]

    @property
    def title(self) -> str:
        """The page's own heading."""
        return self.passages[0].heading if self.passages else self.name

    def passage(self, anchor: str) -> Passage | None:
        """Return a passage by its anchor, the first without one; None if there is none."""
        if not anchor:
            return self.passages[0] if self.passages else None
        return next((one for one in self.passages if one.anchor == anchor), None)


def read_pages(folder: Path | None = None) -> Mapping[str, Page]:
    """Return all pages by name."""
    folder = folder or resources_dir() / "manual"
    names = sorted(path.relative_to(folder).with_suffix("").as_posix() for path in folder.rglob("*.md"))
    return {name: page_of(name, (folder / f"{name}.md").read_text("utf-8")) for name in names}


def page_of(name: str, text: str) -> Page:
    """Return a page from its text; the lines of codes on the page of findings become passages."""
    if name == FINDINGS:
        text = _CODES.sub(lambda found: _told(found.group(1)), text)
    return Page(name, text, tuple(_passages(name, text)))


def links_of(text: str) -> Iterator[str]:
    """Yield what the links and pictures of a page or passage lead to, as written."""
    yield from (found.group(1) for found in _LINK.finditer(text))


def _told(codes: str) -> str:
    return "\n\n".join(_of_code(code.strip(" `.")) for code in codes.split(","))


def _of_code(code: str) -> str:
    said = plain_words("data-") if code == DATA else PLAIN_WORDS.get(code, "")
    return f"### {code.replace('-', ' ').capitalize()}\n\n{said}"


def _passages(name: str, text: str) -> Iterator[Passage]:
    heading, lines = "", list[str]()
    for line in text.splitlines():
        found = _HEADING.match(line)
        if found is None:
            lines.append(line)
            continue
        if heading:
            yield Passage(name, anchor_of(heading), heading, "\n".join(lines).strip())
        heading, lines = found.group(2), []
    if heading:
        yield Passage(name, anchor_of(heading), heading, "\n".join(lines).strip())
