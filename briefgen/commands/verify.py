"""``briefgen verify``: does a product belong to the approved plan?"""

from __future__ import annotations

from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

import click

EXIT_NOT, EXIT_UNREADABLE = 1, 2


def now() -> datetime:
    """The machine's clock, asked here and nowhere below."""
    return datetime.now(UTC)


@click.command("verify", short_help="Tell whether a product belongs to the approved plan, and whether the approval still holds.")
@click.argument("product", metavar="FILE-OR-FOLDER", type=click.Path(path_type=Path))
@click.option("--record", type=click.Path(path_type=Path), help="The approval record. [default: looked for beside the product, above it, and here]")
@click.option("--templates", type=click.Path(path_type=Path, exists=True, file_okay=False), help="The unit's own templates, if the products were built with them.")
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object for machines.")
def command(product: Path, record: Path | None, templates: Path | None, as_json: bool) -> int:
    """Read the plan's fingerprint from a deck, card, page or plan.json, or from every product of a folder, and judge it by the record.

    Exit code 0: belongs, and the approval holds now. 1: doesn't belong, has lapsed, or is missing. 2: can't be read, or there is no record.
    The record is no cryptographic signature: this finds mistakes, not forgeries.
    """
    from briefgen.approval.verify import Judge
    from briefgen.commands.report import print_json
    from briefgen.console import complain, say

    if not product.exists():
        return _stop(f"there is no {product}", as_json)
    path, read, problem = _record(product, record)
    if read is None:
        return _stop(problem, as_json)
    findings, problem = _findings(Judge(read, now(), _today(path, read, templates)), product)
    if problem:
        return _stop(problem, as_json)
    code = _code(findings)
    if as_json:
        print_json({"exit_code": code, "record": str(path), "fingerprint": read.fingerprint, "findings": [vars(finding) for finding in findings]})
        return code
    for finding in findings:
        (say if finding.verdict.startswith("BELONGS") else complain)(f"{finding.verdict}  {finding.file}: {finding.words}")
    return code


def _stop(problem: str, as_json: bool) -> int:
    from briefgen.commands.report import print_json
    from briefgen.console import complain

    if as_json:
        print_json({"exit_code": EXIT_UNREADABLE, "problem": problem, "findings": []})
    else:
        complain(f"briefgen: error: {problem}")
    return EXIT_UNREADABLE


def _code(findings: list[Any]) -> int:
    from briefgen.approval.verify import GOOD

    if any(finding.verdict == "UNREADABLE" for finding in findings):
        return EXIT_UNREADABLE
    return 0 if all(finding.verdict in GOOD for finding in findings) else EXIT_NOT


def _record(product: Path, given: Path | None) -> tuple[Path, Any, str]:
    """The record to judge by: (path, record, problem)."""
    from briefgen.approval.record import read_record
    from briefgen.approval.verify import find_records

    candidates = [given] if given is not None else find_records(product, Path.cwd())
    if not candidates:
        return Path(), None, "no approval record was found: give it with --record"
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


def _findings(judge: Any, product: Path) -> tuple[list[Any], str]:
    from briefgen.approval.verify import judge_folder
    from briefgen.staging import read_manifest

    if not product.is_dir():
        return [judge.product(product)], ""
    manifest = read_manifest(product)
    if manifest is None:
        return [], f"{product} holds no manifest of this program: name the product itself"
    return judge_folder(judge, product, manifest), ""


def _today(path: Path, record: Any, templates: Path | None) -> Any:
    """The mission beside the record as it stands now: its fingerprint and its state, worked out once and only when asked for."""

    @cache
    def today() -> tuple[str, Any] | None:
        from briefgen.approval.states import approval_state
        from briefgen.build import check

        name = record.mission_file
        if Path(name).name != name:
            return None
        checked = check(path.parent / name, templates=templates)
        if checked.plan is None or checked.fingerprint is None or checked.exit_code == 2:
            return None
        return checked.fingerprint.full, approval_state(checked.plan, checked.fingerprint.full, record)

    return today
