"""Does a product belong to the approved plan? From the product itself, the record, and a moment to judge it at."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any, Literal

from briefgen.approval.marks import KINDS, Unreadable, product_mark
from briefgen.approval.record import SUFFIX, Record
from briefgen.approval.states import ApprovalState
from briefgen.brief.format import clock_z, day, time_limit
from briefgen.records import record

Verdict = Literal["BELONGS", "BELONGS, UPDATED", "LAPSED", "DOES NOT BELONG", "NOT CHECKED", "UNREADABLE", "MISSING", "NO PRODUCT"]
GOOD = ("BELONGS", "BELONGS, UPDATED")
SEARCHED_ABOVE = 2  # folders above a product in which its record is looked for
Resolve = Callable[[], tuple[str, ApprovalState] | str]


@record
class Finding:
    """One file's verdict and what it rests on, in plain words."""

    file: str
    verdict: Verdict
    words: str


@record
class Judge:
    """Everything but the product. ``today``: the fingerprint and state of the mission as it lies beside the record now, worked out only when a
    product has another fingerprint than the approved one; the reason, in words, when there is no such mission or it can't be planned."""

    record: Record
    now: datetime
    today: Resolve

    def product(self, path: Path) -> Finding:
        """The verdict on one file."""
        try:
            mark = product_mark(path)
        except Unreadable as problem:
            return Finding(path.name, "UNREADABLE", str(problem))
        return self.mark(path.name, mark)

    def mark(self, name: str, mark: str) -> Finding:
        """The verdict on what carries a fingerprint."""
        if mark == self.record.fingerprint:
            return self._in_time(name, "BELONGS", f"it is of the plan that {self.record.by} ({self.record.role}) approved, {mark}", self.record.bounds.lapses)
        today, other = self.today(), f"it is of plan {mark}; approved is {self.record.fingerprint}"
        if isinstance(today, str):
            return Finding(name, "NOT CHECKED", f"{other}. Whether it keeps the approved bounds can't be told: {today}")
        if today[0] == mark:
            return self._updated(name, mark, today[1])
        return Finding(name, "DOES NOT BELONG", f"{other}, and {self.record.mission_file} as it stands now is {today[0]}")

    def _updated(self, name: str, mark: str, state: ApprovalState) -> Finding:
        if not state.stands or state.lapses is None:
            return Finding(name, "DOES NOT BELONG", f"it is of the mission as it stands now, {mark}: {state.state}; " + "; ".join(state.outside))
        told = f"{state.state}; " + "; ".join(state.changes)
        return self._in_time(name, "BELONGS, UPDATED", f"it is of the mission as it stands now, {mark}: {told}", state.lapses)

    def _in_time(self, name: str, verdict: Verdict, words: str, lapses: datetime) -> Finding:
        when = f"{day(lapses.date())} {clock_z(time_limit(lapses, 'latest'))}"
        if self.now < self.record.at:
            return Finding(name, "LAPSED", f"{words}; but this machine's clock is before the approval of {clock_z(self.record.at)} {day(self.record.at.date())}")
        if self.now > lapses:
            return Finding(name, "LAPSED", f"{words}; the approval lapsed at {when}")
        return Finding(name, verdict, f"{words}; valid until {when}")


def judge_folder(judge: Judge, folder: Path, manifest: dict[str, Any]) -> list[Finding]:
    """Every product that the folder's manifest names: there, unchanged since it was built, and of the approved plan. Then what else lies there."""
    listed = [entry for entry in manifest["products"] if isinstance(entry, dict) and isinstance(entry.get("file"), str)]
    findings = [_entry(judge, folder, entry) for entry in listed]
    named = {entry["file"] for entry in listed}
    strangers = sorted(path for path in folder.iterdir() if path.suffix.lower() in KINDS and path.name not in named and not is_own(path.name))
    return findings + [Finding(path.name, "NO PRODUCT", "the build of this folder did not make it; " + judge.product(path).words) for path in strangers]


def is_own(name: str) -> bool:
    """A file that lies beside products without being one: the manifest, a record."""
    return name == "manifest.json" or name.endswith(SUFFIX)


def _entry(judge: Judge, folder: Path, entry: dict[str, Any]) -> Finding:
    name = entry["file"]
    if Path(name).name != name:
        return Finding(name, "UNREADABLE", "the manifest names a file outside the folder")
    path = folder / name
    if not path.is_file():
        return Finding(name, "MISSING", "the manifest names it, but it is not there")
    if hashlib.sha256(path.read_bytes()).hexdigest() != entry.get("sha256"):
        return Finding(name, "DOES NOT BELONG", "it was changed after it was built")
    if name.startswith("FAILED-"):
        return Finding(name, "MISSING", "this product could not be made")
    return judge.product(path)


def find_records(product: Path, here: Path) -> list[Path]:
    """The records in the product's folder, the folders above it, the folder one works in, and a folder ``missions`` beside any of them."""
    start = product if product.is_dir() else product.parent
    folders = [start, *start.resolve().parents[: SEARCHED_ABOVE], here]
    found = [path for folder in folders for place in (folder, folder / "missions") for path in sorted(place.glob(f"*{SUFFIX}"))]
    return list({path.resolve(): path for path in found}.values())
