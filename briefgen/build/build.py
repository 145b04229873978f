"""Check a mission; build its products. Each returns what it made and every diagnostic; printing is the
command line's.

Nothing here knows a mission, a plan or a product from inside: the stages are called in order, and products
are rows of one list.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from briefgen import __version__
from briefgen.build.glyphs import check_signs
from briefgen.build.own_templates import check_templates, placed, tried_with, untried
from briefgen.build.products import PRODUCTS, Product, get_ready
from briefgen.build.staging import mission_place, write_products
from briefgen.core import resources
from briefgen.core.context import FAILED, Context, Stamp
from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.core.fingerprint import Fingerprint, TemplateMarks, fingerprint, read_folder, template_marks
from briefgen.core.paper import A5, Paper
from briefgen.core.plain import to_plain
from briefgen.core.records import record

if TYPE_CHECKING:
    from briefgen.approval.states import ApprovalState
    from briefgen.brief.brief import Brief
    from briefgen.build.worker import SecondWorker
    from briefgen.mission.resolve.mission import Mission
    from briefgen.plan.sortie import Plan
    from briefgen.whatif.answers import WhatIf

# the kinds of product made in this process, the second worker makes all others: about half each
HERE = ("pdf",)
EXIT_FILE_WRONG, EXIT_PRODUCT_FAILED, EXIT_GATE_FAILS, EXIT_FINE = 2, 3, 1, 0


@record
class Planned:
    """The plan of a mission file, the short name of both, and with which templates it is told."""

    path: Path
    plan: Plan
    fingerprint: Fingerprint
    templates: TemplateMarks

    @property
    def mission(self) -> Mission:
        """The mission of the plan."""
        return self.plan.mission


@record
class Checked:
    """A mission file, read, planned and judged. ``mission`` and ``planned`` are None when it could not be
    read or planned. ``texts``: file name → text, for excerpts. ``book``: it is a unit's book, checked by
    itself."""

    path: Path
    mission: Mission | None
    planned: Planned | None
    diagnostics: tuple[Diagnostic, ...]
    texts: Mapping[str, str]
    book: bool = False

    @property
    def sound(self) -> Planned | None:
        """What may be worked on: the plan of a file without an error, else None."""
        return None if has_errors(self.diagnostics) else self.planned

    @property
    def exit_code(self) -> int:
        """2 when the file is wrong, 1 when a gate fails, else 0."""
        planned = self.sound
        if planned is None:
            return EXIT_FINE if self.book and not has_errors(self.diagnostics) else EXIT_FILE_WRONG
        return EXIT_GATE_FAILS if any(gate.verdict == "FAIL" for gate in planned.plan.gates) else EXIT_FINE


@record
class Outcome:
    """What became of one product: its files, or the reason why it failed."""

    name: str
    files: tuple[tuple[str, bytes], ...] = ()
    failure: str = ""
    diagnostics: tuple[Diagnostic, ...] = ()


@record
class Built:
    """``written`` is False when the folder could not be written; it is then as it was."""

    checked: Checked
    folder: Path
    outcomes: tuple[Outcome, ...] = ()
    diagnostics: tuple[Diagnostic, ...] = ()
    written: bool = False
    approval: ApprovalState | None = None

    @property
    def exit_code(self) -> int:
        """The highest reason: 2 file wrong, 3 a product failed, 1 a gate fails."""
        if self.checked.exit_code == EXIT_FILE_WRONG:
            return EXIT_FILE_WRONG
        if not self.written or any(outcome.failure for outcome in self.outcomes):
            return EXIT_PRODUCT_FAILED
        return self.checked.exit_code


def check(path: Path, *, templates: Path | None = None, books: bool = False) -> Checked:
    """Read and plan the mission of a file. Every diagnostic has its place. ``books``: a unit's book is
    checked by itself; else it is an error."""
    from briefgen.mission.check.mixed_units import CODE as MIXED_UNITS
    from briefgen.mission.files import is_book
    from briefgen.mission.load import diagnostics_from, mission_from, read_mission
    from briefgen.plan.build import make_plan

    source, problems = read_mission(path)
    book = books and source is not None and is_book(source)
    if book:
        mission, diagnostics = None, diagnostics_from(source, problems, path.parent)
    else:
        mission, diagnostics = mission_from(source, problems, path.parent)
    wrong = check_templates(templates)
    # of a file that is no mission yet, the signs are told as well
    readable = mission.source if mission is not None else source
    signs = check_signs(readable) if readable is not None else []
    diagnostics, templates = [*diagnostics, *signs, *wrong], None if has_errors(wrong) else templates
    if mission is None:
        return Checked(path, None, None, tuple(diagnostics), _texts(diagnostics), book)
    plan, found = make_plan(mission)
    # a figure whose unit is doubted is not told again for its size
    units = {problem.cause: problem for problem in diagnostics if problem.code == MIXED_UNITS}
    found = [problem for problem in found if problem.severity == "error" or problem.cause not in units]
    wrong_units = [units[problem.cause] for problem in found if problem.cause in units]
    diagnostics = [problem for problem in diagnostics if problem not in wrong_units]
    found = [_in_another_unit(problem, units.get(problem.cause)) for problem in found]
    diagnostics = [*diagnostics, *(mission.source.spans.locate(diagnostic) for diagnostic in found)]
    doubts = tuple(problem for problem in diagnostics if problem.severity == "caution")
    plan = None if plan is None else replace(plan, doubts=doubts)
    planned = None if plan is None else _planned(path, plan, _template_folders(templates))
    return Checked(path, mission, planned, tuple(diagnostics), mission.source.texts)


def with_templates_tried(checked: Checked, templates: Path | None) -> Checked:
    """With what the unit's own slides, pages and cards get wrong once the values of this mission stand in
    them; and which templates were not tried with any."""
    from briefgen.brief.brief import Brief

    planned = checked.sound
    if templates is None or planned is None:
        return checked
    context = context_of(planned, templates=templates)
    brief = Brief(planned.plan, context.stamp)
    outcomes = [
        _make(product, brief, replace(context, part=part))
        for product, part in _parts(planned.plan)
        if product.name in tried_with(templates)
    ]
    found = [placed(templates, said) for outcome in outcomes for said in outcome.diagnostics]
    wrong = [problem for problem in dict.fromkeys(found) if problem.severity == "error"]
    return replace(checked, diagnostics=(*checked.diagnostics, *wrong, *untried(templates)))


def _in_another_unit(found: Diagnostic, unit: Diagnostic | None) -> Diagnostic:
    """An error of a figure's size with what was doubted of its unit, which may be its cause."""
    if unit is None:
        return found
    message, help = f"{found.message} ({unit.message})", f"{unit.help}; else {found.help}"
    return replace(found, message=message, help=help, related=unit.related)


