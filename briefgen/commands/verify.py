"""``briefgen verify``: does a product belong to the approved plan?"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import click

from briefgen.commands import options
from briefgen.commands.clock import now
from briefgen.core import records

if TYPE_CHECKING:
    from briefgen.approval.record import Record
    from briefgen.approval.verify import Finding, Judge, NoToday, Resolve, Today
    from briefgen.commands.verify_record import Chosen

EXIT_NOT, EXIT_UNREADABLE, EXIT_HALF_CHECKED, EXIT_CHANGED, EXIT_TOO_OLD = 1, 2, 4, 5, 6


@click.command(
    "verify",
    short_help="Tell whether a product belongs to the approved plan, and whether the approval still holds.",
)
@click.argument("product", metavar="FILE-OR-FOLDER", type=click.Path(path_type=Path))
@click.option(
    "--record",
    type=click.Path(path_type=Path),
    help=(
        "The approval record. [default: that beside the mission; else looked for beside the product, above"
        " it, and here]"
    ),
)
@options.templates(", if the products were built with them.")
@options.json
def command(product: Path, record: Path | None, templates: Path | None, as_json: bool) -> int:
    """Read the plan's fingerprint from a deck, card, page or plan.json, or from every product of a folder,
    and judge it by the record; its content is held against the manifest that its build wrote beside it.

    A folder may hold the folders of several missions, or products that lie loose in it or below it: each is
    judged by the record of its own plan.

    Exit code 0: belongs, and the approval holds now. 1: doesn't belong, is superseded by the mission as it
    stands now, has lapsed, is missing or can't be told. 2: can't be read, or there is no record. 4: carries
    the approved number, but no manifest lies beside it, so that its content is not checked; or its mission is
    not there, so that nobody can tell what was changed or withdrawn since. 5: is of the approved plan, but
    the mission was changed since beyond the approved bounds: approve it again. 6: belongs, but was made
    before the approval, so that its pages don't say APPROVED: build again. The record is no cryptographic
    signature: this finds mistakes, not forgeries.
    """
    from briefgen.approval.verify import GOOD
    from briefgen.commands.report import print_json
    from briefgen.console import complain, say

    if not os.path.exists(product):  # not Path.exists, which raises for a name that is too long
        return _stop(f"there is no {product}", as_json)
    parts, problem = _parts(product)
    judges: dict[Path, Judge] = {}
    judged = [_judged(part, record, templates, judges) for part in parts]
    if problem or (len(parts) == 1 and judged[0].problem):
        return _stop(problem or judged[0].problem, as_json)
    findings = [finding for one in judged for finding in one.told(product)]
    code, chosen = _code(findings), [one.chosen for one in judged if one.chosen is not None]
    used = list({str(one.path): (one, one.record) for one in chosen if one.record is not None}.values())
    if as_json:
        records = [
            {"record": str(one.path), "fingerprint": record.fingerprint, "is_copy": one.is_copy}
            for one, record in used
        ]
        print_json(
            {
                "exit_code": code,
                **(records or [{}])[0],
                "records": records,
                "findings": [vars(finding) for finding in findings],
            }
        )
        return code
    tell = say if all(finding.verdict in GOOD for finding in findings) else complain
    for line in _lines(findings, used):
        tell(line)
    return code


def _lines(findings: list[Finding], used: list[tuple[Chosen, Record]]) -> Iterator[str]:
    """How many of each verdict; by which records; then each verdict's words once, with its files, what is
    wrong first."""
    from briefgen.approval.verify import GOOD
    from briefgen.brief.wording.format import counted, dated_z

    grouped: dict[Finding, list[str]] = {}
    for finding in sorted(findings, key=lambda finding: finding.verdict in GOOD):
        grouped.setdefault(replace(finding, file=""), []).append(finding.file)
    tally = Counter(one.verdict for one, files in grouped.items() for _ in files)
    yield (
        f"{counted(len(findings), 'file')}:"
        f" {', '.join(f'{number} {verdict}' for verdict, number in tally.items())}"
    )
    for chosen, record in used:
        yield f"Judged by {chosen.path}: {record.who}, {dated_z(record.at)}"
        if chosen.is_copy:
            yield (
                f"  It does not lie beside {record.mission_file}: if the approval was withdrawn since,"
                " only the record there says so"
            )
    for one, files in grouped.items():
        yield f"{one.verdict}  {', '.join(files)}: {one.words}"
        yield from (f"  {change}" for change in one.changes)


def _parts(product: Path) -> tuple[list[Path], str]:
    """What is judged one by one: a file, or the folders that a build made and the loose products in a folder
    and below it; and the problem when there is nothing."""
    from briefgen.approval.marks import KINDS

    if not product.is_dir():
        return [product], ""
    found = list(_below(product))
    nothing = (
        f"{product} holds no products of this program: neither folders that it built nor files of the kinds"
        f" {', '.join(KINDS)}"
    )
    return found, "" if found else nothing


def _below(folder: Path) -> Iterator[Path]:
    """A folder that a build made, else the loose products in it; then the same of each folder in it, but for
    hidden ones and links."""
    from briefgen.approval.marks import KINDS
    from briefgen.approval.verify import is_own
    from briefgen.build.staging import read_manifest

    entries = sorted(folder.iterdir())
    inside = [e for e in entries if e.is_dir() and not e.is_symlink() and not e.name.startswith(".")]
    built = read_manifest(folder) is not None
    if built:
        yield folder
    for entry in inside:
        yield from _below(entry)
    if not built:
        yield from (e for e in entries if e.is_file() and e.suffix.lower() in KINDS and not is_own(e.name))


@records.record
class Judged:
    """A product or a folder of products, judged by a record; ``problem``: why there is no record to judge it
    by."""

    part: Path
    findings: tuple[Finding, ...] = ()
    problem: str = ""
    chosen: Chosen | None = None

    def told(self, product: Path) -> list[Finding]:
        """Its findings; below the ``product`` that was asked for, the names say in which folder files lie."""
        from briefgen.approval.verify import Finding

        if self.problem:
            name = self.part.name if self.part == product else str(self.part.relative_to(product))
            return [Finding(name, "NOT CHECKED", self.problem)]
        if self.part == product:
            return list(self.findings)
        folder = (self.part if self.part.is_dir() else self.part.parent).relative_to(product)
        return [replace(finding, file=str(folder / finding.file)) for finding in self.findings]


def _judged(part: Path, given: Path | None, templates: Path | None, judges: dict[Path, Judge]) -> Judged:
    """``judges``: those of the records that are read by now, each with its mission as it stands now."""
    from briefgen.approval.record import older_records
    from briefgen.approval.verify import Judge, Manifest, judge_folder
    from briefgen.build.staging import read_manifest
    from briefgen.commands.verify_record import choose

    chosen = choose(part, given, Path.cwd())
    if chosen.record is None:
        return Judged(part, problem=chosen.problem)
    if chosen.path not in judges:
        today = _today(chosen.path, chosen.record, templates)
        judges[chosen.path] = Judge(chosen.record, now(), today, older_records(chosen.path))
    judge = judges[chosen.path]
    if part.is_dir():
        findings = judge_folder(judge, part, read_manifest(part) or {"products": []})
    else:
        beside = read_manifest(part.parent)
        findings = [judge.product(part, None if beside is None else Manifest.of(beside))]
    return Judged(part, tuple(findings), chosen=chosen)


def _stop(problem: str, as_json: bool) -> int:
    from briefgen.commands.report import print_json, problem_object
    from briefgen.console import complain
    from briefgen.core.diagnostics import Diagnostic

    if as_json:
        wrong = problem_object(EXIT_UNREADABLE, Diagnostic("verify", "error", problem))
        print_json({**wrong, "findings": []})
    else:
        complain(f"briefgen: error: {problem}")
    return EXIT_UNREADABLE


def _code(findings: list[Finding]) -> int:
    """The gravest: unreadable, then anything that is not good, then a mission changed beyond its bounds, then
    a content or a mission that was not checked, then pages made before the approval."""
    from briefgen.approval.verify import CHANGED, GOOD, NO_MISSION, NUMBER_ONLY, TOO_OLD

    own = {  # the gravest first
        CHANGED: EXIT_CHANGED,
        NUMBER_ONLY: EXIT_HALF_CHECKED,
        NO_MISSION: EXIT_HALF_CHECKED,
        TOO_OLD: EXIT_TOO_OLD,
    }
    verdicts = {finding.verdict for finding in findings}
    if "UNREADABLE" in verdicts:
        return EXIT_UNREADABLE
    if verdicts - {*GOOD, *own}:
        return EXIT_NOT
    return next((code for verdict, code in own.items() if verdict in verdicts), 0)


def _today(path: Path, record: Record, templates: Path | None) -> Resolve:
    """The mission beside the record as it stands now, worked out once and only when asked for."""

    @cache
    def today() -> Today | NoToday:
        from briefgen.approval.states import approval_state
        from briefgen.approval.verify import NoToday, Today
        from briefgen.brief.wording.passes import name_of
        from briefgen.build.build import check

        name = record.mission_file
        if Path(name).name != name or not (path.parent / name).is_file():
            return NoToday(
                f"the mission {Path(name).name} does not lie beside the record {path.name}; put it there and"
                " ask again"
            )
        planned = check(path.parent / name, templates=templates).sound
        if planned is None:
            words = f"the mission {name} beside the record has errors now; `briefgen check` tells them"
            return NoToday(words, spoilt=True)
        full, plan = planned.fingerprint.full, planned.plan
        state = approval_state(plan, full, record, planned.templates)
        times = tuple((name_of(each.section), each.true_time) for each in plan.passes)
        return Today(full, state, times, tuple(planned.templates.own))

    return today
