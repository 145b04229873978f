"""``briefgen approve``: a supervisor's decision on a plan, written down."""

from __future__ import annotations

import shlex
import sys
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from briefgen.commands import options
from briefgen.commands.clock import now
from briefgen.commands.decision import EXIT_NOT_WRITTEN, EXIT_REFUSED, EXIT_WRONG, Asked, put, refuse

if TYPE_CHECKING:
    from briefgen.approval.bounds import Bounds
    from briefgen.approval.record import Approver
    from briefgen.build.build import Planned
    from briefgen.core.diagnostics import Diagnostic
    from briefgen.plan.model import FuelPlan
    from briefgen.plan.sortie import Plan


@click.command(
    "approve",
    short_help=(
        "Record who approves this plan, in what bounds, and why each open gate is accepted; or withdraw that."
    ),
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--by",
    "name",
    default="",
    metavar="NAME",
    help=(
        "Needed. The approver: the mission's supervisor, or somebody for them, nobody of the flight's crew;"
        " with --withdraw whoever takes it back."
    ),
)
@click.option(
    "--role", default="", metavar="ROLE", help='Needed. In what role, such as "squadron supervisor".'
)
@click.option(
    "--acting-for",
    "acting_for",
    default="",
    metavar="NAME",
    help="The supervisor that the mission names, where somebody else approves.",
)
@click.option(
    "--not-crew",
    "not_crew",
    default="",
    metavar="NAME",
    help="The member of the crew whose name is nearly the approver's, who is somebody else.",
)
@click.option(
    "--reasons",
    type=click.Path(path_type=Path),
    help="YAML file with a reason for each CAUTION and NOT CHECKED, by the gate's id.",
)
@click.option(
    "--lowest-landing",
    "landing",
    metavar="FUEL",
    help=(
        "Least predicted landing fuel that stays approved. [default: what the plan requires, however much"
        " more is predicted]"
    ),
)
@click.option(
    "--withdraw",
    metavar="REASON",
    help=(
        "Take the approval back, whoever gave it, with --by and --role of whoever does; products then say NOT"
        " APPROVED."
    ),
)
@options.templates("; they count in the fingerprint.")
@options.json
def command(file: Path, templates: Path | None, withdraw: str | None, **typed: Any) -> int:
    """Write FILE's approval record beside it. It names the approver; it is no cryptographic signature.

    Refused while a gate FAILs unwaived, when the approver flies or is not the supervisor, after take-off, and
    while a CAUTION or NOT CHECKED has no reason: three different words or more, one of your own of four
    letters or more. Exit code 1: refused.
    """
    _who_is_given(file, withdraw, typed["name"], typed["role"])
    from briefgen.approval.record import record_path

    path = record_path(file)
    before = _version(path)
    try:
        return _decided(file, templates, withdraw, typed)
    except (click.Abort, KeyboardInterrupt):
        what = "no record was written" if _version(path) == before else f"the record was written: {path}"
        raise click.Abort(what) from None


