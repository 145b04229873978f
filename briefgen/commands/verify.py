"""``briefgen verify``: does a product belong to the approved plan?"""

from __future__ import annotations

import os
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import click

from briefgen import records

EXIT_NOT, EXIT_UNREADABLE, EXIT_NUMBER_ONLY = 1, 2, 4


def now() -> datetime:
    """The machine's clock, asked here and nowhere below."""
    return datetime.now(UTC)


@click.command("verify", short_help="Tell whether a product belongs to the approved plan, and whether the approval still holds.")
@click.argument("product", metavar="FILE-OR-FOLDER", type=click.Path(path_type=Path))
@click.option("--record", type=click.Path(path_type=Path), help="The approval record. [default: looked for beside the product, above it, and here]")
@click.option("--templates", type=click.Path(path_type=Path, exists=True, file_okay=False), help="The unit's own templates, if the products were built with them.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object for machines.")
def command(product: Path, record: Path | None, templates: Path | None, as_json: bool) -> int:
    """Read the plan's fingerprint from a deck, card, page or plan.json, or from every product of a folder, and judge it by the record; its content is held
    against the manifest that its build wrote beside it.

    A folder may hold the folders of several missions, or products that lie in it loose: each is judged by the record of its own plan.

    Exit code 0: belongs, and the approval holds now. 1: doesn't belong, has lapsed, is missing or can't be told. 2: can't be read, or there is no record.
    4: carries the approved number, but no manifest lies beside it, so that its content is not checked.
    The record is no cryptographic signature: this finds mistakes, not forgeries.
    """
    from briefgen.approval.verify import GOOD
    from briefgen.commands.report import print_json
    from briefgen.console import complain, say

    if not os.path.exists(product):  # not Path.exists, which raises for a name that is too long
        return _stop(f"there is no {product}", as_json)
    parts, problem = _parts(product)
    judged = [_judged(part, record, templates) for part in parts]
    if problem or len(parts) == 1 and judged[0].problem:
        return _stop(problem or judged[0].problem, as_json)
    findings = [finding for one in judged for finding in one.told(alone=len(parts) == 1)]
    code = _code(findings)
    if as_json:
        used = [{"record": path, "fingerprint": mark} for path, mark in {one.record: one.fingerprint for one in judged if not one.problem}.items()]
        print_json({"exit_code": code, **(used or [{}])[0], "records": used, "findings": [vars(finding) for finding in findings]})
        return code
    for finding in findings:
        (say if finding.verdict in GOOD else complain)(f"{finding.verdict}  {finding.file}: {finding.words}")
    return code


def _parts(product: Path) -> tuple[list[Path], str]:
    """What is judged one by one: a file, a folder that a build made, or the built folders and loose products in one; and the problem when there is nothing."""
    from briefgen.approval.verify import KINDS, is_own
    from briefgen.staging import read_manifest

    if not product.is_dir() or read_manifest(product) is not None:
        return [product], ""
    entries = sorted(product.iterdir())
    built = [entry for entry in entries if entry.is_dir() and read_manifest(entry) is not None]
    loose = [entry for entry in entries if entry.is_file() and entry.suffix.lower() in KINDS and not is_own(entry.name)]
    nothing = f"{product} holds no products of this program: neither folders that it built nor files of the kinds {', '.join(KINDS)}"
    return built + loose, "" if built or loose else nothing


@records.record
class Judged:
    """A product or a folder of products, judged by a record; ``problem``: why there is no record to judge it by."""

    part: Path
    findings: tuple[Any, ...] = ()
    problem: str = ""
    record: str = ""
    fingerprint: str = ""

    def told(self, *, alone: bool) -> list[Any]:
        """Its findings; unless it is judged alone, the names say in which folder their files lie."""
        from briefgen.approval.verify import Finding

        if self.problem:
            return [Finding(self.part.name, "NOT CHECKED", self.problem)]
        return [finding if alone or not self.part.is_dir() else replace(finding, file=f"{self.part.name}/{finding.file}") for finding in self.findings]


