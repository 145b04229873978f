"""Who may approve, when, how the reasons are asked for at a terminal, and how a decision is taken back."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import click
import pytest

from briefgen import cli
from briefgen.approval.reasons import earlier_reasons
from briefgen.approval.record import read_record, record_path
from briefgen.build.build import approval_of, check
from briefgen.core import resources
from briefgen.core.plain import to_plain
from briefgen.plan.model import Gate

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

REGATTA = (resources.missions_folder() / "regatta.yaml").read_text(encoding="utf-8")
# the forecast was issued at 22:00 Z and is valid to 06:00 Z on the 30th
AT = datetime(2027, 1, 29, 22, 30, tzinfo=UTC)
SUPERVISOR = next(line for line in REGATTA.splitlines(True) if line.startswith("  supervisor: "))
SELF = "  self_authorised: {authority: Wing order 12 part 3, reason: no supervisor at the deployed base}\n"
ALLOWED = (SUPERVISOR, SELF + SUPERVISOR)
OWN = (SUPERVISOR, SELF + "  supervisor: {name: Maj R. Okafor-Lind}\n")  # who leads
UNSAID_OWN = (SUPERVISOR, OWN[1].replace("Wing order 12 part 3", "TBD"))
UNNAMED_ALLOWED = (SUPERVISOR, SELF)


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    """A folder with the mission and a reason for every gate that needs one."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: AT)
    Path("regatta.yaml").write_text(REGATTA, encoding="utf-8")
    return tmp_path


def approve(capsys, *options: str, by: str = "Lt Col S. Varga") -> tuple[int, str, str]:
    capsys.readouterr()
    code = cli.run(["approve", "regatta.yaml", "--by", by, "--role", "duty supervisor", *options])
    return code, *capsys.readouterr()


def reasons(capsys) -> str:
    """A file with a reason for every gate; its name. It is asked for once for each text of the mission."""
    path, mission = Path("regatta.reasons.yaml"), Path("regatta.yaml").read_text(encoding="utf-8")
    if mission not in ANSWERED:
        approve(capsys)
        ANSWERED[mission] = "\n".join(
            f"{line} seen and accepted" if line.endswith(":") and line[0] != "#" else line
            for line in path.read_text(encoding="utf-8").splitlines()
        )
    path.write_text(ANSWERED[mission], encoding="utf-8")
    return str(path)


ANSWERED: dict[str, str] = {}  # a mission's text → the file of reasons that it asks for, filled in


# ---------------------------------------------------------------- who

