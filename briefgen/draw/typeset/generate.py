"""Writes metrics.json from the shipped fonts: ``python -m briefgen.draw.typeset.generate``."""

from __future__ import annotations

import json
from collections import defaultdict
from pathlib import Path

from briefgen.core.resources import fonts_folder
from briefgen.draw.typeset.measure import METRICS_FILE

FONT_FILES = {
    "Arial": "LiberationSans-Regular.ttf",
    "Arial Bold": "LiberationSans-Bold.ttf",
    "Atkinson Hyperlegible Next": "AtkinsonHyperlegibleNext-Regular.ttf",
    "Atkinson Hyperlegible Next Bold": "AtkinsonHyperlegibleNext-Bold.ttf",
}
FONT_FOLDER = fonts_folder()


def font_metrics(path: Path) -> dict[str, object]:
    """The units per em of a font file and, for each advance width, the characters that have it."""
    from fontTools.ttLib import TTFont

    with TTFont(path, lazy=True) as font:
        widths = font["hmtx"].metrics
        by_width: dict[int, list[int]] = defaultdict(list)
        for codepoint, glyph in sorted(font.getBestCmap().items()):
            by_width[widths[glyph][0]].append(codepoint)
        advances = {str(width): "".join(map(chr, points)) for width, points in sorted(by_width.items())}
        return {"units_per_em": font["head"].unitsPerEm, "advances": advances}


def metrics_text() -> str:
    """The whole metrics file as text."""
    fonts = {name: font_metrics(FONT_FOLDER / file) for name, file in FONT_FILES.items()}
    return json.dumps(fonts, indent=1, sort_keys=True) + "\n"


if __name__ == "__main__":
    METRICS_FILE.write_text(metrics_text(), encoding="ascii")
