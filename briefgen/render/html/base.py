"""A page that is one file: fonts, style, script and data inside it, no network, user text always escaped.

A template lies in ``pages/`` of the templates' folders and extends ``base.html``. Every value is escaped
where it is printed (autoescape is on for every name, not by file ending); data for scripts goes through
``json_for_script``. What is ``Markup`` here is the program's own. A mistake in a template is a diagnostic
with the template's file and line. Templates can neither compute nor stand in for what is missing: they have
the filters of slide templates only, and printing None, an undefined name, an empty text or anything that is
no finished text is a mistake.
"""

from __future__ import annotations

import base64
import json
import re
from collections.abc import Iterable, Mapping
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from jinja2 import (
    FileSystemLoader,
    TemplateNotFound,
    TemplateSyntaxError,
    Undefined,
    UndefinedError,
    pass_context,
)
from jinja2.runtime import Context
from markupsafe import Markup

from briefgen.brief.slides.render_text import UnprintableValue, printable, syntax_help
from briefgen.brief.slides.sandbox import Sandbox
from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.draw.scene.palette import COLOURS, FONT_FAMILY

HERE = Path(__file__).resolve().parent
FOLDER = "pages"
FACES = (("AtkinsonHyperlegibleNext-Regular.ttf", 400), ("AtkinsonHyperlegibleNext-Bold.ttf", 700))
IN_SCRIPT = str.maketrans(
    {"<": "\\u003c", ">": "\\u003e", "&": "\\u0026", "\u2028": "\\u2028", "\u2029": "\\u2029"}
)
Place = tuple[str, int]  # a template's name and a line of it


def render_page(
    template: str, values: Mapping[str, Any], *, folders: Iterable[Path], fonts: Path
) -> tuple[bytes | None, list[Diagnostic]]:
    """The page as UTF-8 bytes with one line end at its end, or None and the template's mistake.

    ``folders``: the templates' folders, a later one's file replacing an earlier one's. Beside ``values`` a
    template has ``font_faces``, ``colours`` and ``font_family``.
    """
    places = tuple(folder / FOLDER for folder in reversed(list(folders)))
    environment = _environment(places)
    environment.begin()
    own = {
        "font_faces": font_faces(fonts),
        "colours": colour_variables(),
        "font_family": FONT_FAMILY["page"],
        "kept": kept_style(),
    }
    try:
        text = environment.get_template(template).render(**own, **values)
    # whatever a template can provoke is the template's fault; the values are finished before it begins
    except Exception as mistake:
        return None, [_diagnostic(mistake, template, places)]
    return (text.replace("\r\n", "\n").rstrip("\n") + "\n").encode("utf-8"), []


def json_for_script(data: Any) -> Markup:
    """Data for ``<script type="application/json">``: no character that could end the element, no NaN or
    infinity (ValueError)."""
    return Markup(
        json.dumps(data, ensure_ascii=False, allow_nan=False, separators=(",", ":")).translate(IN_SCRIPT)
    )


def css_string(text: str) -> Markup:
    """Any text as a quoted string inside a style: all but plain letters and digits as escapes, so that
    nothing can end it."""
    return Markup('"' + "".join(c if c.isascii() and c.isalnum() else f"\\{ord(c):x} " for c in text) + '"')


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
    return Markup(
        ":root{" + ";".join(f"--{name.replace('_', '-')}:#{value}" for name, value in COLOURS.items()) + "}"
    )


@cache
def kept_style() -> Markup:
    """What no style of a unit can hide on the review page: state, caution, doubts and open items. A first,
    nameless layer, whose important rules win over every later one, with colours that no variable changes."""
    style = own_file("kept.css")
    return Markup(
        re.sub(r"var\(--(\w[\w-]*)\)", lambda name: f"#{COLOURS[name[1].replace('-', '_')]}", style)
    )


def load_ahead(folder: Path) -> None:
    """What takes longest of the page templates of one folder, when it will be the only one, done before their
    values are known."""
    environment = _environment((folder / FOLDER,))
    for name in environment.list_templates(extensions=["html"]):
        environment.get_template(name)


def syntax_problems(folder: Path) -> list[Diagnostic]:
    """What keeps the page templates of one folder from being read at all, whatever the mission."""
    environment, found = _environment((folder / FOLDER,)), []
    for name in environment.list_templates(extensions=["html"]):
        try:
            environment.get_template(name)
        except Exception as mistake:  # as in render_page
            found.append(_diagnostic(mistake, name, (folder / FOLDER,)))
    return found


@lru_cache(maxsize=4)
def _environment(places: tuple[Path, ...]) -> Sandbox:
    return Sandbox(loader=FileSystemLoader(places), autoescape=True, finalize=_finished)


@pass_context  # also keeps Jinja from printing a template's own constants unasked
def _finished(context: Context, value: Any) -> Any:
    """What ``{{ }}`` prints: the program's own markup (with a macro's output) as it is, else finished
    text."""
    if isinstance(value, Undefined):
        value._fail_with_undefined_error()
    text = value if isinstance(value, Markup) else printable(value)
    context.environment.spend(len(text))
    return text


def _diagnostic(mistake: Exception, template: str, places: tuple[Path, ...]) -> Diagnostic:
    name, line = _place(mistake, places) or (template, 1)
    code, message, remedy = _words(mistake, name)
    span = Span(f"{FOLDER}/{name}", line, 1, line, 1)
    return Diagnostic(
        code, "error", message, span, why="the page cannot be made from this template", help=remedy
    )


def _words(mistake: Exception, name: str) -> tuple[str, str, str]:
    """The code, what is wrong, how to mend it."""
    match mistake:
        case TemplateNotFound():
            return (
                "template-missing",
                f"there is no page template {mistake.name}",
                "correct the name after extends, include or import",
            )
        case TemplateSyntaxError():
            return "template-syntax", mistake.message or "syntax error", syntax_help(mistake)
        case UndefinedError():
            return (
                "template-unknown-value",
                mistake.message or "unknown value",
                "correct the name, or ask first with {% if NAME is defined %}",
            )
        case UnprintableValue():
            return (
                "template-value",
                str(mistake),
                "print only values that are text, and ask first with {% if %}",
            )
        case UnicodeDecodeError():
            return "template-encoding", f"{name} is not UTF-8 text", "save it as UTF-8"
    return "template-failed", f"the template cannot be carried out: {mistake}", "see the line named"


def _place(mistake: Exception, places: tuple[Path, ...]) -> Place | None:
    """Where a mistake lies: as a syntax error says, else the innermost template line of the traceback that
    Jinja has rewritten."""
    if isinstance(mistake, TemplateSyntaxError) and mistake.name:
        return mistake.name, mistake.lineno
    found, trace = None, mistake.__traceback__
    while trace is not None:
        path = Path(trace.tb_frame.f_code.co_filename)
        folder = next((place for place in places if path.is_relative_to(place)), None)
        found = found if folder is None else (path.relative_to(folder).as_posix(), trace.tb_lineno)
        trace = trace.tb_next
    return found