WHO = [
    # who approves           in whose place               the mission                             code   a
    # word that is told
    ("S. Varga", (), None, 0, ""),
    (
        "A. Holm",
        (),
        None,
        1,
        "A. Holm is not the supervisor of this flight: the mission names Lt Col S. Varga",
    ),
    ("A. Holm", ("--acting-for", "Varga"), None, 0, "A. Holm (duty supervisor) for Varga approves"),
    ("A. Holm", ("--acting-for", "B. Dean"), None, 1, "B. Dean is not the supervisor"),
    ("S. Vagra", (), None, 1, 'did you mean --by "Lt Col S. Varga"?'),
    (
        "A. Holm",
        ("--acting-for", "S. Vargo"),
        None,
        1,
        'did you mean --acting-for "Lt Col S. Varga"? for another person correct the name',
    ),
    ("S. Varga", ("--acting-for", "S. Varga"), None, 1, "leave out --acting-for"),
    ("A. Holm", ("--acting-for", "x" * 90), None, 1, "1 to 80 printable characters"),
    ("R. Okafor-Lind", ("--acting-for", "S. Varga"), None, 1, "Maj R. Okafor-Lind flies ship 1"),
    # the file allows its supervisor to approve a flight that he flies himself, and no other of the crew
    ("R. Okafor-Lind", (), OWN, 0, ""),
    ("R. Okafor-Lind", (), UNSAID_OWN, 1, "Maj R. Okafor-Lind flies ship 1"),
    ("R. Okafor-Lind", ("--acting-for", "R. Okafor-Lind"), OWN, 1, "leave out --acting-for"),
    ("J. Quigley", (), OWN, 1, "J. Quigley can't approve this flight: Lt J. Quigley flies ship 4"),
    ("J. Quigley", ("--acting-for", "R. Okafor-Lind"), OWN, 1, "Lt J. Quigley flies ship 4"),
    ("J. Quigley", (), ALLOWED, 1, "Lt J. Quigley flies ship 4"),
    ("J. Quigley", (), UNNAMED_ALLOWED, 1, "names no supervisor"),
    # one letter too many, one wrong, two swapped, the family name alone; another initial is near enough to be
    # asked about
    (
        "J. Quigleyy",
        ("--acting-for", "S. Varga"),
        None,
        1,
        "regatta.yaml:76:21: error: J. Quigleyy reads nearly like Lt J. Quigley, who flies ship 4",
    ),
    ("Quigly", ("--acting-for", "S. Varga"), None, 1, "reads nearly like Lt J. Quigley"),
    (
        "M. Arakwaa",
        ("--acting-for", "S. Varga"),
        None,
        1,
        "reads nearly like Capt M. Arakawa, who flies ship 3",
    ),
    ("K. Quigley", ("--acting-for", "S. Varga"), None, 1, "reads nearly like Lt J. Quigley"),
    # the family name first, with its initial or a whole given name
    ("Quigly J", ("--acting-for", "S. Varga"), None, 1, "reads nearly like Lt J. Quigley"),
    ("Quigly James", ("--acting-for", "S. Varga"), None, 1, "reads nearly like Lt J. Quigley"),
    ("Quigley J", ("--acting-for", "S. Varga"), None, 1, "Lt J. Quigley flies ship 4"),
    ("TBD", ("--acting-for", "S. Varga"), None, 1, "the approver's name, TBD, only keeps the place of one"),
    ("A. Holm", ("--acting-for", "n/a"), None, 1, "the approver's place, n/a, only keeps the place of one"),
    *(
        ("A. Holm", (), (SUPERVISOR, SUPERVISOR.replace("Lt Col S. Varga", nobody)), 0, "no supervisor")
        for nobody in ("TBD", "Lt Col", "OC Flying")
    ),
    ("Maj", ("--acting-for", "S. Varga"), None, 1, "the approver's name, Maj, is a rank without a name"),
    ("Sqn Ldr", ("--acting-for", "S. Varga"), None, 1, "is a rank without a name"),
    (
        "A. Holm",
        ("--acting-for", "Lt Col"),
        None,
        1,
        "place, Lt Col, is a rank without a name",
    ),
    ("Maj J. Major", ("--acting-for", "S. Varga"), None, 0, ""),
    # a rank before what only keeps the place of a name
    *(
        (nobody, ("--acting-for", "S. Varga"), None, 1, f"{nobody}, is a rank without a name")
        for nobody in ("Lt Col TBD", "Capt Unknown", "Capt. N.N.", "Sqn Ldr to be named")
    ),
    # a post, without who holds it; whose family name reads like one has an initial
    *(
        (post, ("--acting-for", "S. Varga"), None, 1, f"the approver's name, {post}, is a post, and names no")
        for post in ("OC Flying", "Duty Officer", "SOF", "OC 3 Sqn", "Flying supervisor", "Ops")
    ),
    ("A. Holm", ("--acting-for", "OC Flying"), None, 1, "the approver's place, OC Flying, is a post"),
    ("J. Chief", ("--acting-for", "S. Varga"), None, 0, ""),
    # an aircraft of the flight, GANNET, is nobody; nor is it in whose place one approves
    *(
        (ship, ("--acting-for", "S. Varga"), None, 1, f"the approver's name, {ship}, is that of an aircraft")
        for ship in ("GANNET 2", "Gannet-02", "GANNET", "gannet lead", "Ship 2", "ship 12", "Capt GANNET 2")
    ),
    (
        "A. Holm",
        ("--acting-for", "GANNET 1"),
        None,
        1,
        "the approver's place, GANNET 1, is that of an aircraft",
    ),
    ("P. Gannet", ("--acting-for", "S. Varga"), None, 0, ""),
    ("Capt Shipley", ("--acting-for", "S. Varga"), None, 0, ""),
    # a family name of two, of which one is a crew member's: a name may be longer here than there
    *(
        (double, ("--acting-for", "S. Varga"), None, 1, f"{double} reads nearly like {member}")
        for double, member in (
            ("Tom Wessel-Smith", "Capt T. Wessel"),
            ("Tom Wessel Smith", "Capt T. Wessel"),
            ("Wessel-Smith, T.", "Capt T. Wessel"),
            ("Wessel-Smith", "Capt T. Wessel"),
            ("R. Okafor", "Maj R. Okafor-Lind"),
        )
    ),
    ("Tom Wessel-Smith", ("--acting-for", "S. Varga", "--not-crew", "Capt T. Wessel"), None, 0, ""),
    ("K. Arden-Smith", ("--acting-for", "S. Varga"), None, 0, ""),
    ("K. Quigley", ("--acting-for", "S. Varga", "--not-crew", "Lt J. Quigley"), None, 0, ""),
    (
        "K. Quigley",
        ("--acting-for", "S. Varga", "--not-crew", "T. Wessel"),
        None,
        1,
        "reads nearly like Lt J. Quigley",
    ),
    (
        "J. Quigley",
        ("--acting-for", "S. Varga", "--not-crew", "Lt J. Quigley"),
        None,
        1,
        "Lt J. Quigley flies ship 4",
    ),
    ("S. Varga", (), ("crew: [Lt J. Quigley]", "crew: [Lt S. Vargas]"), 0, ""),  # the mission names both
    (
        "A. Holm",
        (),
        OWN,
        1,
        "A. Holm is not the supervisor of this flight: the mission names Maj R. Okafor-Lind",
    ),
    (
        "A. Holm",
        (),
        (SUPERVISOR, ""),
        0,
        "Approved by A. Holm (duty supervisor); the mission names no supervisor (sortie.supervisor)",
    ),
]


