"""Jinja2 for slide templates: values become opaque tokens, lines remember where they came from, mistakes
become diagnostics.

Code points U+E000 to U+E003 frame tokens and line marks; they may stand neither in a template nor in a value.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import field
from functools import lru_cache
from typing import Any

from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.core.records import record

_TOKEN = re.compile("\ue000(\\d+)\ue001")
_LINE_MARK = re.compile("\ue002(\\d+)\ue003")
_RESERVED = re.compile("[\ue000-\ue003]")
_OPENS = re.compile(r"\{[%{#]")
_CLOSES = {"{%": "%}", "{{": "}}", "{#": "#}"}
_VALUES_KEY = "\ue000values"


class UnprintableValue(Exception):
    """A template prints something that is not finished text. Caught where templates are rendered; never
    leaves those modules."""


@record
class RenderedText:
    """A template's text with tokens in it. ``lines`` holds, for each line of ``text``, its line in the
    template."""

    text: str
    lines: tuple[int, ...]
    values: tuple[str, ...] = field(repr=False)

    def restore(self, text: str) -> str:
        """The text with its tokens put back."""
        return _TOKEN.sub(lambda match: self.values[int(match[1])], text)

    def source_line(self, line: int) -> int:
        """The template's line, from 1, of a line of the rendered text, from 0."""
        return self.lines[line] if line < len(self.lines) else 1


def render_template(
    file: str, text: str, names: Mapping[str, Any]
) -> tuple[RenderedText | None, list[Diagnostic]]:
    """A template's text with values as tokens, or the one mistake that stopped it."""
    import jinja2

    text = text.replace("\r\n", "\n")
    stray = _RESERVED.search(text)
    if stray:
        line = text.count("\n", 0, stray.start()) + 1
        message = f"the template holds the reserved character U+{ord(stray[0]):04X}"
        return None, [template_error("template-character", file, line, message, "delete it")]
    values: list[str] = []
    try:
        template = _compiled(_mark_lines(text))
        template.environment.begin()
        rendered = template.render({**names, _VALUES_KEY: values})
    except jinja2.TemplateSyntaxError as mistake:
        message, help = mistake.message or "syntax error", syntax_help(mistake)
        return None, [template_error("template-syntax", file, mistake.lineno, message, help)]
    except jinja2.UndefinedError as mistake:
        message, help = (
            mistake.message or "unknown value",
            "correct the name, or ask first with {% if NAME is defined %}",
        )
        return None, [template_error("template-unknown-value", file, _line_of(mistake), message, help)]
    except UnprintableValue as mistake:
        help = "print only values that are text, and ask first with {% if %}"
        return None, [template_error("template-value", file, _line_of(mistake), str(mistake), help)]
    # whatever else a template can provoke is the template's fault: a forbidden attribute, a type mix-up
    except Exception as mistake:
        message = f"the template cannot be carried out: {mistake}"
        return None, [
            template_error("template-failed", file, _line_of(mistake), message, "see the line named")
        ]
    return _unmark(rendered, text, values), []


def compile_ahead(text: str) -> None:
    """What takes longest of a template without mistakes, done before its values are known."""
    _compiled(_mark_lines(text.replace("\r\n", "\n")))


def syntax_problems(file: str, text: str) -> list[Diagnostic]:
    """What keeps a template from being read at all, whatever the mission."""
    import jinja2

    try:
        compile_ahead(text)
    except jinja2.TemplateSyntaxError as mistake:
        return [_syntax_error(file, mistake)]
    except Exception as mistake:  # as in render_template
        return [
            template_error(
                "template-failed",
                file,
                1,
                f"the template cannot be carried out: {mistake}",
                "compare it with the templates that come with the program",
            )
        ]
    return []


def _syntax_error(file: str, mistake: Any) -> Diagnostic:
    return template_error(
        "template-syntax",
        file,
        mistake.lineno,
        mistake.message or "syntax error",
        syntax_help(mistake.message or ""),
    )


def template_error(code: str, file: str, line: int, message: str, remedy: str) -> Diagnostic:
    """A mistake in a template: its slide can't be made."""
    span = Span(file, line, 1, line, 1)
    return Diagnostic(
        code, "error", message, span, why="the slide cannot be made from this template", help=remedy
    )


