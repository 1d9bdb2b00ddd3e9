"""Text out of documents: Word files by python-docx, electronic books by the standard library.

Room: gives pieces of text in which a line break ends a unit, as :mod:`lexiconforge.text.readers` has it. An EPUB is a zip
archive of XHTML with a list of its chapters (W3C, *EPUB 3.3*): ``zipfile``, ``ElementTree`` and ``html.parser`` read what is
needed of one in this file; the library for it is under the AGPL, which would bind whoever builds on this one.
"""

from __future__ import annotations

import posixpath
import zipfile
from collections.abc import Callable, Iterator
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote
from xml.etree import ElementTree

from lexiconforge.errors import ReadError

LARGEST = 256 << 20
"""Bytes that a document may unpack to in all: a long novel with its pictures has a tenth."""
_CONTAINER = "META-INF/container.xml"
_BLOCKS = frozenset(
    [
        *(
            "address",
            "article",
            "aside",
            "blockquote",
            "br",
            "caption",
            "dd",
            "div",
            "dt",
            "figcaption",
            "h1",
            "h2",
        ),
        *(
            "h3",
            "h4",
            "h5",
            "h6",
            "header",
            "footer",
            "hr",
            "li",
            "p",
            "pre",
            "section",
            "td",
            "th",
            "title",
            "tr",
        ),
    ]
)
"""Elements at whose edges a line of text ends (HTML Living Standard, 15.3: those that are not inline)."""
_UNSEEN = frozenset(["head", "script", "style", "svg", "math", "nav"])


def docx_text(path: Path) -> Iterator[str]:
    """The paragraphs of a Word document and of its tables, in order, a line each; headers, footers and notes are left out.

    Raises :class:`ReadError`.
    """
    try:
        import docx
        from docx.table import Table
    except ImportError:
        raise ReadError(
            "the package python-docx is not installed; install it with: pip install 'lexiconforge[documents]'"
        ) from None

    def lines(blocks: Iterator[object]) -> Iterator[str]:
        for block in blocks:
            if isinstance(block, Table):
                for row in block.rows:
                    seen: list[object] = []
                    for cell in row.cells:
                        # A cell that spans columns is given once for each.
                        if not any(cell._tc is other for other in seen):
                            seen.append(cell._tc)
                            yield from lines(cell.iter_inner_content())
            else:
                yield block.text + "\n"  # type: ignore[attr-defined]

    with _archive(path):
        pass
    try:
        yield from lines(docx.Document(str(path)).iter_inner_content())
    except (KeyError, ValueError, AttributeError, SyntaxError, zipfile.BadZipFile):
        raise ReadError("not a Word document, or a damaged one") from None


def epub_text(path: Path) -> Iterator[str]:
    """The chapters of an electronic book in reading order, a line for each paragraph, heading or list item.

    Raises :class:`ReadError`, also for a book whose chapters are encrypted.
    """
    with _archive(path) as archive:
        names = set(archive.namelist())
        if "META-INF/encryption.xml" in names and b"xmlenc#aes" in archive.read(
            "META-INF/encryption.xml"
        ):
            raise ReadError("the book is encrypted; only open ones can be read")
        try:
            chapters = [name for name in _spine(archive) if name in names]
            if not chapters:
                raise ReadError("no chapters are named in it; not an EPUB, or a damaged one")
            for name in chapters:
                page = _Page()
                page.feed(archive.read(name).decode("utf-8-sig"))
                page.close()
                yield page.text()
        except (
            KeyError,
            ElementTree.ParseError,
            zipfile.BadZipFile,
            UnicodeDecodeError,
            AttributeError,
        ):
            raise ReadError("not an EPUB, or a damaged one") from None


def _archive(path: Path) -> zipfile.ZipFile:
    try:
        archive = zipfile.ZipFile(path)
    except zipfile.BadZipFile:
        raise ReadError("damaged, or not what its ending says") from None
    if sum(entry.file_size for entry in archive.infolist()) > LARGEST:
        archive.close()
        raise ReadError(f"unpacks to more than {LARGEST >> 20} MB; no text does")
    return archive


def _spine(archive: zipfile.ZipFile) -> Iterator[str]:
    """Names of the chapters' files in reading order."""
    container = ElementTree.fromstring(archive.read(_CONTAINER))
    package = container.find(".//{*}rootfile").attrib["full-path"]  # type: ignore[union-attr]
    book = ElementTree.fromstring(archive.read(package))
    files = {item.attrib["id"]: item.attrib for item in book.iterfind(".//{*}manifest/{*}item")}
    for reference in book.iterfind(".//{*}spine/{*}itemref"):
        item = files[reference.attrib["idref"]]
        if item.get("media-type") == "application/xhtml+xml" and "nav" not in item.get("properties", ""):
            yield posixpath.normpath(posixpath.join(posixpath.dirname(package), unquote(item["href"])))


class _Page(HTMLParser):
    """The text of a page, without what is not read."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self._out: list[str] = []
        self._unseen = 0

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        self._unseen += tag in _UNSEEN
        if tag in _BLOCKS:
            self._out.append("\n")

    def handle_startendtag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        if tag in _BLOCKS:
            self._out.append("\n")

    def handle_endtag(self, tag: str) -> None:
        self._unseen -= tag in _UNSEEN and self._unseen > 0
        if tag in _BLOCKS:
            self._out.append("\n")

    def handle_data(self, data: str) -> None:
        if not self._unseen:
            self._out.append(data.replace("\n", " ").replace("\r", " "))

    def text(self) -> str:
        """Lines without the white space of the markup."""
        lines = (" ".join(line.split()) for line in "".join(self._out).split("\n"))
        return "".join(f"{line}\n" for line in lines if line)


DOCUMENTS: dict[str, Callable[[Path], Iterator[str]]] = {".docx": docx_text, ".epub": epub_text}
"""Readers of documents by the ending of their names."""
