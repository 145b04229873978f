"""The same input gives the same bytes: the zip, and the workbooks inside charts, written again with fixed
times."""

from __future__ import annotations

import io
import re
import zipfile
from datetime import UTC, datetime

_FIXED_TIME = (1980, 1, 1, 0, 0, 0)  # the earliest a zip can name
_CORE = "docProps/core.xml"
_STAMP = re.compile(rb"(<dcterms:(?:created|modified)[^>]*>)[^<]*(<)")


def rewrite(data: bytes, created: datetime) -> bytes:
    """A package with fixed entry times, and ``created`` (aware) as the only date in the workbooks it
    holds."""
    source = zipfile.ZipFile(io.BytesIO(data))
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as out:
        for name in source.namelist():
            content = source.read(name)
            if name.endswith(".xlsx"):
                content = rewrite(content, created)
            elif name == _CORE:
                content = _STAMP.sub(rb"\g<1>" + _iso(created) + rb"\g<2>", content)
            out.writestr(_entry(name), content)
    return target.getvalue()


def _entry(name: str) -> zipfile.ZipInfo:
    entry = zipfile.ZipInfo(name, _FIXED_TIME)
    entry.compress_type = zipfile.ZIP_DEFLATED
    entry.create_system = 3  # or the byte would tell the operating system
    return entry


def _iso(instant: datetime) -> bytes:
    return instant.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ").encode("ascii")
