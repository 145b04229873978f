"""The record of an approval: a file beside the mission, ``regatta.approval.json`` for ``regatta.yaml``.

Its keys:

- ``approval_format``: 1; within it keys are only ever added
- ``no_signature``: says that the record is no cryptographic signature
- ``mission_file``: name of the mission file, without its folder
- ``mission``: name of the sortie
- ``fingerprint``: that of the approved plan: ``full``, and ``spoken`` as read out
- ``by``: ``name`` and ``role`` of the approver, as typed at the command; ``acting_for``: the supervisor in
  whose place; ``self_authorised``: ``authority`` and ``reason`` of the mission file, where the approver flies
- ``at``: when, UTC, by the clock of the machine
- ``crew_compared``: the names of the crew with which the approver's was compared, and how;
  ``said_to_be_another``: the one whose name is nearly the approver's, as they said themselves
- ``supervisor_compared``: the supervisor's name of the mission file, with which the approver's was compared;
  empty where it names none
- ``withdrawn``: only once the approval is withdrawn: ``name``, ``role``, ``at`` and ``reason``
- ``briefgen``, ``tz_database``: versions that made the plan; ``templates``: hashes of those it was told with,
  ``shipped`` together and the unit's ``own`` by name (none in a record from before they were written down)
- ``bounds``: what may change without a new decision: earliest and latest true time of each pass
  (``earliest`` and ``latest`` of a single one), least predicted landing fuel, weather minima; when the
  approval ends by itself and why; ``doubts``, the cautions of the check that were accepted with it: code,
  key path, message (``briefgen/approval/bounds.py``)
- ``gates``: as they stood: id, title, verdict, figures in words, why, source, waiver; for CAUTION and NOT
  CHECKED the consequence and the ``reason`` for accepting it
- ``plan``: the approved plan: ``typed`` and ``plan`` of its plan.json
- ``damage_check``: SHA-256 of all the rest, so that a slip of an editor shows; anybody who means to can make
  a new one
"""

from __future__ import annotations

import glob
import hashlib
import json
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from briefgen.approval.bounds import Bounds, Doubt, PassBounds, plain_bounds
from briefgen.brief.wording.consequences import consequence
from briefgen.brief.wording.format import dated_z
from briefgen.brief.wording.gates import OPEN, figures_words
from briefgen.compare.figures import instant
from briefgen.compare.report import document_of
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.fingerprint import TemplateMarks
from briefgen.core.plain import to_plain
from briefgen.core.records import record
from briefgen.mission.read.characters import read_file
from briefgen.mission.read.flow import FLOW
from briefgen.mission.resolve.sections import UNNAMED_EVENT
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Plan
from briefgen.units.people import HOW, crew_member, names_no_person

RECORD_FORMAT = 1
SUFFIX = ".approval.json"
KEPT = "*.approval-*.json"  # a record that another one has taken the place of, and its time
MAXIMUM_BYTES = 16 * 1024 * 1024
NO_SIGNATURE = (
    "This record is no cryptographic signature. It says who is named as the approver of which plan; it does"
    " not prove it. Whoever can write this file can change it."
)


@record
class Approver:
    """Who, in what role, when (aware), and why each CAUTION and NOT CHECKED was accepted (gate id → reason).
    ``acting_for``: in whose place; ``not_crew``: of which member of the crew they say that they are somebody
    else."""

    name: str
    role: str
    at: datetime
    reasons: Mapping[str, str]
    acting_for: str = ""
    not_crew: str = ""


@record
class Withdrawal:
    """Who took an approval back, in what role, when (aware), and why."""

    name: str
    role: str
    at: datetime
    reason: str

    def words(self) -> str:
        """``A. Holm (duty supervisor), 30 Jan 2027 01:10:00 Z: the crane has moved``."""
        return f"{self.name} ({self.role}), {dated_z(self.at)}: {self.reason}"


@record
class Record:
    """A record, read. ``document`` is the approved plan: ``typed`` and ``plan``; ``reasons``: gate id → why
    it was accepted; ``no_supervisor``: the mission named none, with whom the approver could be compared;
    ``templates``: those of the approved plan, None where the record doesn't say."""

    mission_file: str
    mission: str
    fingerprint: str
    by: str
    role: str
    at: datetime
    bounds: Bounds
    versions: Mapping[str, str]
    document: Mapping[str, Any]
    reasons: Mapping[str, str]
    acting_for: str = ""
    self_authorised: str = ""
    no_supervisor: bool = False
    withdrawn: Withdrawal | None = None
    templates: TemplateMarks | None = None

    @property
    def who(self) -> str:
        """``A. Holm (duty supervisor) for Lt Col S. Varga``."""
        return f"{self.by} ({self.role})" + (f" for {self.acting_for}" if self.acting_for else "")