@pytest.mark.parametrize(("by", "options", "swap", "code", "word"), WHO)
def test_who_may_approve(here, capsys, by, options, swap, code, word):
    if swap:
        assert swap[0] in REGATTA
        Path("regatta.yaml").write_text(REGATTA.replace(*swap), encoding="utf-8")
    found, out, err = approve(capsys, "--reasons", reasons(capsys), *options, by=by)
    assert found == code and word in out + err, out + err
    assert record_path(Path("regatta.yaml")).exists() is (code == 0)


def test_the_mend_that_is_offered_is_accepted(here, capsys):
    name = reasons(capsys)
    assert 'add --acting-for "Lt Col S. Varga"' in approve(capsys, "--reasons", name, by="A. Holm")[2]
    assert approve(capsys, "--reasons", name, "--acting-for", "Lt Col S. Varga", by="A. Holm")[0] == 0


def test_in_whose_place_and_by_whose_authority_is_recorded_and_printed(here, capsys):
    approve(capsys, "--reasons", reasons(capsys), "--acting-for", "S. Varga", by="A. Holm")
    document = json.loads(Path("regatta.approval.json").read_text(encoding="utf-8"))
    assert document["by"] == {"name": "A. Holm", "role": "duty supervisor", "acting_for": "S. Varga"}
    assert document["supervisor_compared"] == "Lt Col S. Varga"
    state = approval_of(check(Path("regatta.yaml")).planned)[0]
    assert (
        dict(state.lines())["Approved by"] == "A. Holm (duty supervisor) for S. Varga, 29 Jan 2027 22:30:00 Z"
    )
    Path("regatta.yaml").write_text(REGATTA.replace(*OWN), encoding="utf-8")
    approve(capsys, "--reasons", "regatta.reasons.yaml", by="R. Okafor-Lind")
    assert (
        json.loads(Path("regatta.approval.json").read_text(encoding="utf-8"))["by"]["self_authorised"][
            "authority"
        ]
        == "Wing order 12 part 3"
    )
    lines = dict(approval_of(check(Path("regatta.yaml")).planned)[0].lines())
    assert lines["Self-authorised"] == "Wing order 12 part 3: no supervisor at the deployed base"


@pytest.mark.parametrize(
    ("by", "options", "swap", "own"),
    [
        ("Lt Col S. Varga", (), ALLOWED, False),  # the mission allows it, but this supervisor doesn't fly
        ("A. Holm", ("--acting-for", "S. Varga"), ALLOWED, False),
        ("Lt Col S. Varga", (), (), False),
        ("R. Okafor-Lind", (), OWN, True),
    ],
)
def test_self_authorised_is_who_flies_and_nobody_else(here, capsys, by, options, swap, own):
    Path("regatta.yaml").write_text(REGATTA.replace(*swap) if swap else REGATTA, encoding="utf-8")
    assert approve(capsys, "--reasons", reasons(capsys), *options, by=by)[0] == 0
    document = json.loads(Path("regatta.approval.json").read_text(encoding="utf-8"))
    assert ("self_authorised" in document["by"]) is own


