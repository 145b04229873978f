"""Whose plan a product belongs to, read from the product alone: the fingerprint that this program wrote into
it.

========================  ==========================================================
product                   where the fingerprint is read
========================  ==========================================================
``.pptx``                 core property ``keywords``
``.pdf``                  keywords of the document's information or of its XMP packet
``.html``                 the text
``.json``                 the text, where all of it is JSON
========================  ==========================================================

No office program is needed. What is read is limited in size, so that a file made to do harm costs nothing but
its own bytes. A file that is not whole, as a copy that stopped leaves it, is no product though its number can
be read: the rest may be what counts.
"""

from __future__ import annotations

import io
import json
import re
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path

from briefgen.core.fingerprint import ALPHABET
from briefgen.mission.read.characters import read_file

MAXIMUM_BYTES = 64 * 1024 * 1024
MAXIMUM_PART = 4 * 1024 * 1024  # of one part of a package or one stream, inflated
MAXIMUM_UNPACKED = 256 * 1024 * 1024  # of all parts of a package
# bytes in which the end of a PDF is looked for: ISO 32000-1, note 18 in annex H.3 (from memory)
PDF_END = 1024
MAXIMUM_JSON = 16 * 1024 * 1024
NO_PRODUCTS = {
    "approval_format": (
        "it is an approval record, by which products are judged: give a product, or a folder of products"
    ),
    "manifest_format": (
        "it is the manifest of a build, which names the products: give a product, or the folder itself"
    ),
}
_GROUP = f"[{ALPHABET}]{{4}}"
MARK = re.compile(rf"(?<![A-Z0-9-]){_GROUP}-{_GROUP}-{_GROUP}-{_GROUP}(?![A-Z0-9-])")
_PDF_KEYWORDS = re.compile(rb"/Keywords\s*(\((?:\\.|[^\\)])*\)|<[0-9A-Fa-f\s]*>)")
_XMP_KEYWORDS = re.compile(rb"<pdf:Keywords>([^<]*)</pdf:Keywords>")
_XREF_AT = re.compile(rb"startxref\s+(\d+)\s+%%EOF")
# a table, or a stream of it: ISO 32000-1, 7.5.4 and 7.5.8 (from memory)
_XREF = re.compile(rb"\s*(?:xref|\d+\s+\d+\s+obj)")
_STREAM = re.compile(rb"stream\r?\n")
KINDS = (".pptx", ".pdf", ".html", ".json")


class Unreadable(ValueError):
    """The file is no product that can be read; the text says why."""


def product_mark(path: Path) -> str:
    """The fingerprint in a product. Unreadable: no such file, another kind, damaged, none or more than one in
    it."""
    if path.suffix.lower() not in KINDS:
        raise Unreadable(f"it is none of {', '.join(KINDS)}")
    try:
        data = read_file(path, MAXIMUM_BYTES)
    except OSError as error:
        raise Unreadable(error.strerror or "it cannot be read") from None
    if len(data) > MAXIMUM_BYTES:
        raise Unreadable("it is larger than any product of this program")
    return mark_in(data, path.suffix.lower())


def mark_in(data: bytes, suffix: str) -> str:
    """The one fingerprint in a product's bytes."""
    texts = {".pptx": _package_texts, ".pdf": _pdf_texts, ".json": _json_texts}.get(suffix, _page_texts)(data)
    found = sorted({mark for text in texts for mark in MARK.findall(text)})
    if len(found) == 1:
        return str(found[0])
    raise Unreadable(
        "no fingerprint of a plan is in it"
        if not found
        else f"it holds {len(found)} fingerprints: {', '.join(found[:3])}"
    )


def _plain_texts(data: bytes) -> list[str]:
    return [data.decode("utf-8", errors="replace")]


def _page_texts(data: bytes) -> list[str]:
    if not data.rstrip().lower().endswith(b"</html>"):
        raise Unreadable("it is no whole page: its end is cut off, or it is damaged")
    return _plain_texts(data)


def _json_texts(data: bytes) -> list[str]:
    if len(data) > MAXIMUM_JSON:
        raise Unreadable("it is larger than any product of this program")
    try:
        document = json.loads(data)
    except (ValueError, RecursionError):
        raise Unreadable("it is not JSON, is cut off or is damaged") from None
    for key, what in NO_PRODUCTS.items():
        if isinstance(document, dict) and key in document:
            raise Unreadable(what)
    return _plain_texts(data)


def _package_texts(data: bytes) -> list[str]:
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as package:
            whole = (
                sum(part.file_size for part in package.infolist()) <= MAXIMUM_UNPACKED
                and package.testzip() is None
            )
            with package.open("docProps/core.xml") as part:
                text = part.read(MAXIMUM_PART).decode("utf-8", errors="replace")
    except (
        zipfile.BadZipFile,
        KeyError,
        zlib.error,
        OSError,
        NotImplementedError,
        RuntimeError,
        EOFError,
        ValueError,
    ):
        raise Unreadable("it is no presentation, is cut off or is damaged") from None
    if not whole:
        raise Unreadable("it is a damaged presentation")
    return re.findall(r"<(?:\w+:)?keywords[^>]*>([^<]*)<", text)


def _pdf_texts(data: bytes) -> list[str]:
    if not data[:1024].lstrip().startswith(b"%PDF-"):
        raise Unreadable("it is no PDF, or is damaged")
    if not _whole_pdf(data):
        raise Unreadable("it is no whole PDF: its end is cut off, or it is damaged")
    found = _keywords(data)
    return found or [text for part in _inflated(data) for text in _keywords(part)]


def _whole_pdf(data: bytes) -> bool:
    """It ends, and its table of objects lies where its end says: a part that is missing would have moved
    it."""
    ends = _XREF_AT.findall(data[-PDF_END:])
    return bool(ends) and _XREF.match(data, int(ends[-1])) is not None


def _keywords(data: bytes) -> list[str]:
    return [
        *(_pdf_string(raw) for raw in _PDF_KEYWORDS.findall(data)),
        *(raw.decode("utf-8", errors="replace") for raw in _XMP_KEYWORDS.findall(data)),
    ]


def _pdf_string(raw: bytes) -> str:
    """A PDF string of letters, digits and hyphens; UTF-16 where it says so."""
    if raw[:1] == b"<":
        digits = re.sub(rb"\s", b"", raw[1:-1])
        text = bytes.fromhex((digits + b"0" * (len(digits) % 2)).decode("ascii"))
    else:
        text = re.sub(rb"\\(.)", rb"\1", raw[1:-1], flags=re.DOTALL)
    return (
        text[2:].decode("utf-16-be", errors="replace") if text[:2] == b"\xfe\xff" else text.decode("latin-1")
    )


def _inflated(data: bytes) -> Iterator[bytes]:
    for start in _STREAM.finditer(data):
        try:
            yield zlib.decompressobj().decompress(data[start.end() :][:MAXIMUM_PART], MAXIMUM_PART)
        except zlib.error:
            continue