def record_path(mission: Path) -> Path:
    """Where the record of a mission file lies."""
    return mission.with_name(f"{mission.stem}{SUFFIX}")


def kept_path(record: Path, at: datetime | None) -> Path:
    """Under which name a record is kept that another one takes the place of: with its own time, or None where
    it can't be read."""
    mark = "unreadable" if at is None else at.strftime("%Y%m%dT%H%M%SZ")
    return record.with_name(f"{record.name.removesuffix(SUFFIX)}.approval-{mark}.json")


def older_records(path: Path) -> tuple[Record, ...]:
    """The records that are kept beside this one, newest first; those that can't be read are left out."""
    names = sorted(
        path.parent.glob(f"{glob.escape(path.name.removesuffix(SUFFIX))}.approval-*.json"), reverse=True
    )
    return tuple(record for name in names if (record := read_record(name)[0]) is not None)


def record_bytes(plan: Plan, approver: Approver, bounds: Bounds, *, head: Mapping[str, Any]) -> bytes:
    """The record as it is written. ``head``: mission_file, mission, fingerprint (full, spoken), briefgen,
    tz_database, templates."""
    document = {
        "approval_format": RECORD_FORMAT,
        "no_signature": NO_SIGNATURE,
        **head,
        "by": _by(plan, approver),
        "at": to_plain(approver.at),
        "supervisor_compared": supervisor_of(plan),
        "crew_compared": {
            "names": [name for _, name in plan.mission.crew],
            "how": HOW,
            **({"said_to_be_another": approver.not_crew} if approver.not_crew else {}),
        },
        "bounds": plain_bounds(bounds),
        "gates": [
            _gate(gate, figures_words(gate, day=plan.clock.takeoff.date()), approver.reasons)
            for gate in plan.gates
        ],
        "plan": document_of(plan),
    }
    return _bytes(document)


def withdrawn_bytes(data: bytes, withdrawal: Withdrawal) -> bytes:
    """A record's bytes with the withdrawal of its approval written into it."""
    return _bytes({**json.loads(data), "withdrawn": to_plain(withdrawal)})


def _bytes(document: Mapping[str, Any]) -> bytes:
    return (
        json.dumps(
            {**document, "damage_check": _check(document)}, ensure_ascii=False, allow_nan=False, indent=1
        )
        + "\n"
    ).encode("utf-8")


def _by(plan: Plan, approver: Approver) -> dict[str, Any]:
    flies, allowed = crew_member(approver.name, plan.mission.crew), plan.mission.file.sortie.own_authority
    own = (
        {"self_authorised": {"authority": allowed.authority, "reason": allowed.reason}}
        if flies and allowed is not None
        else {}
    )
    acting = {"acting_for": approver.acting_for} if approver.acting_for else {}
    return {"name": approver.name, "role": approver.role, **acting, **own}


def supervisor_of(plan: Plan) -> str:
    """The supervisor's name; empty where the mission names none, or keeps its place with TBD or a rank."""
    supervisor = plan.mission.file.sortie.supervisor
    return "" if supervisor is None or names_no_person(supervisor.name) else supervisor.name


def needing_reason(plan: Plan) -> list[Gate]:
    """The gates that an approver must say something to."""
    return [gate for gate in plan.gates if gate.verdict in OPEN]


def record_for(mission: Path) -> tuple[Record | None, list[Diagnostic]]:
    """The record of a mission file; None with the reason where it is another file's, such as m.yml's beside
    m.yaml."""
    path = record_path(mission)
    record, found = read_record(path)
    other = mission.with_name(Path(record.mission_file).name) if record is not None else mission
    if other.name.casefold() == mission.name.casefold() or not other.exists():
        return record, found
    why, help = (
        "one record can't stand for two missions",
        f"rename {mission.name} or {other.name}, then have it approved again with `briefgen approve`",
    )
    return None, [
        Diagnostic(
            "approval-record-other",
            "caution",
            f"the approval record {path.name} is that of {other.name}, not of {mission.name}",
            why=why,
            help=help,
        )
    ]


def read_record(path: Path) -> tuple[Record | None, list[Diagnostic]]:
    """A record, or None with the reason. No file there is no error: then nobody has approved."""
    try:
        data = read_file(path, MAXIMUM_BYTES)
    except FileNotFoundError:
        return None, []
    except OSError as error:
        return None, [_unusable(path, f"cannot be read: {error.strerror}")]
    if len(data) > MAXIMUM_BYTES:
        return None, [_unusable(path, "is larger than any record of this program")]
    return record_of(data, path)