def test_that_the_mission_named_no_supervisor_is_recorded_and_printed(here, capsys):
    Path("regatta.yaml").write_text(REGATTA.replace(SUPERVISOR, ""), encoding="utf-8")
    name = reasons(capsys)
    assert "\nsupervisor-apart: " in Path(name).read_text(encoding="utf-8")  # NOT CHECKED wants its reason
    assert approve(capsys, "--reasons", name, by="A. Holm")[0] == 0
    document = json.loads(Path("regatta.approval.json").read_text(encoding="utf-8"))
    assert document["supervisor_compared"] == ""
    state = approval_of(check(Path("regatta.yaml")).planned)[0]
    told = "A. Holm (duty supervisor), 29 Jan 2027 22:30:00 Z; the mission named no supervisor"
    assert dict(state.lines())["Approved by"] == told


# ---------------------------------------------------------------- when

# Take-off is at 13:07:00 base, UTC+11 (02:07:00 Z), before the forecast ends at 06:00 Z.
WHEN = [
    (datetime(2027, 1, 29, 22, 0, tzinfo=UTC), 0, ""),
    (
        datetime(2027, 1, 29, 21, 59, 59, tzinfo=UTC),
        1,
        "29 Jan 2027 21:59:59 Z, but the forecast was issued after that: 29 Jan 2027 22:00:00 Z",
    ),
    (datetime(2027, 1, 30, 2, 6, 59, tzinfo=UTC), 0, ""),
    (datetime(2027, 1, 30, 2, 7, tzinfo=UTC), 1, "the take-off of this plan was 30 Jan 2027 02:07:00 Z"),
    (datetime(2027, 1, 30, 3, 50, tzinfo=UTC), 1, "what has taken off can't be approved any more"),
]


def test_a_forecast_that_has_ended_before_take_off_is_refused(here, capsys, monkeypatch):
    """The forecast ends at 02:00 Z, seven minutes before take-off: that ends the approval, and an approval
    after it is refused."""
    Path("regatta.yaml").write_text(
        REGATTA.replace("2027-01-30 06:00 Z", "2027-01-30 02:00 Z"), encoding="utf-8"
    )
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: datetime(2027, 1, 30, 2, 0, 1, tzinfo=UTC))
    assert (
        "an approval of this plan ended at 30 Jan 2027 02:00:00 Z (end of the forecast)" in approve(capsys)[2]
    )


@pytest.mark.parametrize(("moment", "code", "word"), WHEN)
def test_a_clock_before_the_forecast_is_doubted_and_after_take_off_nothing_is_approved(
    here, capsys, monkeypatch, moment, code, word
):
    name = reasons(capsys)
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: moment)
    found, _, err = approve(capsys, "--reasons", name)
    assert found == code and word in err


# ---------------------------------------------------------------- taken back


@pytest.mark.parametrize("option", ["--acting-for", "--not-crew", "--reasons", "--lowest-landing"])
def test_a_withdrawal_refuses_the_options_of_an_approval(here, capsys, option):
    """They were left aside without a word."""
    code, _, err = approve(capsys, "--withdraw", "the crane has moved", option, "1000 lb")
    assert code == 1 and f"{option} has no place in a withdrawal" in err and f"leave {option} out" in err


