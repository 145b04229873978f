"""The risks as the file gives them: a score that was lowered keeps its reason, and somebody who does not fly
accepts what remains."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import KeyPath
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import not_checked, words
from briefgen.plan.model import Gate
from briefgen.plan.risk import risk_view
from briefgen.plan.sortie import Sortie
from briefgen.units.people import crew_member, names_no_person, same_person


def risks(s: Sortie) -> Iterator[Gate]:
    """Two gates over all items; without any item one that says so."""
    reason = text("risk-reason")
    accepted = text("risk-accepted")
    view = risk_view(s.mission)
    if not view.items:
        yield not_checked(reason, "no risk is given")
        return
    bare = [item for item in view.items if item.lowered and not item.control]
    yield words(
        reason.but(cause=bare[0].cause) if bare else reason,
        not bare,
        f"{bare[0].hazard}: no control" if bare else "every one",
        "every one",
        worse="CAUTION",
    )
    alone = [item for item in view.items if not item.accepted_by]
    flying = [item for item in view.items if item.accepted_by and _flies(item.accepted_by, view.crew)]
    if alone:
        yield not_checked(
            accepted,
            f"{alone[0].hazard}: nobody is named who accepts it",
            key=(*alone[0].cause, "accepted_by"),
        )
    elif not flying and (unnamed := _unnamed(s)) is not None:
        yield not_checked(accepted, unnamed[0], key=unnamed[1])
    else:
        name = f"{flying[0].accepted_by} flies" if flying else "every one"
        yield words(
            accepted.but(cause=flying[0].cause) if flying else accepted,
            not flying,
            name,
            "every one",
            worse="CAUTION",
        )


def _flies(name: str, crew: tuple[str, ...]) -> bool:
    return any(same_person(name, member) for member in crew)


def _unnamed(s: Sortie) -> tuple[str, KeyPath] | None:
    """The first ship whose crew is still to be named: whoever it will be may be the one who must not fly."""
    for i, ship in enumerate(s.mission.file.flight):
        if not ship.crew_named:
            return f"who flies ship {ship.ship} is still to be named", ("flight", i, "crew")
    return None


def supervisor_apart(s: Sortie) -> Iterator[Gate]:
    """Who supervises doesn't fly, unless the mission says by whose authority; what ``briefgen approve``
    refuses."""
    sortie = s.mission.file.sortie
    if sortie.supervisor is None or names_no_person(sortie.supervisor.name):
        where = ("sortie", "supervisor") if sortie.supervisor is None else ("sortie", "supervisor", "name")
        yield not_checked(text("supervisor-apart"), "who approves the flight is not named", key=where)
        return
    flies = crew_member(sortie.supervisor.name, s.mission.crew)
    if flies is None and (unnamed := _unnamed(s)) is not None:
        yield not_checked(text("supervisor-apart"), unnamed[0], key=unnamed[1])
        return
    allowed = flies is None or sortie.own_authority is not None
    value = "nobody of the flight" if flies is None else f"{flies[1]} flies ship {flies[0]}"
    if flies is not None and sortie.own_authority is not None:
        value += f", self-authorised by {sortie.own_authority.authority}"
    yield words(text("supervisor-apart"), allowed, value, "nobody of the flight, or self-authorised")
