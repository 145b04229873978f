"""The gates as people read them: those that lack nothing but a limit stand together in one line, with one
reason.

``plan.json`` keeps each of them. A figure without a limit asks one question, how much the unit allows,
however many figures there are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date

from briefgen.brief.wording.format import counted, listed
from briefgen.brief.wording.gates import figures_words, named, value_words
from briefgen.mission.read.tree import dotted
from briefgen.plan.model import WORST_FIRST, Gate, Stake, Verdict

NO_LIMIT_STAKE: Stake = "no limit"  # at stake with a figure that nobody has a limit for, whatever it is about
NO_LIMITS = "limits-not-given"  # the id under which one reason is given for all of them
FEWEST_IN_ONE_ROW = 3  # gates that lack the same; fewer are told one by one
WHY = "neither the unit nor its rules say how much is allowed"


def told_gates(gates: Iterable[Gate]) -> tuple[Gate, ...]:
    """The gates in their order; in the place of the first that only lacks a limit stands one for all that
    do."""
    gates = tuple(gates)
    lacking = [gate for gate in gates if gate.lacks == "limit"]
    if not lacking:
        return gates
    one = _one(lacking)
    return tuple(
        one if gate is lacking[0] else gate for gate in gates if gate is lacking[0] or gate.lacks != "limit"
    )


def by_reason(gates: Sequence[Gate]) -> Iterator[list[Gate]]:
    """The gates in their order, those that lack the same data for the same reason together, in the place of
    the first of them; where there are fewer than ``FEWEST_IN_ONE_ROW`` of a kind each stands alone."""
    alike: dict[object, list[Gate]] = {}
    for gate in gates:
        alike.setdefault(_reason(gate), []).append(gate)
    for gate in gates:
        group = alike[_reason(gate)]
        if len(group) < FEWEST_IN_ONE_ROW:
            yield [gate]
        elif gate is group[0]:
            yield group


def _reason(gate: Gate) -> object:
    """The same for gates that lack the same; a gate's own for every other."""
    shared = gate.lacks == "data" and gate.settled_by is not None
    return (gate.settled_by, gate.why) if shared else gate.id


def many_words(group: Sequence[Gate]) -> str:
    """``14 gates for one reason``."""
    return f"{len(group)} gates for one reason"


def each_words(group: Sequence[Gate], day: date | None) -> str:
    """Every gate of a group by its title and id, with its figure where it has one."""
    return ", ".join(
        named(gate) + (f" {figures_words(gate, day=day)}" if gate.value is not None else "") for gate in group
    )


def tally(gates: Iterable[Gate]) -> Counter[Verdict]:
    """How many of each verdict, those that only lack a limit counted as one."""
    return Counter(gate.verdict for gate in told_gates(gates))


def counts_words(counts: Mapping[Verdict, int], of: Sequence[Verdict] = WORST_FIRST) -> list[str]:
    """``2 FAIL``, ``6 CAUTION``: of these verdicts those that there are."""
    return [f"{counts[verdict]} {verdict}" for verdict in of if counts[verdict]]


def with_limits(gates: Iterable[Gate], reasons: Mapping[str, str]) -> dict[str, str]:
    """The reasons by gate id, and under NO_LIMITS those for the gates that only lack a limit, each once."""
    given = dict.fromkeys(reasons[gate.id] for gate in gates if gate.lacks == "limit" and gate.id in reasons)
    return {**reasons, **({NO_LIMITS: "; ".join(given)} if given else {})}


def spread(gates: Iterable[Gate], reasons: Mapping[str, str]) -> dict[str, str]:
    """The reasons by gate id, where one was given for all that only lack a limit: it counts for each that has
    none of its own."""
    own = {id: reason for id, reason in reasons.items() if id != NO_LIMITS}
    shared = (
        {gate.id: reasons[NO_LIMITS] for gate in gates if gate.lacks == "limit"}
        if NO_LIMITS in reasons
        else {}
    )
    return {**shared, **own}


def settling_key(gate: Gate) -> str:
    """``limits.crosswind``: the key that settles a gate, as it is written, or all that are missing for it;
    empty where none does."""
    return (
        listed([dotted(key) for key in (gate.settled_by, *gate.also)]) if gate.settled_by is not None else ""
    )


def settled_words(gate: Gate) -> str:
    """``settled by the key limits.crosswind``; empty where none does."""
    key = settling_key(gate)
    return f"settled by the {'keys' if gate.also else 'key'} {key}" if key else ""


def key_words(gate: Gate) -> str:
    """``Key: limits.crosswind``; empty where no key settles the gate."""
    key = settling_key(gate)
    return f"{'Keys' if gate.also else 'Key'}: {key}" if key else ""


def with_key(to_do: str, gate: Gate) -> str:
    """What is to be done, and behind it the key that settles the gate."""
    return f"{to_do}. {key}" if (key := key_words(gate)) else to_do


def titles_by_key(gates: Iterable[Gate], *, keys: bool = True, day: date | None = None) -> str:
    """``Landing: ceiling, Alternate HARTWELL: ceiling (limits.weather.landing.ceiling); Crosswind at base
    (limits.crosswind)``; the figure too where data are missing. ``keys`` False: without them."""
    titles: dict[str, list[str]] = {}
    for gate in gates:
        figure = f" {value_words(gate, day=day)}" if gate.lacks == "data" and gate.value is not None else ""
        titles.setdefault(settling_key(gate), []).append(gate.title + figure)
    return "; ".join(", ".join(named) + (f" ({key})" if keys else "") for key, named in titles.items())


def _one(lacking: list[Gate]) -> Gate:
    return Gate(
        id=NO_LIMITS,
        title="Figures without a limit",
        verdict="NOT CHECKED",
        value=counted(len(lacking), "figure"),
        limit=None,
        margin=None,
        unit="",
        sense="",
        why=f"{WHY}: {titles_by_key(lacking)}",
        source="the unit's own",
        cause=("limits",),
        lacks="limit",
        settled_by=("limits",),
        basis=("unit",),
        stake=NO_LIMIT_STAKE,
    )