def syntax_help(mistake: Exception) -> str:
    """How to mend a syntax error, slides and pages alike. What is no syntax error but unknown to the program
    is a filter or a test."""
    import jinja2

    from briefgen.brief.slides.sandbox import FILTERS

    if isinstance(mistake, jinja2.TemplateAssertionError):
        return f"templates cannot compute or replace values; the filters are {', '.join(FILTERS)}"
    return "compare the line with the templates that come with the program"


@lru_cache(maxsize=256)
def _compiled(marked: str):
    """The deck and the review page render the same templates: each is compiled once."""
    return _environment().from_string(marked)


@lru_cache(maxsize=1)
def _environment():
    from briefgen.brief.slides.sandbox import Sandbox

    environment = Sandbox(autoescape=False)
    environment.finalize = _token_for_value()
    return environment


def _token_for_value():
    from jinja2 import Undefined, pass_context

    @pass_context  # also keeps Jinja from finishing constants before a list of values exists
    def finalize(context, value: Any) -> str:
        if isinstance(value, Undefined):
            value._fail_with_undefined_error()
        values: list[str] = context[_VALUES_KEY]
        values.append(printable(value))
        context.environment.spend(len(values[-1]))
        return f"\ue000{len(values) - 1}\ue001"

    return finalize


def printable(value: Any) -> str:
    """Finished text, or a loop's counter, as it is printed; anything else raises UnprintableValue."""
    if isinstance(value, int) and not isinstance(value, bool):
        return str(value)  # a loop's counter
    if not isinstance(value, str):
        raise UnprintableValue(f"{{{{ }}}} would print {_what(value)}, which is not finished text")
    if not value.strip():
        raise UnprintableValue("{{ }} would print an empty text")
    if _RESERVED.search(value):
        raise UnprintableValue(
            "{{ }} would print a reserved character (U+E000 to U+E003); macros and captured blocks can't be"
            " printed"
        )
    return value


def _what(value: Any) -> str:
    names = {
        type(None): "nothing (None)",
        bool: "a condition (True or False)",
        float: "an unrounded number",
        dict: "a whole group of values",
        list: "a whole list",
    }
    return names.get(type(value), f"a {type(value).__name__}")


def _mark_lines(text: str) -> str:
    """The template with a mark before each line end outside braces, telling the line's number."""
    marked, line = [], 1
    for plain, braces in _parts(text):
        for char in plain:
            if char == "\n":
                marked.append(f"\ue002{line}\ue003")
                line += 1
            marked.append(char)
        marked.append(braces)
        line += braces.count("\n")
    return "".join(marked)


def _parts(text: str) -> Iterator[tuple[str, str]]:
    """(plain text, the tag, value or comment in braces that follows it), to the end; braces that are never
    closed are plain text."""
    position = 0
    while (opening := _OPENS.search(text, position)) is not None:
        end = text.find(_CLOSES[opening[0]], opening.end())
        if end < 0:
            break
        yield text[position : opening.start()], text[opening.start() : end + 2]
        position = end + 2
    yield text[position:], ""


def _only_statements(line: str) -> bool:
    """Nothing in the line but tags and comments, at least one."""
    parts = list(_parts(line))
    return len(parts) > 1 and not any(plain.strip() or braces.startswith("{{") for plain, braces in parts)


def _unmark(rendered: str, source: str, values: list[str]) -> RenderedText:
    """Marks taken out; lines that held only statements and rendered to nothing are dropped."""
    source_lines = source.split("\n")
    texts: list[str] = []
    numbers: list[int] = []
    last = 1
    for part in rendered.split("\n"):
        marks = _LINE_MARK.findall(part)
        last = int(marks[-1]) if marks else len(source_lines)
        text = _LINE_MARK.sub("", part)
        if not text.strip() and _only_statements(source_lines[last - 1]):
            continue
        texts.append(text)
        numbers.append(last)
    return RenderedText("\n".join(texts), tuple(numbers), tuple(values))


def _line_of(mistake: BaseException) -> int:
    """The template's line in a traceback that Jinja has rewritten."""
    line, trace = 1, mistake.__traceback__
    while trace is not None:
        if trace.tb_frame.f_code.co_filename == "<template>":
            line = trace.tb_lineno
        trace = trace.tb_next
    return line
