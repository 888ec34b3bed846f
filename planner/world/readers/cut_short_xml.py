"""What an answer in GML or KML says of itself: a page of more, cut off on its way, or an error."""

from collections.abc import Iterable
from xml.parsers import expat

from attrs import define, field

# What says which of its elements holds what (OGC 09-025r2 and 04-094, from memory).
_COLLECTION = "FeatureCollection"
_MEMBERS = frozenset({"member", "featureMember", "featureMembers"})
_EXCEPTIONS = frozenset({"ExceptionReport", "ServiceExceptionReport"})
_MORE = {"next": "a link to the next page", "previous": "a link to the page before"}
# Its own reader goes through the whole of it, and it tells of no pages.
_MESSAGE = "AIXMBasicMessage"

PART = "is only a part of its layer: the service that gave it has more features than it gives at once ({})"
REST = "fetch the rest, page by page or area by area, or the publisher's whole file"
ANSWERED = "holds an error that a service answered with, in place of a layer", "fetch it again"
_CODED = "names a coding of its letters that can't be read", "save it as UTF-8, and say so in its first line"
_ELSEWHERE = "is only a part of its layer: it points to more of it elsewhere (NetworkLink)", REST


class _SaidError(Exception):
    """What is wrong with a file, and what to do."""


class _EnoughError(Exception):
    """Nothing that comes can say any more."""


def fault_of_xml(pieces: Iterable[bytes]) -> tuple[str, str] | None:
    """Return what a text of XML, in pieces, says is missing of it, and what to do; None if nothing is.

    A text that breaks off within a collection of features is told as well: some readers take what has come.
    """
    said = _Said()
    parser = expat.ParserCreate()
    parser.StartElementHandler, parser.EndElementHandler = said.begin, said.end
    try:
        for piece in pieces:
            parser.Parse(piece, False)
        parser.Parse(b"", True)
    except _SaidError as error:
        what, remedy = error.args
        return what, remedy
    except _EnoughError:
        return None
    except expat.ExpatError as error:
        return said.broken(error)
    except (LookupError, ValueError):
        # The parser knows no such name of a coding, or none of more than one byte but Unicode's.
        return _CODED
    return None


@define
class _Collection:
    """A collection of features that is not at its end yet."""

    matched: int
    members: int = 0


@define
class _Said:
    """What has come of a text: the names of what is open, and the collections among that."""

    _open: list[str] = field(factory=list)
    _collections: list[_Collection] = field(factory=list)

    def begin(self, full_name: str, attributes: dict[str, str]) -> None:
        name = full_name.rpartition(":")[2]
        if name == "NetworkLink":
            raise _SaidError(*_ELSEWHERE)
        if name in _EXCEPTIONS:
            raise _SaidError(*ANSWERED)
        if name == "truncatedResponse":
            raise _SaidError(PART.format(name), REST)
        if name == _MESSAGE and not self._open:
            raise _EnoughError
        if name == _COLLECTION:
            self._collections.append(_Collection(_matched(attributes)))
        elif self._open and self._open[-1] in _MEMBERS:
            for collection in self._collections:
                collection.members += 1
        self._open.append(name)

    def end(self, _full_name: str) -> None:
        if self._open.pop() == _COLLECTION:
            ended = self._collections.pop()
            if ended.matched > ended.members:
                raise _SaidError(*_counted(ended.matched, ended.members))

    def broken(self, error: expat.ExpatError) -> tuple[str, str] | None:
        """Return that it breaks off, if it does so among features; all else is told by what reads it."""
        if not self._collections:
            return None
        return f"is not whole: it breaks off or is damaged at line {error.lineno:,}", "fetch it again"


def _matched(attributes: dict[str, str]) -> int:
    """Return how many features match the question that was asked, 0 if that is not said.

    Raises
    ------
    _SaidError
        If the attributes alone say that there are more.
    """
    for link, words in _MORE.items():
        if attributes.get(link, "").strip():
            raise _SaidError(PART.format(words), REST)
    matched, returned = (
        int(count) if (count := attributes.get(name, "").strip()).isdecimal() and len(count) <= 12 else None
        for name in ("numberMatched", "numberReturned")
    )
    if matched is not None and returned is not None and matched > returned:
        raise _SaidError(*_counted(matched, returned))
    return matched or 0


def _counted(matched: int, returned: int) -> tuple[str, str]:
    return PART.format(f"{matched} match, {returned} are in it"), REST
