"""Why each open gate is accepted: what is a reason and what is none, the file to fill in and its reading, and
what an earlier approval gave as the reason."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from unicodedata import normalize

from briefgen.approval.bounds import worse
from briefgen.approval.printed import unprintable
from briefgen.approval.record import Record, needing_reason
from briefgen.brief.wording.consequences import grouped
from briefgen.brief.wording.format import counted, listed
from briefgen.brief.wording.gates import figures_words
from briefgen.brief.wording.open_limits import NO_LIMITS, spread, told_gates, with_limits
from briefgen.compare.figures import gates_of
from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.core.plain import to_plain
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Plan
from briefgen.units.nearest import nearest_words

FEWEST_WORDS, LONGEST_REASON = 3, 240
# Words of a reason's own: one of so many letters, or so many short ones. "yes it is" and "abc def ghi" have
# neither; "seen by day" has the one, "lu à vue, RAS" the other; it goes by length, whatever the language.
LONG_WORD, ENOUGH_SHORT = 4, 4
# How a reason is asked for
WANTED = f"{FEWEST_WORDS} different words or more, one of your own of {LONG_WORD} letters or more"
# What keeps the place of a reason without being one; compared without regard to case and signs.
EMPTY_ANSWERS = frozenset(
    (
        "to be advised",
        "to be confirmed",
        "to be decided",
        "to be determined",
        "to be discussed",
        "to be done",
        "to be filled in",
        "see the above",
        "see reason above",
        "same as above",
        "same as before",
        "as stated above",
        "as said above",
        "as written above",
        "no reason given",
        "no reason needed",
        "no comment needed",
        "none at all",
        "not yet known",
        "i do not know",
        "do not know",
        "not known yet",
        "fill in later",
        "will fill in",
        "why it is accepted",
        "why this is accepted",
    )
)
EMPTY_WORDS = frozenset(
    [
        "a",
        "all",
        "and",
        "as",
        "is",
        "ok",
        "okay",
        "yes",
        "no",
        "none",
        "nil",
        "na",
        "nothing",
        "tbd",
        "tba",
        "tbc",
        "todo",
        "test",
        "xxx",
        "above",
        "before",
        "see",
        "same",
        "accepted",
        "accept",
        "fine",
        "good",
    ]
)

# A hand that sweeps the keyboard: rows of the layouts in use
KEY_ROWS = (
    "qwertyuiop",
    "qwertzuiop",
    "azertyuiop",
    "asdfghjkl",
    "qsdfghjklm",
    "zxcvbnm",
    "yxcvbnm",
    "wxcvbn",
)
VOWELS = frozenset("aeiouy")


def read_reasons(data: bytes, name: str, plan: Plan) -> tuple[dict[str, str], list[Diagnostic], str]:
    """gate id → reason from a reasons file, what is wrong with it, and its text for excerpts."""
    from briefgen.mission.read.source import read_source

    source, problems = read_source(data, name)
    if source is None or not isinstance(source.tree, dict):
        return {}, problems, data.decode("utf-8", errors="replace")
    titles = {NO_LIMITS: "", **{gate.id: gate.title for gate in plan.gates}}
    ids = list(titles)
    needed = {NO_LIMITS, *(gate.id for gate in needing_reason(plan))}
    # an empty one is told as missing
    problems = [problem for problem in problems if problem.code != "no-value"]
    reasons: dict[str, str] = {}
    for key, value in source.tree.items():
        span = source.spans.key((key,))
        if key not in ids:
            near = nearest_words(key, ids)
            help = f"did you mean {listed(near, 'or')}?" if near else "delete the line"
            problems.append(_wrong(f"there is no gate `{key}`", span, help, *near))
        elif isinstance(value, (dict, list)):
            problems.append(
                _wrong(
                    f"the reason for `{key}` must be a sentence",
                    span,
                    f"write it like `{key}: why this is accepted`",
                    key,
                )
            )
        elif value and value.strip() and (wrong := reason_problem(value, title=titles[key])):
            problems.append(_wrong(f"the reason for `{key}` has {wrong[0]}", span, wrong[1], key))
        elif value and value.strip() and key in needed:
            reasons[key] = value.strip()
    return spread(plan.gates, reasons), problems, source.texts[name]


def reason_problem(text: str, what: str = "accepted", *, title: str = "") -> tuple[str, str] | None:
    """What keeps words from being printed as the reason why a gate of this ``title`` is ``accepted`` (an
    approval withdrawn), and the remedy: "3 letters, ...". None: nothing."""
    letters, said = len(text.strip()), _words(text)
    real, why = set(filter(_reads_like_one, said)), f"say why it is {what}, in words of your own"
    own = real - EMPTY_WORDS.union(_words(title))
    if len(set(said)) < FEWEST_WORDS:
        kind = "word" if len(said) == len(set(said)) else "different word"
        return f"{counted(len(set(said)), kind)}, the least is {FEWEST_WORDS}", why
    if len(real) < FEWEST_WORDS:
        return f"{counted(len(real), 'word')} that can be read as one, the least is {FEWEST_WORDS}", why
    if not own or compared(text) in EMPTY_ANSWERS:
        return "no reason in it", f"{why}, not in the gate's" if title else why
    if len(own) < ENOUGH_SHORT and max(map(len, own)) < LONG_WORD:
        long = f"one of them of {LONG_WORD} letters or more"
        return f"only {counted(len(own), 'short word')} of its own", f"{why}, {long}"
    if letters > LONGEST_REASON:
        return (
            f"{letters} letters, the most is {LONGEST_REASON}",
            "say it in one sentence: it is printed on every sheet",
        )
    signs = unprintable(text.strip())
    return (f"{signs}, which the approval sheet can't print", "write it in Latin letters") if signs else None


def _words(text: str) -> list[str]:
    """Its words in small letters, without signs and figures."""
    bare = ("".join(sign for sign in raw if sign.isalpha()) for raw in text.casefold().split())
    return [word for word in bare if word]


def _reads_like_one(word: str) -> bool:
    """No word of four Latin letters or more is without a vowel, or begins and ends along a row of keys; of
    other words nothing is known."""
    plain = "".join(sign for sign in normalize("NFKD", word) if sign.isalpha())
    if len(plain) < LONG_WORD or not plain.isascii():
        return True
    ends = (plain[:LONG_WORD], plain[-LONG_WORD:])
    swept = all(any(end in row or end[::-1] in row for row in KEY_ROWS) for end in ends)
    return bool(VOWELS & set(plain)) and not swept


def repeated_reasons(plan: Plan, reasons: Mapping[str, str]) -> Iterator[tuple[str, list[Gate]]]:
    """Each reason that stands for several gates, and these; all that only lack a limit are one."""
    given, found = with_limits(plan.gates, reasons), dict[str, list[Gate]]()
    for gate in told_gates(needing_reason(plan)):
        if gate.id in given:
            found.setdefault(compared(given[gate.id]), []).append(gate)
    yield from ((given[gates[0].id], gates) for gates in found.values() if len(gates) > 1)


def compared(reason: str) -> str:
    """A reason without case and signs: two that read so are the same."""
    return " ".join(_words(reason))


def earlier_reasons(plan: Plan, record: Record | None) -> dict[str, str]:
    """gate id → the reason of the approval before, where the gate reads the same, at the same or a better
    figure; for the gates that only lack a limit together, where each of them has one. None of a withdrawn
    approval."""
    if record is None or record.withdrawn is not None:
        return {}
    return _still_good(plan, gates_of(record.document["plan"]), record.reasons)


def kept_reasons(data: bytes, name: str, plan: Plan) -> dict[str, str]:
    """The same of a file of reasons that ``reasons_text`` wrote and nobody gave: its last line holds how the
    gates read then."""
    reasons, _, text = read_reasons(data, name, plan)
    try:
        gates = gates_of({"gates": json.loads(text.rstrip().rpartition("\n")[2][1:])})
    except (ValueError, TypeError, KeyError, AttributeError):
        return {}
    return _still_good(plan, gates, reasons)


def _still_good(plan: Plan, before: Mapping[str, Gate], reasons: Mapping[str, str]) -> dict[str, str]:
    open_gates = needing_reason(plan)
    found = {
        gate.id: reasons[gate.id]
        for gate in open_gates
        if gate.id in reasons and _as_good(gate, before.get(gate.id))
    }
    lacking = [gate for gate in open_gates if gate.lacks == "limit"]
    return with_limits(lacking, found) if all(gate.id in found for gate in lacking) else found


def _as_good(now: Gate, then: Gate | None) -> bool:
    if then is None or then.verdict != now.verdict or worse(now, then):
        return False
    return now.verdict != "NOT CHECKED" or (now.lacks, now.settled_by, now.concerns) == (
        then.lacks,
        then.settled_by,
        then.concerns,
    )


def _wrong(message: str, span: Span | None, help: str, *gates: str) -> Diagnostic:
    """``gates``: whose reason is told as wrong by it, and isn't missing besides."""
    return Diagnostic("approval-reasons", "error", message, span, help=help, cause=gates)


