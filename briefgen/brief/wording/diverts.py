"""Course and hours of a divert as cards, slides and maps have them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_CHECKED, course_words
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.gates.weather import elsewhere
from briefgen.plan.model import Gate
from briefgen.plan.route.diverts import Divert, open_at_landing
from briefgen.plan.sortie import Plan


def divert_course(mission: Mission, divert: Divert) -> str:
    """``042 M`` from where it is seen; empty right over it."""
    bearing = divert.course_true_deg
    return "" if bearing is None else course_words(mission, divert.start, bearing)


def open_words(plan: Plan, id: str, day: date) -> str | None:
    """For a column headed Z, the hours that hold the last landing: ``until 11:00``, ``18:30 to 23:00`` where
    it opens after take-off, a date where it isn't ``day``; ``CLOSED then``; ``H24``; None where no hours are
    given."""
    hours = open_at_landing(plan, id)
    if hours is None or hours == "H24":
        return hours
    if hours == "closed":
        return "CLOSED then"
    if hours.start <= plan.clock.takeoff:
        end = words.time_limit(hours.end, "latest", seconds=False)
        return f"until {words.clock_bare(end, day=day, seconds=False)}"
    return words.hours_z(hours.start, hours.end, day=day, bare=True)


def weather_words(plan: Plan, id: str) -> str:
    """``BELOW MINIMA`` for a place whose forecast fails its ceiling or visibility, ``weather NOT CHECKED``
    where one of them was not judged; else empty."""
    field = next((field for field in elsewhere(plan) if field.place == id), None)
    asked = [] if field is None else [field.about(figure).id for figure in ("ceiling", "visibility")]
    return judged_words(gate for gate in plan.gates if gate.rule in asked)


def judged_words(gates: Iterable[Gate]) -> str:
    """The same by the gates of a ceiling and a visibility."""
    verdicts = {gate.verdict for gate in gates}
    if "FAIL" in verdicts:
        return "BELOW MINIMA"
    return f"weather {NOT_CHECKED}" if "NOT CHECKED" in verdicts else ""
