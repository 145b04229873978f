"""Does a product belong to the approved plan? From the number that it carries, its content beside the
manifest of its build, the record, and a moment to judge it at. A number alone says little: a deck whose times
were changed by hand still carries it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import datetime
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any, Literal

from briefgen.approval.bounds import Change
from briefgen.approval.holds import ended, until
from briefgen.approval.marks import KINDS, Unreadable, product_mark
from briefgen.approval.record import KEPT, SUFFIX, Record
from briefgen.approval.states import ApprovalState
from briefgen.brief.wording.format import dated_z
from briefgen.compare.figures import instant
from briefgen.core.context import FAILED
from briefgen.core.folders import digest
from briefgen.core.records import record

Verdict = Literal[
    "BELONGS",
    "BELONGS, UPDATED",
    "BELONGS, MADE BEFORE THE APPROVAL",
    "CARRIES THE NUMBER, CONTENT NOT CHECKED",
    "OF THE APPROVED PLAN, MISSION NOT THERE",
    "SUPERSEDED",
    "CHANGED: APPROVE AGAIN",
    "LAPSED",
    "WITHDRAWN",
    "DOES NOT BELONG",
    "NOT CHECKED",
    "UNREADABLE",
    "MISSING",
    "NO PRODUCT",
]
GOOD: tuple[Verdict, ...] = ("BELONGS", "BELONGS, UPDATED")
TOO_OLD: Verdict = "BELONGS, MADE BEFORE THE APPROVAL"  # the right plan, on pages that don't say APPROVED
NUMBER_ONLY: Verdict = "CARRIES THE NUMBER, CONTENT NOT CHECKED"
NO_MISSION: Verdict = "OF THE APPROVED PLAN, MISSION NOT THERE"  # nor, perhaps, a withdrawal of its approval
CHANGED: Verdict = "CHANGED: APPROVE AGAIN"  # the mission, beyond its bounds: no plan of it may be flown


@record
class Today:
    """The mission as it stands now: the number of its plan, that plan's state, and the true time of each
    pass with its name, which is empty where there is one; ``templates``: the unit's own with which it is
    told, by name."""

    number: str
    state: ApprovalState
    times: tuple[tuple[str, datetime], ...]
    templates: tuple[str, ...] = ()

    def told(self) -> str:
        """``7K4Q-..., T 16:03:00 Z, APPROVED``."""
        each = [f"{name} T {dated_z(at)}".lstrip() for name, at in self.times]
        return ", ".join([self.number, *each, self.state.state])


@record
class NoToday:
    """Why, in words, there is no plan of today. ``spoilt``: the mission lies there and has errors, so that it
    is not as it was approved."""

    words: str
    spoilt: bool = False


Resolve = Callable[[], Today | NoToday]


@record
class Finding:
    """One file's verdict and what it rests on, in plain words; ``changes``: what is not as approved."""

    file: str
    verdict: Verdict
    words: str
    changes: tuple[str, ...] = ()


@record
class Manifest:
    """What the build of a folder wrote down: the hash of each file by its name, of when the approval was that
    its pages tell (None: of none), the number of its plan (empty where it is not told), and the names of the
    unit's own templates that made it (None where it is not told)."""

    hashes: Mapping[str, str]
    approved_at: datetime | None
    number: str = ""
    templates: tuple[str, ...] | None = None

    @classmethod
    def of(cls, document: Mapping[str, Any]) -> Manifest:
        """The manifest as it was read from its file."""
        entries = [entry for entry in document["products"] if isinstance(entry, dict)]
        hashes = {
            entry["file"]: entry["sha256"]
            for entry in entries
            if isinstance(entry.get("file"), str) and isinstance(entry.get("sha256"), str)
        }
        number = str(document.get("fingerprint") or "")
        return cls(hashes, _moment(document.get("approved_at")), number, _own_templates(document))


def _own_templates(document: Mapping[str, Any]) -> tuple[str, ...] | None:
    written = document.get("templates")
    own = written.get("own") if isinstance(written, dict) else None
    return tuple(map(str, own)) if isinstance(own, dict) else None


def _moment(text: Any) -> datetime | None:
    try:
        return instant(text) if isinstance(text, str) else None
    except ValueError:
        return None


