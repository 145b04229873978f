"""Slide templates to pages.

A template is a file ``templates/brief/NN-name.md``; the order of the file names is the order of the brief.
It is Jinja2 first, then a small Markdown::

    {% if event %}
    # Leave the hold at {{ event.leave_hold }} to be overhead at {{ event.time_over_target }}

    [big {{ event.time_over_target }} | True time over the pontoon | set time {{ event.set_time }}]

    - **Hold** left-hand at HOLD, {{ hold.level }}
      - one nested level
    - *second voice*

    [table push]

    ::: left 60
    [figure pass_plan]
    ::: right
    - What matters
    :::

    Notes:
    Plain text for the speaker, to the end of the file.
    {% endif %}

The heading is the slide's title and must be there.  ``[table x]``, ``[figure x]``, ``[chart x]``, ``[big
value | label | detail]``, ``[stop words | label | detail]`` (in red) and ``[verdict number | FAIL]`` (in the
verdict's colour, under its sign) stand on lines of their own; neighbouring large values form a row.  ``:::
left 60`` gives the left column 60 % of the width.  A template that renders to nothing leaves its slide
out.

A template that begins with the line ``::: pass`` is made once for each pass, in flying order and together
with such templates beside it, with the values of that pass; of several each title begins with its name. So is
one that begins with ``::: block`` for each block of training.

**The view** is a mapping with these keys, built from the plan by brief/slides/view/view.py:

- ``values``: what ``{{ }}`` may print, as nested mappings and lists of *text already worded and rounded*.
  True and False serve conditions. ``None`` or an absent optional section is for ``{% if %}``; printing None,
  a number with a fraction, an empty text or an unknown name is an error.
- ``tables``: name to blocks.Table; ``figures``: name to scene.FigureMaker; ``charts``: name to blocks.Chart.
  A name that the mission gives no data for is left out; templates ask with ``{% if "push" in tables %}``.

Values enter as opaque tokens and are put back after the Markdown is parsed, so user text is never markup.
Templates cannot compute, round, shorten or replace what is missing: the filters for that don't exist here.
Every mistake is a diagnostic with the template's file and line.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from itertools import groupby
from pathlib import Path
from typing import Any

from briefgen.brief.content.blocks import Block, Chart, Columns, Figure, Page, Table
from briefgen.brief.slides.markdown import Directive, join_big, parse
from briefgen.brief.slides.render_text import RenderedText, render_template, template_error
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.draw.scene.model import FigureMaker
from briefgen.mission.schema.base import did_you_mean

LISTED = "- "  # how a line of the notes begins that is one of a list
NOTES_LINE = "Notes:"
_LEFT_SHARES = range(20, 81)


@record
class Template:
    """One slide template: the file's name (NN-name.md) and its text."""

    file: str
    text: str

    @property
    def name(self) -> str:
        """The slide's name: the file's, without number and ending."""
        stem = self.file.removesuffix(".md")
        return stem.split("-", 1)[1] if "-" in stem else stem

    @property
    def each(self) -> str:
        """What it is made once for each of, ``pass`` or ``block``; empty: it is made once."""
        words = self.text.partition("\n")[0].split()
        return words[1] if words in ([":::", "pass"], [":::", "block"]) else ""

    @property
    def body(self) -> str:
        """What is rendered: the text, every line at its place."""
        _, end, rest = self.text.partition("\n")
        return end + rest if self.each else self.text


@record
class View:
    """What templates may use; see the module's text. ``passes``: of several passes each with its name and
    what its own templates may use; ``blocks``: of several blocks of training."""

    values: Mapping[str, Any] = field(default_factory=dict)
    tables: Mapping[str, Table] = field(default_factory=dict)
    figures: Mapping[str, FigureMaker] = field(default_factory=dict)
    charts: Mapping[str, Chart] = field(default_factory=dict)
    passes: tuple[tuple[str, View], ...] = ()
    blocks: tuple[tuple[str, View], ...] = ()


def read_templates(folders: list[Path]) -> list[Template]:
    """The templates of some folders in the order of their file names. A later folder's file replaces an
    earlier one's slide of the same name, whatever its number, and stands where that one stood: so a unit's
    words outlive a new order of the shipped slides."""
    found: dict[str, tuple[str, Template]] = {}  # by name: the file whose place it takes, and itself
    for folder in folders:
        for path in sorted(folder.glob("*.md")):
            if path.is_file():
                template = Template(path.name, path.read_text(encoding="utf-8"))
                place, _ = found.get(template.name, (path.name, None))
                found[template.name] = (place, template)
    return [template for _, template in sorted(found.values(), key=lambda each: each[0])]


def build_pages(templates: list[Template], view: View) -> tuple[list[Page], list[Diagnostic]]:
    """The pages of a brief in order, and every mistake in the templates. A template with mistakes gives no
    page."""
    pages: list[Page] = []
    diagnostics: list[Diagnostic] = []
    views = {"pass": view.passes, "block": view.blocks}
    for each, run in groupby(templates, key=lambda template: template.each):
        together = tuple(run)
        for name, own in views.get(each) or (("", view),):
            made, found = _pages_of(together, own, name)
            pages.extend(made)
            diagnostics.extend(problem for problem in found if problem not in diagnostics)
    return pages, diagnostics


