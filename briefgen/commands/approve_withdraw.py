"""``briefgen approve --withdraw``: a decision taken back. The plan need not be readable any more; the record
is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from briefgen.commands.decision import EXIT_NOT_WRITTEN, EXIT_REFUSED, Asked, put, refuse

if TYPE_CHECKING:
    from pathlib import Path

    from briefgen.approval.record import Record, Withdrawal
    from briefgen.core.diagnostics import Diagnostic


def withdrawn(asked: Asked, reason: str, unused: Sequence[str]) -> int:
    """Write the withdrawal into the record; the record before it is kept under its own time. ``unused``: the
    options typed beside it, which only an approval has a place for."""
    from briefgen.approval.record import Withdrawal, record_for, record_path, withdrawn_bytes

    record, found = record_for(asked.file)
    problems = [
        *_refusals(asked, reason, unused),
        *(map(_of_withdrawal, found) if found else _nothing(record)),
    ]
    state = _state(record)
    if problems or record is None:
        return refuse(asked, problems, {}, EXIT_REFUSED, state=state)
    path, taken = (
        record_path(asked.file),
        Withdrawal(asked.name.strip(), asked.role.strip(), asked.at, reason),
    )
    older, problem = put(path, withdrawn_bytes(path.read_bytes(), taken))
    if problem is not None:
        return refuse(asked, [problem], {}, EXIT_NOT_WRITTEN, state=state)
    _tell(asked, record, taken, older)
    return 0


def _refusals(asked: Asked, reason: str, unused: Sequence[str]) -> list[Diagnostic]:
    from briefgen.approval.printed import printed_names
    from briefgen.approval.reasons import reason_problem
    from briefgen.approval.record import Approver
    from briefgen.core.diagnostics import Diagnostic

    wrong = reason_problem(reason, "withdrawn")
    found = (
        []
        if wrong is None
        else [
            Diagnostic(
                "approval-withdraw", "error", f"the reason for the withdrawal has {wrong[0]}", help=wrong[1]
            )
        ]
    )
    beside = [
        Diagnostic(
            "approval-withdraw",
            "error",
            f"--{option} has no place in a withdrawal: nothing is approved by it",
            help=f"leave --{option} out",
        )
        for option in unused
    ]
    return [*printed_names(Approver(asked.name, asked.role, asked.at, {}), whose="your"), *found, *beside]


def _state(record: Record | None) -> str:
    """How the mission stands when nothing could be withdrawn."""
    if record is None or record.withdrawn is not None:
        return "is not approved; nothing was withdrawn"
    return f"is still approved, by {record.who}; nothing was withdrawn"


def _of_withdrawal(problem: Diagnostic) -> Diagnostic:
    """What is wrong with the record, with what somebody who withdraws does about it."""
    remedies = {
        "approval-record": (
            "build again, so that the products say NOT APPROVED, and tell everybody who holds one"
        ),
        "approval-record-other": "withdraw it with the mission file whose record it is",
    }
    return replace(problem, severity="error", help=remedies[problem.code])


def _nothing(record: Record | None) -> list[Diagnostic]:
    from briefgen.core.diagnostics import Diagnostic

    if record is None:
        what = "there is no approval to withdraw"
    elif record.withdrawn is not None:
        what = f"it was withdrawn already, by {record.withdrawn.words()}"
    else:
        return []
    return [
        Diagnostic(
            "approval-withdraw", "error", what, help="nothing needs to be done: the plan is not approved"
        )
    ]


def _tell(asked: Asked, record: Record, taken: Withdrawal, older: Path | None) -> None:
    from briefgen.commands.report import print_json
    from briefgen.console import one_line, say
    from briefgen.core.plain import to_plain

    if asked.as_json:
        own = {
            "file": str(asked.file),
            "exit_code": 0,
            "withdrawn": to_plain(taken),
            "kept": str(older) if older else None,
            "diagnostics": [],
        }
        print_json({**own, "fingerprint": record.fingerprint})
        return
    say(f"{one_line(str(asked.file))}: the approval by {record.who} is withdrawn by {taken.words()}")
    say("Build again, so that the products say so, and tell everybody who holds one.")