def _planned(path: Path, plan: Plan, templates: tuple[Path, ...]) -> Planned:
    """With the times that its approval covers, so that every product and command ends there."""
    read = [read_folder(folder) for folder in templates]
    marks = template_marks(read[0], read[1] if len(read) > 1 else {})
    planned = Planned(path, plan, _fingerprint(plan.mission, plan, read), marks)
    return replace(planned, plan=replace(plan, approved=approval_of(planned)[0].times))


def build(
    path: Path,
    *,
    out: Path | None = None,
    templates: Path | None = None,
    replace_others: bool = False,
    knee: Paper = A5,
) -> Built:
    """Check the mission and write its products to ``out``, by default ``out/<name of the file>``; in the
    place of another mission's products only where that is said. ``knee``: the paper of the kneeboard
    cards."""
    from briefgen.build.worker import SecondWorker

    _load_planner()
    with SecondWorker(get_ready) as worker:
        checked = check(path, templates=templates)
        folder = out or Path("out") / path.stem
        planned = checked.sound
        if planned is None:
            return Built(checked, folder)
        state, found = approval_of(planned)
        context = replace(_context(planned, _template_folders(templates), state), knee=knee)
        outcomes = _make_all(planned.plan, context, worker)
    head = {
        "mission_file": path.name,
        **mission_place(path, folder),
        **_manifest_head(context.stamp, outcomes, state),
        "templates": to_plain(planned.templates),
    }
    problems = write_products(folder, _files(outcomes, context.stamp), head=head, replace=replace_others)
    return Built(checked, folder, tuple(outcomes), (*found, *problems), not has_errors(problems), state)


def _load_planner() -> None:
    """What both workers need, loaded before there are two."""
    import briefgen.mission.load
    import briefgen.plan.build  # noqa: F401


def _make_all(plan: Plan, context: Context, worker: SecondWorker) -> list[Outcome]:
    """Every product, in the order of the list; HERE says which of them are made in this process."""
    from briefgen.brief.brief import Brief

    brief = Brief(plan, context.stamp)
    worker.give((brief, context))
    here_brief = replace(brief, elsewhere=worker.begin(_what_ifs))
    kinds = [product.kind for product, _ in _parts(plan)]
    here = [number for number, kind in enumerate(kinds) if kind in HERE]
    there = [number for number in range(len(kinds)) if number not in here]
    outcomes = worker.share(_make_part, (here_brief, context), here, there)
    return [outcomes[number] for number in range(len(kinds))]


def _what_ifs(given: tuple[Brief, Context]) -> WhatIf:
    return given[0].what_if


def _make_part(given: tuple[Brief, Context], number: int) -> Outcome:
    brief, context = given
    product, part = list(_parts(brief.plan))[number]
    return _make(product, brief, replace(context, part=part))