@record
class Judge:
    """Everything but the product. ``today``: the mission as it lies beside the record now, worked out only
    when a product is judged by it; the reason when there is none or it can't be planned.
    ``older``: the records before this one that are kept beside it."""

    record: Record
    now: datetime
    today: Resolve
    older: tuple[Record, ...] = ()

    def product(self, path: Path, manifest: Manifest | None) -> Finding:
        """The verdict on one file. ``manifest``: that of the folder in which it lies."""
        try:
            mark = product_mark(path)
            found = self._other_templates(path.name, mark, manifest) or self.mark(path.name, mark)
            return self._content(path, found, manifest) if found.verdict in (*GOOD, NO_MISSION) else found
        except Unreadable as problem:
            return Finding(path.name, "UNREADABLE", str(problem))
        except OSError as error:
            return Finding(path.name, "UNREADABLE", error.strerror or "it cannot be read")

    def _other_templates(self, name: str, mark: str, manifest: Manifest | None) -> Finding | None:
        """The mission was read without the templates that made the product, or with some where none did: its
        number is another then, whatever else is the same. Nobody can tell, until it is read with the same."""
        made_with = manifest.templates if manifest is not None and manifest.number == mark else None
        if made_with is None and mark == self.record.fingerprint and self.record.templates is not None:
            made_with = tuple(self.record.templates.own)
        if self.record.withdrawn is not None or made_with is None:
            return None
        today = self.today()
        if isinstance(today, NoToday) or bool(today.templates) == bool(made_with):
            return None
        words = (
            f"it was made with templates of the unit's own, {', '.join(made_with)}: give --templates FOLDER"
            if made_with
            else "it was made without templates of the unit's own: leave --templates out"
        )
        return Finding(name, "NOT CHECKED", f"it is of plan {mark}; {words}")

    def mark(self, name: str, mark: str) -> Finding:
        """The verdict on what carries a fingerprint."""
        if self.record.withdrawn is not None:
            return Finding(
                name,
                "WITHDRAWN",
                f"it is of plan {mark}; the approval of {self.record.fingerprint} was withdrawn by"
                f" {self.record.withdrawn.words()}",
            )
        if mark == self.record.fingerprint:
            return self._approved(name, f"it is of the plan that {self.record.who} approved, {mark}")
        today, other = self.today(), f"it is of plan {mark}; approved is {self.record.fingerprint}"
        if isinstance(today, Today) and today.number == mark:
            return self._updated(name, mark, today.state)
        superseded = next((older for older in self.older if older.fingerprint == mark), None)
        if superseded is not None:
            return Finding(
                name,
                "DOES NOT BELONG",
                f"it is of a superseded plan: {_when(superseded)} approved {mark}; {_when(self.record)}"
                f" approved {self.record.fingerprint} in its place",
            )
        if isinstance(today, NoToday):
            unknown = f"{other}. Whether it keeps the approved bounds can't be told: {today.words}"
            return Finding(name, "NOT CHECKED", unknown)
        return Finding(
            name,
            "DOES NOT BELONG",
            f"{other}, and {self.record.mission_file} as it stands now is {today.number}",
        )

    def _approved(self, name: str, words: str) -> Finding:
        """Of the approved plan itself, unless the mission was changed since: where that keeps the approved
        bounds the newer plan is flown, else none until it is approved."""
        today, now = self.today(), f"{self.record.mission_file} as it stands now"
        verdict: Verdict = "BELONGS"
        if isinstance(today, NoToday):
            words, verdict = f"{words}; not held against {now}: {today.words}", NO_MISSION
            if today.spoilt:
                return Finding(name, "NOT CHECKED", words)
        elif today.number != self.record.fingerprint and today.state.stands:
            words = f"{words}; {now} is {today.told()}: use the products of that plan"
            return Finding(name, "SUPERSEDED", words, _changes(today.state.changes))
        elif today.number != self.record.fingerprint:
            words = (
                f"{words}; {now} is another plan, {today.number}, outside what was approved: fly neither"
                " until it is approved again with `briefgen approve`, or its changes are taken back"
            )
            return Finding(name, CHANGED, words, _changes(today.state.outside))
        return self._in_time(name, verdict, words, self.record.bounds.lapses)

    def _content(self, path: Path, found: Finding, manifest: Manifest | None) -> Finding:
        """The verdict on a file that carries a good number: is it as the build wrote it, and does it tell of
        this approval?"""
        if manifest is None or (
            (own := digest(path)) not in manifest.hashes.values() and path.name not in manifest.hashes
        ):
            missing = (
                "no manifest of its build that lists it lies beside it, so nothing says that its content is"
                " as it was built"
            )
            return Finding(path.name, NUMBER_ONLY, f"{missing}; by its number alone {found.words}")
        if manifest.hashes.get(path.name, own) != own:
            return _changed(path, manifest)
        if manifest.approved_at is None or manifest.approved_at < self.record.at:
            words = f"{found.words}; its pages don't tell of this approval: build again"
            return replace(found, verdict=TOO_OLD if found.verdict in GOOD else found.verdict, words=words)
        return found

    def _updated(self, name: str, mark: str, state: ApprovalState) -> Finding:
        words = f"it is of the mission as it stands now, {mark}: {state.state}"
        if not state.stands or state.lapses is None:
            return Finding(name, "DOES NOT BELONG", words, _changes(state.outside))
        found = self._in_time(name, "BELONGS, UPDATED", words, state.lapses)
        return replace(found, changes=_changes(state.changes))

    def _in_time(self, name: str, verdict: Verdict, words: str, lapses: datetime) -> Finding:
        over = ended(self.record.at, lapses, self.now)
        if over is not None:
            return Finding(name, over.verdict, f"{words}; {over.words}")
        return Finding(name, verdict, f"{words}; valid until {until(lapses)}")


