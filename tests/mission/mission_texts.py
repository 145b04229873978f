"""Small missions for the tests, and the regatta with its zones given by hand (so that no map has to be
loaded)."""

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.load import load_mission_text
from tests.places import REPOSITORY

PASS_ONLY = (REPOSITORY / "tests" / "cases" / "ok-pass-only.yaml").read_text(encoding="utf-8")
TRAINING_ONLY = (REPOSITORY / "tests" / "cases" / "ok-training-only.yaml").read_text(encoding="utf-8")


def regatta() -> str:
    """The demonstration mission with time zones given by hand."""
    text = (REPOSITORY / "missions" / "regatta.yaml").read_text(encoding="utf-8")
    text = changed(
        text,
        "    open: 07:00 to 19:00 base",
        "    time_zone: Australia/Adelaide\n    open: 07:00 to 19:00 base",
    )
    return changed(text, "elevation: 10 ft MSL}", "elevation: 10 ft MSL, time_zone: Australia/Melbourne}")


def changed(text: str, old: str, new: str) -> str:
    """The text with the one place of ``old`` replaced; a text without it, or with several, would test
    nothing."""
    assert text.count(old) == 1, f"{old!r} stands {text.count(old)} times"
    return text.replace(old, new)


def start() -> str:
    """The mission to start from, with its time zone given by hand."""
    text = (REPOSITORY / "missions" / "start.yaml").read_text(encoding="utf-8")
    text = changed(
        text, "    name: Oakmere airfield\n", "    name: Oakmere airfield\n    time_zone: Europe/Dublin\n"
    )
    return changed(text, "elevation: 120 ft MSL}", "elevation: 120 ft MSL, time_zone: Europe/Dublin}")


START = start()
# the pass with its one cue at the first second of the date, for a true time by the clock at any hour after it
EARLY_HYMN = changed(PASS_ONLY, "time: 13:00:00 event", "time: 00:00:00 event")


def told_of(text: str) -> list[Diagnostic]:
    """What is told of a text that isn't told of the mission to start from."""
    folder = REPOSITORY / "missions"
    known = {(problem.code, problem.message) for problem in load_mission_text(START, "m.yaml")[1]}
    found = load_mission_text(text, "m.yaml", folder=folder)[1]
    return [problem for problem in found if (problem.code, problem.message) not in known]
