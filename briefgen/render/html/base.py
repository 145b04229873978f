"""A page that is one file: fonts, style, script and data inside it, no network, user text always escaped.

A template lies in ``pages/`` of the templates' folders and extends ``base.html``. Every value is escaped where it is printed (autoescape is on for
every name, not by file ending); data for scripts goes through ``json_for_script``. What is ``Markup`` here is the program's own.
"""

from __future__ import annotations

import base64
import json
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from briefgen.scene.palette import COLOURS, FONT_FAMILY

HERE = Path(__file__).resolve().parent
FACES = (("AtkinsonHyperlegibleNext-Regular.ttf", 400), ("AtkinsonHyperlegibleNext-Bold.ttf", 700))
IN_SCRIPT = str.maketrans({"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"})


def render_page(template: str, values: Mapping[str, Any], *, folders: Iterable[Path], fonts: Path) -> bytes:
    """The page as UTF-8 bytes with one line end at its end. ``folders``: the templates' folders, a later one's file replacing an earlier one's.

    A value that the template names and that isn't there raises ``jinja2.UndefinedError``: a fault in the program or in the unit's template.
    """
    places = [folder / "pages" for folder in reversed(list(folders))]
    environment = Environment(
        loader=FileSystemLoader(places), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, keep_trailing_newline=True
    )
    own = {"font_faces": font_faces(fonts), "colours": colour_variables(), "font_family": FONT_FAMILY["page"]}
    text = environment.get_template(template).render(**own, **values)
    return (text.replace("\r\n", "\n").rstrip("\n") + "\n").encode("utf-8")


def json_for_script(data: Any) -> Markup:
    """Data for ``<script type="application/json">``: no character that could end the element, no NaN or infinity (ValueError)."""
    return Markup(json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).translate(IN_SCRIPT))


def own_file(name: str) -> Markup:
    """A style or script of this folder, to stand inside its element as it is."""
    return Markup((HERE / name).read_text(encoding="utf-8"))


@cache
def font_faces(fonts: Path) -> Markup:
    """The shipped page font as data inside the style."""
    rules = []
    for name, weight in FACES:
        data = base64.b64encode((fonts / name).read_bytes()).decode("ascii")
        rules.append(
            f'@font-face{{font-family:"{FONT_FAMILY["page"]}";font-weight:{weight};font-display:block;'
            f'src:url(data:font/ttf;base64,{data}) format("truetype")}}'
        )
    return Markup("\n".join(rules))


def colour_variables() -> Markup:
    """The palette as style variables: ``--ink``, ``--pine-wash`` ..."""
    return Markup(":root{" + ";".join(f"--{name.replace('_', '-')}:#{value}" for name, value in COLOURS.items()) + "}")