def _changes(changes: Iterable[Change]) -> tuple[str, ...]:
    return tuple(change.words for change in changes)


def _when(record: Record) -> str:
    return f"{record.who} on {dated_z(record.at)}"


def judge_folder(judge: Judge, folder: Path, document: dict[str, Any]) -> list[Finding]:
    """Every product that the folder's manifest names: there, unchanged since it was built, and of the
    approved plan. Then what else lies there."""
    manifest = Manifest.of(document)
    named = [
        entry["file"]
        for entry in document["products"]
        if isinstance(entry, dict) and isinstance(entry.get("file"), str)
    ]
    findings = [_entry(judge, folder, name, manifest) for name in named]
    strangers = sorted(
        path
        for path in folder.iterdir()
        if path.suffix.lower() in KINDS and path.name not in named and not is_own(path.name)
    )
    return findings + [
        Finding(
            path.name,
            "NO PRODUCT",
            "the build of this folder did not make it; " + judge.product(path, manifest).words,
        )
        for path in strangers
    ]


def is_own(name: str) -> bool:
    """A file that lies beside products without being one: the manifest, a record, a record that is kept."""
    return name == "manifest.json" or name.endswith(SUFFIX) or fnmatchcase(name, KEPT)


def _entry(judge: Judge, folder: Path, name: str, manifest: Manifest) -> Finding:
    if Path(name).name != name:
        return Finding(name, "UNREADABLE", "the manifest names a file outside the folder")
    path = folder / name
    if not path.is_file():
        return Finding(name, "MISSING", "the manifest names it, but it is not there")
    try:
        if digest(path) != manifest.hashes.get(name):
            return _changed(path, manifest)
    except OSError as error:
        return Finding(name, "UNREADABLE", error.strerror or "it cannot be read")
    if name.startswith(FAILED):
        return Finding(name, "MISSING", "this product could not be made")
    return judge.product(path, manifest)


def _changed(path: Path, manifest: Manifest) -> Finding:
    """A product that is not as the build wrote it: cut off, damaged, of another plan, or changed."""
    try:
        mark = product_mark(path)
    except Unreadable as problem:
        return Finding(path.name, "UNREADABLE", str(problem))
    if manifest.number and mark != manifest.number:
        other = f"it is of another plan, {mark}; the build of this folder was of {manifest.number}"
        return Finding(path.name, "DOES NOT BELONG", other)
    return Finding(path.name, "DOES NOT BELONG", "it was changed after it was built")
