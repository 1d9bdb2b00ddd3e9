"""Word documents and electronic books as texts."""

from __future__ import annotations

import zipfile
from pathlib import Path

import pytest

from lexiconforge.cli import main
from lexiconforge.errors import ReadError
from lexiconforge.text import documents
from lexiconforge.text.readers import can_be_split, find_files, read_text

# The smallest book the W3C's EPUB 3.3 allows, with a table of contents, a nested folder and an escaped name.
_BOOK = {
    "mimetype": "application/epub+zip",
    "META-INF/container.xml": (
        '<container xmlns="urn:oasis:names:tc:opendocument:xmlns:container" version="1.0"><rootfiles>'
        '<rootfile full-path="OPS/book.opf" media-type="application/oebps-package+xml"/></rootfiles></container>'
    ),
    "OPS/book.opf": (
        '<package xmlns="http://www.idpf.org/2007/opf" version="3.0"><manifest>'
        '<item id="n" href="nav.xhtml" media-type="application/xhtml+xml" properties="nav"/>'
        '<item id="b" href="text/part%20two.xhtml" media-type="application/xhtml+xml"/>'
        '<item id="a" href="text/one.xhtml" media-type="application/xhtml+xml"/>'
        '<item id="p" href="harbor.png" media-type="image/png"/></manifest>'
        '<spine><itemref idref="n"/><itemref idref="a"/><itemref idref="b"/></spine></package>'
    ),
    "OPS/nav.xhtml": "<html><body><nav><ol><li>Contents</li></ol></nav></body></html>",
    "OPS/text/one.xhtml": (
        "<html xmlns='http://www.w3.org/1999/xhtml'><head><title>One</title><style>p {}</style></head><body>"
        "<h1>The ferry</h1>\n<p>Put it on\n  the <em>wa</em>ter.</p><p>It&#8217;s h&ocirc;t &amp; late.<br/>Get out.</p>"
        "<script>var tea;</script></body></html>"
    ),
    "OPS/text/part two.xhtml": "<html><body><ul><li>butter</li><li>a bottle</li></ul></body></html>",
}


def book(path: Path, **changed: str | None) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (_BOOK | changed).items():
            if content is not None:
                archive.writestr(name, content)
    return path


def test_a_book_is_read_in_its_order(tmp_path: Path) -> None:
    text = "".join(read_text(book(tmp_path / "town.epub")))
    assert text == ("The ferry\nPut it on the water.\nIt’s hôt & late.\nGet out.\nbutter\na bottle\n")


def test_a_word_document_is_read_with_its_tables(tmp_path: Path) -> None:
    docx = pytest.importorskip("docx")
    document = docx.Document()
    document.add_heading("At the ferry terminal")
    document.add_paragraph("Put it on the ").add_run("water.").bold = True
    table = document.add_table(rows=2, cols=2)
    for cell, text in zip(
        (c for row in table.rows for c in row.cells), ["butter", "bottle", "city", "-"], strict=True
    ):
        cell.text = text
    table.cell(0, 0).merge(table.cell(0, 1))
    document.add_paragraph("Get out.")
    document.sections[0].header.paragraphs[0].text = "not read"
    document.save(str(tmp_path / "talk.docx"))
    text = "".join(read_text(tmp_path / "talk.docx"))
    assert text.split() == (
        [
            "At",
            "the",
            "ferry",
            "terminal",
            "Put",
            "it",
            "on",
            "the",
            "water.",
            "butter",
            "bottle",
            "city",
            "-",
            "Get",
            "out.",
        ]
    )


def test_folders_give_documents_and_blocks_do_not_split_them(tmp_path: Path) -> None:
    path = book(tmp_path / "town.epub")
    assert find_files(tmp_path) == [path]
    assert not can_be_split(path)


def test_a_document_is_tagged(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["tag-text", str(book(tmp_path / "town.epub"))]) == 0
    assert "wat[" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"META-INF/container.xml": None}, "not an EPUB"),
        ({"META-INF/container.xml": "<container>"}, "not an EPUB"),
        ({"OPS/book.opf": "<package/>"}, "no chapters"),
        (
            {"META-INF/encryption.xml": 'Algorithm="http://www.w3.org/2001/04/xmlenc#aes128-cbc"'},
            "encrypted",
        ),
    ],
)
def test_a_damaged_book_is_refused(tmp_path: Path, changed: dict[str, str | None], said: str) -> None:
    with pytest.raises(ReadError, match=said):
        list(read_text(book(tmp_path / "town.epub", **changed)))


@pytest.mark.parametrize("ending", sorted(documents.DOCUMENTS))
def test_what_is_no_document_is_refused(
    tmp_path: Path, ending: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / f"a{ending}").write_bytes(b"Put it on.")
    with pytest.raises(ReadError, match="not what its ending says"):
        list(read_text(tmp_path / f"a{ending}"))
    with zipfile.ZipFile(tmp_path / f"b{ending}", "w") as archive:
        archive.writestr("a.txt", "Put it on." * 1000)
    with pytest.raises(ReadError, match="damaged"):
        list(read_text(tmp_path / f"b{ending}"))
    monkeypatch.setattr(documents, "LARGEST", 5000)
    with pytest.raises(ReadError, match="no text does"):
        list(read_text(tmp_path / f"b{ending}"))