def test_an_approval_is_withdrawn_with_a_reason_and_every_page_and_verify_say_so(here, capsys, monkeypatch):
    monkeypatch.setattr("briefgen.commands.verify.now", lambda: AT)
    assert "there is no approval to withdraw" in approve(capsys, "--withdraw", "the crane has moved")[2]
    approve(capsys, "--reasons", reasons(capsys))
    record = Path("regatta.approval.json").read_bytes()
    Path("regatta.approval.json").write_bytes(record[:-40])
    damaged = approve(capsys, "--withdraw", "the crane has moved")[2]
    assert "build again, so that the products say NOT APPROVED" in damaged and "approved again" not in damaged
    assert "regatta.yaml is not approved; nothing was withdrawn" in damaged
    Path("regatta.approval.json").write_bytes(record)
    code, _, err = approve(capsys, "--withdraw", "no")
    assert (
        code == 1
        and "has 1 word, the least is 3" in err
        and "regatta.yaml is still approved, by Lt Col S. Varga (duty supervisor); nothing was withdrawn"
        in err
        and Path("regatta.approval.json").read_bytes() == record
    )
    # the plan need not be readable any more
    Path("regatta.yaml").write_text("briefgen: 1\n", encoding="utf-8")
    code, out, _ = approve(capsys, "--withdraw", "the crane has moved", by="A. Holm")
    assert (
        code == 0
        and "the approval by Lt Col S. Varga (duty supervisor) is withdrawn by A. Holm (duty supervisor),"
        " 29 Jan 2027 22:30:00 Z: the crane has moved"
        in out
    )
    assert Path("regatta.approval-20270129T223000Z.json").read_bytes() == record
    Path("regatta.yaml").write_text(REGATTA, encoding="utf-8")
    state = approval_of(check(Path("regatta.yaml")).planned)[0]
    assert (state.stamp, state.stands, state.reasons) == ("NOT APPROVED", False, {})
    assert state.lines() == (
        ("Approval withdrawn by", "A. Holm (duty supervisor), 29 Jan 2027 22:30:00 Z: the crane has moved"),
    )
    Path("card.html").write_text(
        f"<html><p>{read_record(Path('regatta.approval.json'))[0].fingerprint}</p></html>", encoding="utf-8"
    )
    capsys.readouterr()
    assert cli.run(["verify", "card.html"]) == 1
    assert "\nWITHDRAWN  card.html" in capsys.readouterr().err
    assert "it was withdrawn already" in approve(capsys, "--withdraw", "the crane has moved")[2]
    assert approve(capsys, "--reasons", "regatta.reasons.yaml")[0] == 0  # and may be approved again
    assert approval_of(check(Path("regatta.yaml")).planned)[0].state == "APPROVED"


# what is typed  →  what is missing, and the whole line
LEFT_OUT = [
    (
        ["--withdraw", "the crane moved"],
        "a withdrawal needs --by and --role",
        "briefgen approve regatta.yaml --by NAME --role ROLE --withdraw 'the crane moved'",
    ),
    (
        ["--by", "A. Holm", "--withdraw", "the crane moved"],
        "a withdrawal needs --role",
        "briefgen approve regatta.yaml --by 'A. Holm' --role ROLE --withdraw 'the crane moved'",
    ),
    (["--role", "lead"], "an approval needs --by", "briefgen approve regatta.yaml --by NAME --role lead"),
    (
        ["--by", " ", "--role", "lead"],
        "an approval needs --by",
        "briefgen approve regatta.yaml --by NAME --role lead",
    ),
]


@pytest.mark.parametrize(("typed", "missing", "line"), LEFT_OUT)
def test_who_decides_is_asked_for_with_the_whole_line_to_type(here, capsys, typed, missing, line):
    assert cli.run(["approve", "regatta.yaml", *typed]) == 2
    told = capsys.readouterr().err
    assert missing in told and told.endswith(f"Type: {line}\n"), told


# ---------------------------------------------------------------- whose record


def test_two_files_of_one_name_do_not_share_a_record(here, capsys):
    name = reasons(capsys)
    assert approve(capsys, "--reasons", name)[0] == 0
    Path("regatta.yml").write_text(REGATTA, encoding="utf-8")
    state, (problem,) = approval_of(check(Path("regatta.yml")).planned)
    assert (
        state.state == "NOT APPROVED"
        and problem.code == "approval-record-other"
        and "rename regatta.yml or regatta.yaml" in problem.help
    )
    record = Path("regatta.approval.json").read_bytes()
    assert (
        cli.run(["approve", "regatta.yml", "--by", "S. Varga", "--role", "supervisor", "--reasons", name])
        == 1
    )
    assert "is that of regatta.yaml, not of regatta.yml" in capsys.readouterr().err
    assert Path("regatta.approval.json").read_bytes() == record
    Path("regatta.yml").unlink()
    assert approval_of(check(Path("regatta.yaml")).planned)[0].state == "APPROVED"


# ---------------------------------------------------------------- asked at a terminal


@pytest.fixture
def typed(monkeypatch):
    """A person at a terminal: answers one after the other, the last one again and again; the questions that
    were put."""

    def person(*answers: str | type[BaseException]) -> list[str]:
        asked: list[str] = []
        monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
        monkeypatch.setattr("sys.stdout.isatty", lambda: True, raising=False)

        def prompt(question, **_options):
            answer = answers[min(len(asked), len(answers) - 1)]
            asked.append(question)
            if isinstance(answer, str):
                return answer
            raise answer

        monkeypatch.setattr("click.prompt", prompt)
        return asked

    return person