def _pages_of(templates: Sequence[Template], view: View, of: str) -> tuple[list[Page], list[Diagnostic]]:
    pages: list[Page] = []
    diagnostics: list[Diagnostic] = []
    for template in templates:
        page, found = build_page(template, view)
        diagnostics.extend(found)
        if page is not None and not found:
            named = replace(page, name=f"{page.name} {of}", title=f"{of}: {page.title}")
            pages.append(named if of else page)
    return pages, diagnostics


def build_page(template: Template, view: View) -> tuple[Page | None, list[Diagnostic]]:
    """One template's page, None when it renders to nothing or has mistakes."""
    rendered, diagnostics = render_template(template.file, template.body, _names(view))
    if rendered is None or not rendered.text.strip():
        return None, diagnostics
    return _PageBuilder(template, view, rendered).build()


def _names(view: View) -> dict[str, Any]:
    parts = {"tables": tuple(view.tables), "figures": tuple(view.figures), "charts": tuple(view.charts)}
    return {**view.values, **parts}


class _PageBuilder:
    """Turns one rendered template into a page, collecting complaints with the template's own lines."""

    def __init__(self, template: Template, view: View, rendered: RenderedText) -> None:
        self.template, self.view, self.rendered = template, view, rendered
        self.diagnostics: list[Diagnostic] = []

    def build(self) -> tuple[Page | None, list[Diagnostic]]:
        lines = self.rendered.text.split("\n")
        stripped = [line.strip() for line in lines]
        end = stripped.index(NOTES_LINE) if NOTES_LINE in stripped else len(lines)
        title, blocks = self._body(lines[:end])
        if not title:
            self._complain(
                0,
                "the slide has no title",
                "begin the template with a line such as: # Leave the hold at {{ event.leave_hold }}",
                "no-title",
            )
        notes = self.rendered.restore(_notes(lines[end + 1 :]))
        if self.diagnostics:
            return None, self.diagnostics
        return Page(self.template.name, title, tuple(blocks), notes, self.template.file), []

    def _body(self, lines: list[str]) -> tuple[str, list[Block]]:
        fences = [i for i, line in enumerate(lines) if line.lstrip().startswith(":::")]
        if not fences:
            return self._blocks(lines, 0)
        columns = self._columns(lines, fences)
        title, before = self._blocks(lines[: fences[0]], 0)
        if columns is None:
            return title, before
        _, after = self._blocks(lines[fences[2] + 1 :], fences[2] + 1)
        return title, [*before, columns, *after]

    def _columns(self, lines: list[str], fences: list[int]) -> Columns | None:
        words = [lines[i].split() for i in fences]
        share = words[0][2] if len(words[0]) == 3 else "50"
        shaped = [w[:2] for w in words] == [[":::", "left"], [":::", "right"], [":::"]]
        if not shaped or not share.isdecimal() or int(share) not in _LEFT_SHARES:
            self._complain(
                fences[0],
                "the columns are not closed or not of the known form",
                "write ::: left 60, then ::: right, then ::: on lines of their own, once a slide; the share"
                " is 20 to 80",
                "columns",
            )
            return None
        _, left = self._blocks(lines[fences[0] + 1 : fences[1]], fences[0] + 1)
        _, right = self._blocks(lines[fences[1] + 1 : fences[2]], fences[1] + 1)
        return Columns(tuple(left), tuple(right), int(share) / 100)

    def _blocks(self, lines: list[str], first: int) -> tuple[str, list[Block]]:
        def complain(line: int, what: str, remedy: str) -> None:
            self._complain(first + line, what, remedy)

        title, pieces = parse("\n".join(lines), self.rendered.restore, complain)
        blocks = [self._look_up(piece, first) if isinstance(piece, Directive) else piece for piece in pieces]
        return title, join_big([block for block in blocks if block is not None])

    def _look_up(self, directive: Directive, first: int) -> Block | None:
        stores: dict[str, tuple[Mapping[str, Any], Callable[[str, Any], Block]]] = {
            "table": (self.view.tables, lambda name, table: table),
            "figure": (self.view.figures, Figure),
            "chart": (self.view.charts, lambda name, chart: chart),
        }
        store, make = stores[directive.kind]
        if directive.name in store:
            return make(directive.name, store[directive.name])
        kind = directive.kind
        self._complain(
            first + directive.line,
            f"there is no {kind} named {directive.name!r} in this brief",
            f'ask first with {{% if "{directive.name}" in {kind}s %}} where the mission may not give its data'
            + did_you_mean(directive.name, tuple(store)),
            f"unknown-{kind}",
        )
        return None

    def _complain(self, line: int, what: str, remedy: str, code: str = "markdown") -> None:
        self.diagnostics.append(
            template_error(
                f"template-{code}", self.template.file, self.rendered.source_line(line), what, remedy
            )
        )


def _notes(lines: list[str]) -> str:
    """Notes as paragraphs: lines run on, an empty line or a line beginning with "- " starts afresh."""
    paragraphs: list[str] = []
    fresh = True
    for line in (line.strip() for line in lines):
        if not line:
            fresh = True
            continue
        if fresh or line.startswith(LISTED):
            paragraphs.append(line)
        else:
            paragraphs[-1] += " " + line
        fresh = False
    return "\n".join(paragraphs)
