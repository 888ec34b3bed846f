"""Small ways through an element of AIXM, namespaces aside."""

from collections.abc import Iterator
from functools import lru_cache
from xml.etree.ElementTree import Element

_XLINK_HREF = "{http://www.w3.org/1999/xlink}href"
_GML_ID = "{http://www.opengis.net/gml/3.2}id"


def local_name(element: Element) -> str:
    """Return the name without its namespace; '' for comments."""
    return _local(element.tag) if isinstance(element.tag, str) else ""


@lru_cache(maxsize=1024)
def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def children(element: Element, name: str) -> Iterator[Element]:
    """Yield the children of that name."""
    return (child for child in element if local_name(child) == name)


def child(element: Element | None, *names: str) -> Element | None:
    """Return the first descendant along a path of names."""
    for name in names:
        if element is None:
            return None
        for found in element:
            if isinstance(found.tag, str) and _local(found.tag) == name:
                element = found
                break
        else:
            return None
    return element


def text(element: Element | None, *names: str) -> str:
    """Return the text at the end of a path, '' if there is none."""
    found = child(element, *names)
    return " ".join((found.text or "").split()) if found is not None else ""


def nil_reason(element: Element) -> str:
    """Return why an element says nothing, as its publisher codes it."""
    return element.get("nilReason", "").removeprefix("other:").upper()


def reference(element: Element | None) -> str:
    """Return what an element points at, bare of its scheme."""
    href = element.get(_XLINK_HREF, "") if element is not None else ""
    return href.removeprefix("urn:uuid:").removeprefix("#").removeprefix("uuid.").casefold()


def names_of(feature: Element) -> tuple[str, ...]:
    """Return every name by which a feature can be pointed at."""
    given = (text(feature, "identifier"), feature.get(_GML_ID, ""))
    return tuple(name.removeprefix("uuid.").casefold() for name in given if name)