def _parts(plan: Plan) -> Iterator[tuple[Product, str]]:
    for product in PRODUCTS:
        for part in product.parts(plan):
            yield product, part


def _make(product: Product, brief: Brief, context: Context) -> Outcome:
    """One product, whatever happens inside it: the others must still be made."""
    name = f"{product.name}-{context.part}" if context.part else product.name
    try:
        files, diagnostics = product.make(brief, context)
    except (KeyboardInterrupt, SystemExit, GeneratorExit):
        raise
    except BaseException as error:  # the card compiler's panics are no Exception
        if os.environ.get("BRIEFGEN_DEBUG"):
            raise
        return Outcome(name, failure=f"a fault in the program: {type(error).__name__}: {error}")
    errors = [f"{d.span}: {d.message}" if d.span else d.message for d in diagnostics if d.severity == "error"]
    if errors or not files:
        return Outcome(
            name, failure="\n".join(errors) or "nothing came out of it", diagnostics=tuple(diagnostics)
        )
    return Outcome(name, tuple(files), diagnostics=tuple(diagnostics))


def _files(outcomes: list[Outcome], stamp: Stamp) -> dict[str, bytes]:
    files: dict[str, bytes] = {}
    for outcome in outcomes:
        files.update(outcome.files)
        if outcome.failure:
            files[f"{FAILED}{outcome.name}.txt"] = _note(outcome, stamp).encode("utf-8")
    return files


def _note(outcome: Outcome, stamp: Stamp) -> str:
    head = f"{outcome.name} of {stamp.mission} was not made (cards read {stamp.spoken})."
    return (
        f"{head}\n\n{outcome.failure}\n\nDo not use an older one in its place: it belongs to another plan.\n"
    )


def _manifest_head(stamp: Stamp, outcomes: list[Outcome], state: ApprovalState) -> dict[str, Any]:
    return {
        "mission": stamp.mission,
        "fingerprint": stamp.fingerprint,
        "spoken": stamp.spoken,
        "briefgen": stamp.briefgen_version,
        "tz_database": stamp.tz_database,
        "approval": stamp.approval,
        "approved_at": state.at.isoformat() if state.stands and state.at is not None else None,
        "failed": [outcome.name for outcome in outcomes if outcome.failure],
    }


def approval_of(planned: Planned) -> tuple[ApprovalState, list[Diagnostic]]:
    """What the record beside the mission says about its plan. A record that can't be used is a caution, and
    the plan is not approved."""
    from briefgen.approval.record import record_for
    from briefgen.approval.states import approval_state

    record, found = record_for(planned.path)
    return approval_state(planned.plan, planned.fingerprint.full, record, planned.templates), found


def context_of(planned: Planned, *, templates: Path | None = None) -> Context:
    """The context of a planned mission, with the approval as it stands: for what is made beside the
    products."""
    return _context(planned, _template_folders(templates), approval_of(planned)[0])


def _context(planned: Planned, folders: tuple[Path, ...], state: ApprovalState) -> Context:
    sortie, mark = planned.mission.file.sortie, planned.fingerprint
    stamp = Stamp(
        sortie.marking or "",
        sortie.name,
        mark.full,
        mark.spoken,
        __version__,
        _tz_version(),
        state.stamp,
        decision=state.lines(),
        reasons=state.reasons,
        approved=state.stands,
        failing=sum(gate.verdict == "FAIL" for gate in planned.plan.gates),
    )
    return Context(stamp, folders, resources.fonts_folder())


def _template_folders(own: Path | None) -> tuple[Path, ...]:
    return (resources.templates_folder(), *([own] if own else []))


def _fingerprint(mission: Mission, plan: Plan, templates: Sequence[Mapping[str, bytes]]) -> Fingerprint:
    """``templates``: the files of each folder, a later one in the place of an earlier one's of its name."""
    files = {f"templates/{name}": data for folder in templates for name, data in folder.items()}
    versions = {"briefgen": __version__, "tz database": _tz_version()}
    return fingerprint(text_tree=mission.source.canonical(), plan=plan, files=files, versions=versions)


def _tz_version() -> str:
    from briefgen.airmath.clocks import tz_version

    return tz_version()


def _texts(diagnostics: list[Diagnostic]) -> dict[str, str]:
    """The files that diagnostics point into, read again for their excerpts when no mission came out of
    them."""
    names = {
        span.file for d in diagnostics for span in (d.span, *(r.span for r in d.related)) if span is not None
    }
    return {name: _read_text(Path(name)) for name in sorted(names)}


def _read_text(path: Path) -> str:
    return _read_bytes(path).decode("utf-8", "replace").removeprefix("\ufeff")


def _read_bytes(path: Path) -> bytes:
    from briefgen.mission.read.characters import read_file

    try:
        return read_file(path)
    except OSError:
        return b""