def missing_reasons(plan: Plan, reasons: Mapping[str, str]) -> list[Gate]:
    """The gates that still need a reason, in the order of the gates; those that only lack a limit as one."""
    return list(told_gates(gate for gate in needing_reason(plan) if gate.id not in reasons))


def reasons_text(plan: Plan, reasons: Mapping[str, str], earlier: Mapping[str, str]) -> str:
    """A reasons file ready to be filled in: every gate that needs one, by consequence, with what it says;
    reasons given are kept, earlier ones offered."""
    today = plan.clock.takeoff.date()
    lines = [
        f"# Why each of these is accepted. Write a reason after each colon, {WANTED}, then:"
        " briefgen approve ... --reasons THIS FILE"
    ]
    reasons = with_limits(plan.gates, reasons)
    for title, gates in grouped(told_gates(needing_reason(plan))):
        lines += ["", f"# {title}"]
        for gate in gates:
            lines.append(
                f"# {gate.verdict}: {gate.title}, {figures_words(gate, day=today)}"
                + (f"; {gate.why}" if gate.why else "")
            )
            if gate.id in earlier and gate.id not in reasons:
                lines.append(f"# accepted before: {earlier[gate.id]}")
            lines.append(f"{gate.id}: {_quoted(reasons.get(gate.id, ''))}".rstrip())
    read = json.dumps(to_plain(needing_reason(plan)), separators=(",", ":"))
    lines += ["", "# How they read now, for the next run:", f"#{read}"]
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A reason as YAML text."""
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"' if text else ""


def missing_diagnostic(gates: list[Gate], file: Path, *, add: bool = False) -> Diagnostic:
    """One for all that is missing; ``add``: to be added to a file of reasons, in which other things are
    wrong."""
    verdicts = {
        verdict: sum(gate.verdict == verdict for gate in gates) for verdict in ("CAUTION", "NOT CHECKED")
    }
    named = " and ".join(f"{count} {verdict}" for verdict, count in verdicts.items() if count)
    message = f"{counted(len(gates), 'reason')} missing, for {named}"
    why = "each CAUTION and each NOT CHECKED is accepted by name, or not at all"
    return Diagnostic(
        "approval-reasons-missing",
        "error",
        message,
        why=why,
        help=f"add to {file}, each with its reason: {listed([gate.id for gate in gates])}"
        if add
        else f"fill in {file}, then give it with --reasons {file}",
    )