def open_gates() -> int:
    """How many reasons are asked for: figures that only lack a limit ask for one together."""
    gates = [
        gate
        for gate in check(Path("regatta.yaml")).planned.plan.gates
        if gate.verdict in ("CAUTION", "NOT CHECKED")
    ]
    return sum(gate.lacks != "limit" for gate in gates) + any(gate.lacks == "limit" for gate in gates)


def test_each_missing_reason_is_asked_for_with_its_number_and_an_empty_answer_leaves_it_open(
    here, capsys, typed
):
    Path("r.yaml").write_text("terrain: read off the chart\n", encoding="utf-8")
    asked, total = typed("", "seen and accepted"), open_gates() - 1  # one is in the file
    questions = [1, 2, 3, *range(3, total + 1)]  # the third's reason is the second's: asked for once more
    code, out, err = approve(capsys, "--reasons", "r.yaml")
    assert [question.split(",")[0].strip() for question in asked] == [f"{n} of {total}" for n in questions]
    assert code == 1 and "1 reason missing" in err
    assert "The flight hits what is there" in out
    # no answer is lost
    assert Path("regatta.reasons.yaml").read_text(encoding="utf-8").count("seen and accepted") == total - 1


def test_a_reason_that_can_not_stand_is_refused_at_once_and_asked_again(here, capsys, typed):
    asked = typed("ok", f"seen by {'xa' * 120}x", "read \u5c71 off", "seen and accepted")
    code, out, _ = approve(capsys)
    assert code == 0 and len(asked) == open_gates() + 4 and len(set(asked[:4])) == 1
    assert "That has 1 word, the least is 3" in out and "That has 249 letters" in out and "U+5C71" in out


def test_a_reason_given_for_another_gate_is_questioned_once_and_told_with_the_record(here, capsys, typed):
    asked = typed("seen and accepted")
    code, out, _ = approve(capsys)
    assert code == 0 and len(asked) == open_gates() + 1
    assert out.count("If it holds here too, give it again") == 1
    assert f"One reason for {open_gates()} gates, 'seen and accepted': does it hold for each? " in out


@pytest.mark.parametrize("stop", [click.Abort, KeyboardInterrupt])
def test_after_ctrl_c_what_was_answered_is_kept(here, capsys, typed, stop):
    typed("seen and accepted", "seen by day", stop)
    code, out, err = approve(capsys)
    assert code == 1 and "what was answered is kept" in out and f"{open_gates() - 2} reasons missing" in err
    kept = Path("regatta.reasons.yaml").read_text(encoding="utf-8")
    assert "seen and accepted" in kept and "seen by day" in kept


@pytest.mark.parametrize(
    ("change", "offered"),
    [(("Lt J. Quigley", "Lt B. Quimby"), 2), (("ENTRY", "GATEWAY"), 1)],
    ids=["the same figures", "another way"],
)
def test_what_was_answered_before_ctrl_c_is_offered_on_the_next_run(here, capsys, typed, change, offered):
    """Asked for first is the terrain, by the names of the way; second the notices."""
    typed("seen and accepted", "seen by day", click.Abort)
    approve(capsys)
    Path("regatta.yaml").write_text(REGATTA.replace(*change), encoding="utf-8")
    asked = typed("")
    code, _, err = approve(capsys)
    assert sum("as before" in question for question in asked) == offered
    assert code == 1 and f"{open_gates() - offered} reasons missing" in err


def test_stopped_by_ctrl_c_it_says_that_no_record_was_written(here, capsys, monkeypatch):
    def stopped(*_arguments, **_options):
        raise KeyboardInterrupt

    monkeypatch.setattr("briefgen.build.build.check", stopped)
    code, _, err = approve(capsys)
    assert code == 130 and err.strip() == "stopped; no record was written"


def test_stopped_after_the_record_was_written_it_says_so(here, capsys, monkeypatch, typed):
    def stopped(*_arguments, **_options):
        raise KeyboardInterrupt

    typed("seen and accepted")
    monkeypatch.setattr("briefgen.commands.approve._tell", stopped)
    code, _, err = approve(capsys)
    assert code == 130 and err.strip().endswith("stopped; the record was written: regatta.approval.json")
    assert Path("regatta.approval.json").exists()


