"""What was typed after ``briefgen retime FILE``, checked and turned into a wanted true time and a moment."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from briefgen.airmath.times import ClockContext
from briefgen.diagnostics import Diagnostic, has_errors
from briefgen.mission.clocks import read_instant
from briefgen.mission.resolve import Mission
from briefgen.plan.model import Plan
from briefgen.records import record
from briefgen.retime.answer import Phase, Wanted, read_back_at
from briefgen.retime.heard import check_names, predicted

MOST_SLIP_S = 6 * 3600.0  # our own bound against slips of the keyboard
_SLIP = re.compile(r"(?P<sign>[-+]?)(?P<number>[0-9]{1,5}(?:\.[0-9]+)?)(?: ?(?P<unit>s|min))?")


@record
class Typed:
    """The options as typed; exactly one of ``to``, ``slip`` and ``heard`` says what is wanted."""

    to: str | None = None
    slip: str | None = None
    heard: tuple[tuple[str, str], ...] = ()
    now: str | None = None
    phase: str | None = None


def wanted(plan: Plan, typed: Typed) -> tuple[Wanted | None, list[Diagnostic]]:
    """What is wanted, or None with everything that is wrong with the options."""
    mission = plan.mission
    problems = _one_question(typed)
    now, found = _time(mission, typed.now, "--now")
    problems += found
    heard, found = _heard(mission, typed, now)
    problems += found
    true_time, found = _asked(mission, typed)
    problems += found
    if has_errors(problems):
        return None, problems
    if heard:
        now = now or max(at for _, at in heard)
    told = read_back_at(plan, now=now if typed.phase is None else None, phase=_phase(typed))
    if not heard:
        return Wanted(true_time, told), []
    found_t = predicted(mission, heard, now=now)
    return Wanted(found_t.true_time, told, heard, found_t), []


def _phase(typed: Typed) -> Phase:
    return typed.phase or "planned"  # type: ignore[return-value]


def _one_question(typed: Typed) -> list[Diagnostic]:
    given = [name for name, value in (("--to", typed.to), ("--slip", typed.slip), ("--heard", typed.heard)) if value]
    problems = []
    if len(given) != 1:
        what = "nothing says what is to change" if not given else f"{' and '.join(given)} are given together"
        problems.append(Diagnostic("retime-options", "error", what, help="give one of --to TIME, --slip SECONDS, --heard CUE TIME"))
    if typed.now and typed.phase:
        problems.append(Diagnostic("retime-options", "error", "--now and --phase are given together", help="one of them says where the flight is"))
    return problems


def _time(mission: Mission, text: str | None, name: str) -> tuple[datetime | None, list[Diagnostic]]:
    if not text:
        return None, []
    context = ClockContext(mission.date, mission.base_zone, mission.event_zone)
    return read_instant(text, mission.times.true_time, context, name)


def _heard(mission: Mission, typed: Typed, now: datetime | None) -> tuple[tuple[tuple[str, datetime], ...], list[Diagnostic]]:
    if not typed.heard:
        return (), []
    problems, notes = check_names(mission, typed.heard), []
    for name, text in typed.heard:
        at, found = _time(mission, text, f"--heard {name}")
        problems += found
        if at is not None and now is not None and at > now:
            problems.append(Diagnostic("heard-later", "error", f"{name} is heard after --now", help="check both times, and whose clock they are of"))
        notes.append((name, at))
    return tuple(notes), problems


def _asked(mission: Mission, typed: Typed) -> tuple[datetime | None, list[Diagnostic]]:
    if typed.to:
        at, found = _time(mission, typed.to, "--to")
        if at is None or abs(at - mission.times.true_time) <= timedelta(seconds=MOST_SLIP_S):
            return at, found
        return None, [_far(typed.to)]
    if not typed.slip:
        return None, []
    match = _SLIP.fullmatch(typed.slip.strip().replace("\u2212", "-"))
    if match is None:
        help = "write seconds, later with +, earlier with -: --slip +90, --slip -30; or 2 min"
        return None, [Diagnostic("slip", "error", f'--slip: cannot read "{typed.slip}" as seconds', None, "a slip is how much later T is", help)]
    seconds = float(match["number"]) * (60.0 if match["unit"] == "min" else 1.0) * (-1.0 if match["sign"] == "-" else 1.0)
    if abs(seconds) > MOST_SLIP_S:
        return None, [_far(typed.slip)]
    return mission.times.true_time + timedelta(seconds=seconds), []


def _far(text: str) -> Diagnostic:
    return Diagnostic("far-time", "error", f'"{text}" lies more than six hours from the true time', help="check the time and whose clock it is of; else change the mission file")