def record_of(data: bytes, path: Path) -> tuple[Record | None, list[Diagnostic]]:
    """The record in these bytes; ``path`` stands in messages."""
    try:
        document = json.loads(data)
    except (ValueError, RecursionError):
        return None, [_unusable(path, "is not JSON, or is damaged")]
    if not isinstance(document, dict) or document.get("approval_format") != RECORD_FORMAT:
        return None, [_unusable(path, f"is no record of format {RECORD_FORMAT}")]
    if document.get("damage_check") != _check(document):
        return None, [_unusable(path, "was changed after it was written, or is damaged")]
    try:
        return _record(document), []
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        return None, [_unusable(path, f"lacks something ({type(error).__name__}: {error})")]


def _unusable(path: Path, what: str) -> Diagnostic:
    why = "without a record that can be read the plan counts as not approved"
    return Diagnostic(
        "approval-record",
        "caution",
        f"the approval record {path.name} {what}",
        why=why,
        help="have the plan approved again with `briefgen approve`",
    )


def _record(document: Mapping[str, Any]) -> Record:
    plan = document["plan"]
    if not isinstance(plan["typed"], dict) or not isinstance(plan["plan"]["gates"], list):
        raise ValueError("the approved plan")
    versions = {name: str(document[name]) for name in ("briefgen", "tz_database")}
    by = document["by"]
    reasons = {str(gate["id"]): str(gate["reason"]) for gate in document["gates"] if "reason" in gate}
    own, taken = by.get("self_authorised"), document.get("withdrawn")
    return Record(
        mission_file=str(document["mission_file"]),
        mission=str(document["mission"]),
        fingerprint=str(document["fingerprint"]["full"]),
        by=str(by["name"]),
        role=str(by["role"]),
        at=instant(document["at"]),
        bounds=_bounds(document["bounds"], plan["typed"]),
        versions=versions,
        document=plan,
        reasons=reasons,
        acting_for=str(by.get("acting_for", "")),
        self_authorised="" if own is None else f"{own['authority']}: {own['reason']}",
        no_supervisor=document.get("supervisor_compared") == "",
        withdrawn=None
        if taken is None
        else Withdrawal(str(taken["name"]), str(taken["role"]), instant(taken["at"]), str(taken["reason"])),
        templates=_templates(document["templates"]) if "templates" in document else None,
    )


def _templates(raw: Mapping[str, Any]) -> TemplateMarks:
    return TemplateMarks(str(raw["shipped"]), {str(name): str(mark) for name, mark in raw["own"].items()})


def _bounds(raw: Mapping[str, Any], typed: Mapping[str, Any]) -> Bounds:
    return Bounds(
        tuple(map(_pass_bounds, raw["passes"] if "passes" in raw else _only_pass(raw, typed))),
        raw["landing_fuel"],
        raw["fuel_unit"],
        tuple((id, words) for id, words in raw["weather_minima"]),
        instant(raw["lapses"]),
        raw["lapses_because"],
        tuple(
            Doubt(str(doubt["code"]), tuple(doubt["cause"]), str(doubt["message"]))
            for doubt in raw.get("doubts", ())
        ),
    )


def _pass_bounds(raw: Mapping[str, Any]) -> PassBounds:
    times = {
        name: None if raw.get(name) is None else instant(raw[name]) for name in ("true_time", "latest_flown")
    }
    ends = {name: instant(raw[name]) for name in ("earliest", "latest")}
    return PassBounds(**{**raw, **ends, **times})


def _only_pass(raw: Mapping[str, Any], typed: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The one pass of a record from before there could be several, under the id that its mission gives it."""
    if raw["earliest"] is None:
        return []
    sections = [typed, *typed.get(FLOW, ())]
    event = next(section["event"] for section in sections if "event" in section)
    ends = {name: raw[name] for name in ("earliest", "latest")}
    return [{"piece": event.get("id", UNNAMED_EVENT), **ends}]


def _gate(gate: Gate, figures: str, reasons: Mapping[str, str]) -> dict[str, str]:
    entry = {
        "id": gate.id,
        "title": gate.title,
        "verdict": gate.verdict,
        "figures": figures,
        "why": gate.why,
        "source": gate.source,
        "waiver": gate.waiver,
    }
    if gate.verdict in OPEN:
        entry |= {"consequence": consequence(gate), "reason": reasons[gate.id]}
    return entry


def _check(document: Mapping[str, Any]) -> str:
    rest = {key: value for key, value in document.items() if key != "damage_check"}
    return hashlib.sha256(
        json.dumps(rest, ensure_ascii=True, sort_keys=True, separators=(",", ":")).encode("ascii")
    ).hexdigest()