def _version(path: Path) -> tuple[int, int] | None:
    """What tells one written record from another; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_ino, found.st_mtime_ns


def _decided(file: Path, templates: Path | None, withdraw: str | None, typed: dict[str, Any]) -> int:
    asked = Asked(file, at=now().replace(microsecond=0), **typed)
    if withdraw is not None:
        from briefgen.commands.approve_withdraw import withdrawn

        beside = {
            "acting-for": asked.acting_for,
            "not-crew": asked.not_crew,
            "reasons": asked.reasons,
            "lowest-landing": asked.landing,
            "templates": templates,
        }
        return withdrawn(asked, withdraw.strip(), [name for name, value in beside.items() if value])
    return _approved(asked, templates)


def _who_is_given(file: Path, withdraw: str | None, name: str, role: str) -> None:
    """A usage error, with the whole line to type, where who decides is left out."""
    missing = [option for option, given in (("--by", name), ("--role", role)) if not given.strip()]
    if not missing:
        return
    line = [
        "briefgen",
        "approve",
        str(file),
        "--by",
        name.strip() or "NAME",
        "--role",
        role.strip() or "ROLE",
    ]
    whose = "an approval" if withdraw is None else "a withdrawal"
    line += [] if withdraw is None else ["--withdraw", withdraw]
    raise click.UsageError(
        f"{whose} needs {' and '.join(missing)}: it is recorded who decides, and in what role. Type:"
        f" {shlex.join(line)}"
    )


def _approved(asked: Asked, templates: Path | None) -> int:
    from briefgen.approval.reasons import earlier_reasons
    from briefgen.approval.record import Approver, record_for
    from briefgen.approval.refusals import landing_bound, refusals
    from briefgen.build.build import check

    checked = check(asked.file, templates=templates)
    planned = checked.sound
    if planned is None:
        return refuse(asked, checked.diagnostics, checked.texts, EXIT_WRONG)
    plan = planned.plan
    given, wrong, texts = _given(asked, plan, checked.texts)
    bound, found = landing_bound(plan, asked.landing)
    before, others = record_for(asked.file)
    problems = [*wrong, *_only_ours(others)]
    locate, approver = (
        plan.mission.source.spans.locate,
        Approver(
            asked.name.strip(),
            asked.role.strip(),
            asked.at,
            {},
            asked.acting_for.strip(),
            asked.not_crew.strip(),
        ),
    )
    problems += [
        locate(problem) if problem.cause else problem for problem in refusals(plan, approver)
    ] + found
    earlier = {**earlier_reasons(plan, before), **_kept(asked, plan)}
    _tell_doubts(asked, plan)
    given = given if problems else _asked_for(plan, given, earlier)
    problems += _missing(asked, plan, given, earlier, wrong)
    if problems:
        return refuse(asked, problems, texts, EXIT_REFUSED)
    _tell_repeated(asked, plan, given)
    return _write(asked, planned, replace(approver, reasons=given), bound)


def _tell_doubts(asked: Asked, plan: Plan) -> None:
    """What is approved although the check doubts it, before any reason is asked for."""
    from briefgen.brief.wording.doubts import DOUBTS, doubts_words
    from briefgen.console import say

    for doubt in () if asked.as_json else doubts_words(plan.doubts):
        say(f"{DOUBTS} {doubt}")


def _tell_repeated(asked: Asked, plan: Plan, given: dict[str, str]) -> None:
    """A reason that stands for several gates: whether it holds for each only the approver knows."""
    from briefgen.approval.reasons import repeated_reasons
    from briefgen.brief.wording.format import counted, listed
    from briefgen.console import say

    for reason, gates in () if asked.as_json else repeated_reasons(plan, given):
        ids = listed([gate.id for gate in gates])
        say(f"One reason for {counted(len(gates), 'gate')}, {reason!r}: does it hold for each? {ids}")


def _only_ours(found: list[Diagnostic]) -> list[Diagnostic]:
    """A record that is another mission's is not overwritten; one that can't be read is kept aside."""
    return [
        replace(problem, severity="error") for problem in found if problem.code == "approval-record-other"
    ]


def _given(
    asked: Asked, plan: Plan, texts: Mapping[str, str]
) -> tuple[dict[str, str], list[Diagnostic], dict[str, str]]:
    """The reasons of the file, what is wrong with it, texts for excerpts."""
    from briefgen.approval.reasons import read_reasons
    from briefgen.core.diagnostics import Diagnostic
    from briefgen.mission.read.characters import read_file

    if asked.reasons is None:
        return {}, [], dict(texts)
    try:
        data = read_file(asked.reasons)  # more than it may have is refused by what reads it
    except OSError as error:
        problem = Diagnostic(
            "approval-reasons-file",
            "error",
            f"{asked.reasons} cannot be read: {error.strerror}",
            help="check the name and the folder",
        )
        return {}, [problem], dict(texts)
    given, problems, text = read_reasons(data, str(asked.reasons), plan)
    return given, problems, {**texts, str(asked.reasons): text}


def _kept(asked: Asked, plan: Plan) -> dict[str, str]:
    """What was answered in a run that was stopped, to be offered again; a file that is given counts as it
    is."""
    from briefgen.approval.reasons import kept_reasons
    from briefgen.mission.read.characters import read_file

    found: dict[str, str] = {}
    for path in () if asked.reasons is not None else _numbered(_to_fill_in(asked.file)):
        try:
            found |= kept_reasons(read_file(path), str(path), plan)
        except OSError:
            break  # the first number that is free
    return found


def _to_fill_in(mission: Path) -> Path:
    return mission.with_name(f"{mission.stem}.reasons.yaml")


def _numbered(target: Path) -> Iterator[Path]:
    """``x.yaml``, ``x-2.yaml`` to ``x-99.yaml``."""
    for number in ("", *(f"-{n}" for n in range(2, 100))):
        yield target.with_name(f"{target.stem}{number}{target.suffix}")


def _asked_for(plan: Plan, given: dict[str, str], earlier: dict[str, str]) -> dict[str, str]:
    """The reasons with those that a person at a terminal types now."""
    from briefgen.console import is_terminal

    if not (is_terminal(sys.stdin) and is_terminal(sys.stdout)):
        return given
    from briefgen.commands.approve_ask import asked_for

    return asked_for(plan, given, earlier)


def _missing(
    asked: Asked,
    plan: Plan,
    given: dict[str, str],
    earlier: dict[str, str],
    wrong: list[Diagnostic],
) -> list[Diagnostic]:
    """One diagnostic for all reasons that are missing and not told as wrong, and a file to fill in; where
    something is wrong with the file of reasons, that is the one to mend, and nothing of one that can't be
    read."""
    from briefgen.approval.reasons import missing_diagnostic, missing_reasons, reasons_text

    told = {gate for problem in wrong for gate in problem.cause}
    missing = [gate for gate in missing_reasons(plan, given) if gate.id not in told]
    if not missing or any(problem.code != "approval-reasons" for problem in wrong):
        return []
    if wrong and asked.reasons is not None:
        return [missing_diagnostic(missing, asked.reasons, add=True)]
    wanted, text = _to_fill_in(asked.file), reasons_text(plan, given, earlier)
    target = _write_new(wanted, text)
    return (
        [missing_diagnostic(missing, target)]
        if target
        else [missing_diagnostic(missing, wanted), _unwritten(wanted, given)]
    )


def _write_new(target: Path, text: str) -> Path | None:
    """The file under this name or, where there is one already, under the next free number; None when it can't
    be written."""
    for path in _numbered(target):
        try:
            with open(path, "x", encoding="utf-8", newline="\n") as file:
                file.write(text)
            return path
        except FileExistsError:
            if (
                path.stat().st_size < 4 * len(text) + 4
                and path.read_text(encoding="utf-8", errors="replace") == text
            ):
                return path
        except OSError:
            return None
    return None


def _unwritten(target: Path, given: dict[str, str]) -> Diagnostic:
    """That the file to fill in is not there; with the reasons that were given, so that none is lost."""
    from briefgen.core.diagnostics import Diagnostic

    kept = "".join(f"\n{gate}: {reason}" for gate, reason in given.items())
    message = f"{target} could not be written" + (f"; these reasons were given:{kept}" if kept else "")
    return Diagnostic(
        "approval-reasons-file",
        "error",
        message,
        help="mend the rights of that folder, or copy the mission to one that you may write to",
    )


# ---------------------------------------------------------------- writing


def _write(asked: Asked, planned: Planned, approver: Approver, bound: float | None) -> int:
    from briefgen import __version__
    from briefgen.airmath.clocks import tz_version
    from briefgen.approval.bounds import bounds_of
    from briefgen.approval.record import record_bytes, record_path
    from briefgen.core.plain import to_plain

    path = record_path(asked.file)
    head = {
        "mission_file": asked.file.name,
        "mission": planned.mission.file.sortie.name,
        "fingerprint": {"full": planned.fingerprint.full, "spoken": planned.fingerprint.spoken},
        "briefgen": __version__,
        "tz_database": tz_version(),
        "templates": to_plain(planned.templates),
    }
    bounds = bounds_of(planned.plan, landing_fuel=bound)
    data = record_bytes(planned.plan, approver, bounds, head=head)
    older, problem = put(path, data)
    if problem is not None:
        return refuse(asked, [problem], {}, EXIT_NOT_WRITTEN)
    _tell(asked, planned, bounds, (path, older))
    return 0


def _tell(asked: Asked, planned: Planned, bounds: Bounds, written: tuple[Path, Path | None]) -> None:
    from briefgen.approval.bounds import plain_bounds
    from briefgen.approval.forecast import FREELY
    from briefgen.approval.holds import until
    from briefgen.approval.record import NO_SIGNATURE, supervisor_of
    from briefgen.brief.wording.format import dated_z
    from briefgen.commands.report import print_json
    from briefgen.console import one_line, say
    from briefgen.core.plain import to_plain

    (path, older), at = written, asked.at
    if asked.as_json:
        own = {
            "file": str(asked.file),
            "exit_code": 0,
            "written": str(path),
            "kept": str(older) if older else None,
            "diagnostics": [],
        }
        print_json(
            {
                **own,
                "fingerprint": planned.fingerprint.full,
                "at": to_plain(at),
                "supervisor": supervisor_of(planned.plan) or None,
                "bounds": plain_bounds(bounds),
            }
        )
        return
    acting = f" for {asked.acting_for}" if asked.acting_for else ""
    say(
        f"{one_line(str(path))}: {asked.name} ({asked.role}){acting} approves the plan whose cards read"
        f" {planned.fingerprint.spoken}, {dated_z(at)}."
    )
    if not supervisor_of(planned.plan):
        say(f"  Approved by {asked.name} ({asked.role}); the mission names no supervisor (sortie.supervisor)")
    for line in _pass_lines(planned.plan, bounds, at.date()):
        say(f"  {line}")
    say(f"  Lowest landing fuel: {_fuel_words(planned.plan.fuel, bounds, typed=asked.landing is not None)}")
    say(f"  Weather: no worse than judged now; {len(bounds.weather_minima)} minima as they stand; {FREELY}")
    say(f"  Lapses: {until(bounds.lapses)}, {bounds.lapses_because}")
    if older is not None:
        say(f"  The record before this one is kept as {older}")
    say(f"{NO_SIGNATURE} Build again, so that the products say so.")


def _pass_lines(plan: Plan, bounds: Bounds, today: date) -> Iterator[str]:
    """From when until when each T is approved; of several passes also what else is approved with it."""
    from briefgen.approval.bounds import window
    from briefgen.brief.wording.format import clock_z, fuel_figure, height, time_limit
    from briefgen.brief.wording.passes import pass_name

    for pass_, own in zip(plan.passes, bounds.passes, strict=True):
        span = window(own.earliest, own.latest, today)
        if len(plan.passes) == 1:
            yield f"True time over target: {span}"
            continue
        flown = "NOT CHECKED"
        if own.latest_flown is not None:
            flown = clock_z(time_limit(own.latest_flown, "latest"), day=today)
        bingo = "NOT CHECKED"
        if own.bingo is not None and plan.fuel is not None:
            bingo = fuel_figure(own.bingo, plan.fuel.unit)
        yield (
            f"{pass_name(pass_.section)}: T {clock_z(pass_.true_time, day=today)}, approved {span}; latest"
            f" that can be flown {flown}; lowest ship reads {height(pass_.lowest_altitude_ft)} MSL;"
            f" bingo {bingo}"
        )


def _fuel_words(fuel: FuelPlan | None, bounds: Bounds, *, typed: bool) -> str:
    """What is predicted, and how far it may fall without another decision."""
    from briefgen.brief.wording.format import fuel_figure

    if fuel is None or bounds.landing_fuel is None:
        return "NOT CHECKED"
    because = "as typed with --lowest-landing" if typed else "what the plan requires"
    return (
        f"predicted {fuel_figure(fuel.lowest_landing, fuel.unit)}, ship {fuel.lowest_landing_ship}; without a"
        f" new approval it may fall to {fuel_figure(bounds.landing_fuel, fuel.unit)}, {because}"
    )