@pytest.mark.parametrize(
    ("answers", "kept"),
    [(("seen and accepted", click.Abort), "seen and accepted"), ((click.Abort,), "")],
    ids=["one answer", "none"],
)
def test_where_no_file_can_be_written_the_answers_are_told_and_no_more(
    here, capsys, typed, monkeypatch, answers, kept
):
    monkeypatch.setattr("briefgen.commands.approve._write_new", lambda target, text: None)
    typed(*answers)
    code, _, err = approve(capsys)
    assert (
        code == 1
        and "regatta.reasons.yaml could not be written" in err
        and "copy the mission to one that you may write to" in err
    )
    assert kept in err and "Why each of these is accepted" not in err and "NOT CHECKED:" not in err


def test_an_earlier_reason_is_offered_and_taken_by_an_empty_answer(here, capsys, typed):
    """Approved once; then ship 4 gets another pilot, which asks for a new approval and changes no gate."""
    typed("seen and accepted")
    assert approve(capsys)[0] == 0
    Path("regatta.yaml").write_text(REGATTA.replace("Lt J. Quigley", "Lt B. Quimby"), encoding="utf-8")
    asked = typed("")
    assert approve(capsys)[0] == 0 and len(asked) == open_gates()
    assert all("as before, 'seen and accepted'" in question for question in asked)
    Path("regatta.yaml").write_text(REGATTA.replace("Lt J. Quigley", "Lt C. Quill"), encoding="utf-8")
    typed("-")
    code, _, err = approve(capsys)
    assert code == 1 and f"{open_gates()} reasons missing" in err
    assert (
        Path("regatta.reasons.yaml").read_text(encoding="utf-8").count("# accepted before: seen and accepted")
        == open_gates()
    )


EARLIER = [
    # the gate now, against CAUTION at 610 ft and "no tiles" as accepted       offered?
    ({"value": 610.0, "margin": -390.0}, True),
    ({"value": 700.0, "margin": -300.0}, True),
    ({"value": 600.0, "margin": -400.0}, False),
    ({"id": "obstacles-far"}, False),
    ({"verdict": "NOT CHECKED"}, False),
    ({"verdict": "PASS"}, False),
]


@pytest.mark.parametrize(("changes", "offered"), EARLIER)
def test_an_earlier_reason_is_offered_for_the_same_gate_at_the_same_or_a_better_figure_only(
    here, capsys, typed, changes, offered
):
    typed("seen and accepted")
    approve(capsys)
    record = read_record(Path("regatta.approval.json"))[0]
    gate = Gate(
        "obstacles-near", "Clearance", "CAUTION", 610.0, 1000.0, -390.0, "ft", "at least", "look", "unit", ()
    )
    document = {**record.document, "plan": {"gates": [to_plain(gate)]}}
    before = replace(record, document=document, reasons={"obstacles-near": "seen"})
    plan = replace(check(Path("regatta.yaml")).planned.plan, gates=(replace(gate, **changes),))
    assert earlier_reasons(plan, before) == ({"obstacles-near": "seen"} if offered else {})


@pytest.mark.parametrize(
    ("changes", "offered"),
    [
        ({}, True),
        ({"why": "the same, in other words"}, True),
        ({"settled_by": ("limits",)}, False),
        ({"lacks": "limit"}, False),
        ({"concerns": ("A to B", "B to D")}, False),
    ],
)
def test_an_earlier_reason_for_what_was_not_checked_is_offered_while_the_same_is_missing_for_the_same(
    here, capsys, typed, changes, offered
):
    """By the key that is missing and what it stands for, never by the sentence that tells it: a route that
    now goes another way has other terrain under it."""
    typed("seen and accepted")
    approve(capsys)
    record = read_record(Path("regatta.approval.json"))[0]
    gate = Gate(
        "terrain",
        "Terrain",
        "NOT CHECKED",
        None,
        None,
        None,
        "",
        "",
        "read it off",
        "sums",
        (),
        lacks="data",
        settled_by=("terrain_checked",),
        concerns=("A to B", "B to C"),
    )
    before = replace(
        record, document={**record.document, "plan": {"gates": [to_plain(gate)]}}, reasons={"terrain": "seen"}
    )
    plan = replace(check(Path("regatta.yaml")).planned.plan, gates=(replace(gate, **changes),))
    assert earlier_reasons(plan, before) == ({"terrain": "seen"} if offered else {})
