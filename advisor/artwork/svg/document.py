"""An SVG file as a safe tree: size limits, no entities, nothing fetched, nothing run."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element, ParseError

from defusedxml import DefusedXmlException
from defusedxml.ElementTree import fromstring

from advisor.artwork.records import ArtworkError
from rules.catalogue.documents import MOST_BYTES, file_bytes
from rules.errors import BadInputError

__all__ = ["Document", "href", "read_document", "tag_of"]

MOST_DEPTH = 200
MOST_ELEMENTS = 200_000

SVG_SPACE = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"


class Document:
    """The parsed tree, with what the reader looks up in it: ids, parents and labels.

    Attributes:
        root: the outermost ``<svg>``.
    """

    def __init__(self, root: Element) -> None:
        self.root = root
        self._by_id: dict[str, Element] = {}
        self._parent: dict[Element, Element] = {}
        self._number: dict[Element, int] = {}
        counts: dict[str, int] = {}
        depth = {root: 0}
        for element in root.iter():
            tag = tag_of(element)
            counts[tag] = self._number[element] = counts.get(tag, 0) + 1
            if known := element.get("id"):
                self._by_id.setdefault(known, element)
            for child in element:
                self._parent[child] = element
                depth[child] = depth[element] + 1
        if len(self._number) > MOST_ELEMENTS:
            raise ArtworkError(
                f"the file has more than {MOST_ELEMENTS:,} elements; simplify the drawing"
            )
        if max(depth.values()) >= MOST_DEPTH:
            raise ArtworkError(
                f"groups are nested more than {MOST_DEPTH} deep; ungroup the drawing and save again"
            )

    def label(self, element: Element) -> str:
        """Name an element for the person: its tag with its id, or its number among its kind."""
        tag, known = tag_of(element), element.get("id")
        if known:
            return f'<{tag} id="{known[:60]}">'
        return f"<{tag}> number {self._number[element]}"

    def ancestors(self, element: Element) -> Iterator[Element]:
        """Yield the parent, its parent and so on up to the root."""
        while (above := self._parent.get(element)) is not None:
            yield above
            element = above

    def referred(self, reference: str) -> Element | None:
        """The element that ``#id`` refers to, the first of a repeated id; None for anything else.

        >>> document, _ = read_document('<svg><g id="sea"/></svg>')
        >>> document.referred("#sea") is document.root[0], document.referred("sea.svg")
        (True, None)
        """
        return self._by_id.get(reference[1:]) if reference.startswith("#") else None


def tag_of(element: Element) -> str:
    """The tag without the SVG namespace; empty for comments and for other vocabularies.

    >>> tag_of(Element("{http://www.w3.org/2000/svg}path")), tag_of(Element("rect"))
    ('path', 'rect')
    >>> tag_of(Element("{http://example.org/editor}guide"))
    ''
    """
    tag = element.tag
    if not isinstance(tag, str):
        return ""
    if tag.startswith(SVG_SPACE):
        return tag[len(SVG_SPACE) :]
    return "" if tag.startswith("{") else tag


def href(element: Element) -> str:
    """What an element refers to, by the SVG 2 or the older XLink attribute."""
    return (element.get("href") or element.get(LINK) or "").strip()


def read_document(source: Path | str | bytes, *, name: str = "") -> tuple[Document, str]:
    """Read a file, a text or bytes into a tree, and say what the artwork is called.

    Args:
        source: a path; or the SVG itself, as bytes or as text that begins with ``<``.
        name: used instead of the file's name.

    Raises:
        ArtworkError: there is no such file, it is over 8 MB, or no SVG that can be read safely.

    >>> document, name = read_document(b'<svg xmlns="http://www.w3.org/2000/svg"/>')
    >>> document.label(document.root), name
    ('<svg> number 1', 'artwork')
    """
    data, name = _bytes_of(source, name)
    if not data.strip():
        raise ArtworkError("the file is empty")
    _refuse_large(len(data))
    if data[:2] == b"\x1f\x8b":
        raise ArtworkError("the file is compressed (SVGZ); save it as plain SVG")
    try:
        root = fromstring(data)
    except DefusedXmlException:
        raise ArtworkError(
            "the file declares entities or refers to another file in its DOCTYPE, which is "
            "refused for safety; save it as plain SVG"
        ) from None
    except ParseError as error:
        raise ArtworkError(f"this is not readable XML ({error}); save it as plain SVG") from None
    except (ValueError, LookupError, RecursionError):
        raise ArtworkError(
            "the file's text encoding cannot be read; save it as plain SVG in UTF-8"
        ) from None
    if tag_of(root) != "svg":
        raise ArtworkError(f"this is XML but no SVG: it begins with <{str(root.tag)[:60]}>")
    return Document(root), name


def _bytes_of(source: Path | str | bytes, name: str) -> tuple[bytes, str]:
    """The bytes of a source and the artwork's name."""
    if isinstance(source, bytes):
        return source, name or "artwork"
    if isinstance(source, str) and (source.lstrip("\ufeff \t\r\n").startswith("<") or not source):
        # As text it is already decoded, so an encoding that the declaration states is void.
        text = source.lstrip("\ufeff \t\r\n")
        if text.startswith("<?xml"):
            text = text.partition("?>")[2]
        return text.encode("utf-8", "surrogatepass"), name or "artwork"
    path = Path(source)
    try:
        _refuse_large(path.stat().st_size)
        return file_bytes(path, most_bytes=MOST_BYTES, kind="an SVG file"), name or path.stem
    except BadInputError as error:
        raise ArtworkError(error.reason, source=error.source) from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise ArtworkError(f"the file cannot be read: {reason}") from None


def _refuse_large(size: int) -> None:
    if size > MOST_BYTES:
        raise ArtworkError(
            f"{size / 1e6:.1f} MB is more than the {MOST_BYTES / 1e6:.0f} MB that are read; "
            "take embedded pictures out or simplify the paths"
        )