def _judged(part: Path, given: Path | None, templates: Path | None) -> Judged:
    from briefgen.approval.record import older_records
    from briefgen.approval.verify import Judge, Manifest, judge_folder
    from briefgen.staging import read_manifest

    path, read, problem = _record(part, given)
    if read is None:
        return Judged(part, problem=problem)
    judge = Judge(read, now(), _today(path, read, templates), older_records(path))
    if part.is_dir():
        findings = judge_folder(judge, part, read_manifest(part) or {"products": []})
    else:
        findings = [judge.product(part, Manifest.of(read_manifest(part.parent)))]
    return Judged(part, tuple(findings), "", str(path), read.fingerprint)


def _stop(problem: str, as_json: bool) -> int:
    from briefgen.commands.report import print_json
    from briefgen.console import complain

    if as_json:
        print_json({"exit_code": EXIT_UNREADABLE, "problem": problem, "findings": []})
    else:
        complain(f"briefgen: error: {problem}")
    return EXIT_UNREADABLE


def _code(findings: list[Any]) -> int:
    """The gravest: unreadable, then anything that is not good, then a content that was not checked."""
    from briefgen.approval.verify import GOOD, NUMBER_ONLY

    verdicts = {finding.verdict for finding in findings}
    if "UNREADABLE" in verdicts:
        return EXIT_UNREADABLE
    if verdicts - {*GOOD, NUMBER_ONLY}:
        return EXIT_NOT
    return EXIT_NUMBER_ONLY if NUMBER_ONLY in verdicts else 0


def _record(product: Path, given: Path | None) -> tuple[Path, Any, str]:
    """The record to judge by: (path, record, problem)."""
    from briefgen.approval.record import read_record
    from briefgen.approval.verify import find_records

    candidates = [given] if given is not None else find_records(product, Path.cwd())
    if not candidates:
        return Path(), None, "no approval record was found in its folder, those above it, this one, or a folder missions in them: give it with --record"
    read = [(path, *read_record(path)) for path in candidates]
    usable = [(path, record) for path, record, _ in read if record is not None]
    if not usable:
        said = [f"{path}: {problem.message}" for path, _, problems in read for problem in problems]
        return Path(), None, "; ".join(said) or f"there is no record {given}"
    chosen = _fitting(product, usable)
    if chosen is None:
        return Path(), None, f"several approval records were found ({', '.join(str(path) for path, _ in usable)}), of other plans: give the right one with --record"
    return chosen[0], chosen[1], ""


def _fitting(product: Path, records: list[tuple[Path, Any]]) -> tuple[Path, Any] | None:
    """The only one, or the one of several whose plan the product carries, or whose mission the folder's manifest names."""
    from briefgen.approval.marks import Unreadable, product_mark
    from briefgen.staging import read_manifest

    if len(records) == 1:
        return records[0]
    manifest = read_manifest(product if product.is_dir() else product.parent) or {}
    try:
        mark = manifest.get("fingerprint") if product.is_dir() else product_mark(product)
    except Unreadable:
        mark = None
    exact = [entry for entry in records if entry[1].fingerprint == mark]
    named = exact or [entry for entry in records if entry[1].mission == manifest.get("mission")]
    return named[0] if len(named) == 1 else None


def _today(path: Path, record: Any, templates: Path | None) -> Any:
    """The mission beside the record as it stands now: its fingerprint and its state, worked out once and only when asked for."""

    @cache
    def today() -> tuple[str, Any] | str:
        from briefgen.approval.states import approval_state
        from briefgen.build import check

        name = record.mission_file
        if Path(name).name != name or not (path.parent / name).is_file():
            return f"the mission {Path(name).name} does not lie beside the record {path.name}; put it there and ask again"
        checked = check(path.parent / name, templates=templates)
        if checked.plan is None or checked.fingerprint is None or checked.exit_code == 2:
            return f"the mission {name} beside the record has errors now; `briefgen check` tells them"
        return checked.fingerprint.full, approval_state(checked.plan, checked.fingerprint.full, record)

    return today
