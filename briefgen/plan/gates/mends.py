"""Which levels would make a height do: in words for a wall, and as keys of the file with their figures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import groupby, pairwise

from briefgen.core.diagnostics import KeyPath
from briefgen.plan.gates.verdicts import About
from briefgen.plan.heights.legs import UnknownClimb
from briefgen.plan.model import Gate, Height, Mend
from briefgen.plan.sortie import Sortie

# our own: of the formation's rate so much is used for a proposal, since a leg that is higher is flown faster
_SPARED = 0.95
ATC = "(under control, ask ATC)"


def raised(
    about: About, levels: Iterable[Height], *, climb: UnknownClimb | None = None, so_far: str = ""
) -> About:
    """With the levels that would do as its remedy, each key at the highest that anything asks of it, and the
    climb that nobody has given and that has to bring it there. ``so_far``: in which air that holds."""
    most = _highest(levels)
    mends = [_level(key, ft) for key, ft in most.items()]
    parts = [_words(most)] if most else []
    if climb is not None:
        rate = "" if climb.ft_min is None else f"{climb.ft_min:.0f} ft/min"
        mends.append(Mend(climb.key, rate))
        parts.append(f"a climb of {rate}" if rate else "a climb, given")
    wanted = f"{' with '.join(parts)} would do{so_far} {ATC}" if parts else "fly higher"
    unsaid = "" if climb is None else "nobody has said how fast it climbs: "
    return about.but(remedy=f"{unsaid}{wanted}", mends=tuple(mends))


def _level(key: KeyPath, ft: float) -> Mend:
    return Mend(key, f"{ft:.0f} ft MSL", ft)


def one_height(gates: Iterable[Gate], sortie: Sortie) -> tuple[Gate, ...]:
    """The gates, each level that several of them want higher at the highest of what they ask, with the levels
    from and to which the formation could not climb or descend then: with any lower one another gate fails on
    the next run."""
    gates = tuple(gates)
    most = _highest(Height(mend.ft, mend.key) for gate in gates for mend in gate.mends if mend.ft is not None)
    return tuple(_at_the_highest(gate, most, sortie) for gate in gates)


def _at_the_highest(gate: Gate, most: Mapping[KeyPath, float], sortie: Sortie) -> Gate:
    own = {mend.key: mend.ft for mend in gate.mends if mend.ft is not None}
    asked = _with_what_is_beside({key: most[key] for key in own}, sortie)
    if own == asked:
        return gate
    others = [mend for mend in gate.mends if mend.ft is None]
    mends = (*(_level(key, ft) for key, ft in asked.items()), *others)
    return replace(gate, mends=mends, why=gate.why.replace(_words(own), _words(asked)))


def _with_what_is_beside(asked: Mapping[KeyPath, float], sortie: Sortie) -> dict[KeyPath, float]:
    """The levels asked for; with a run-in's that of its hold, or of its egress, between which the formation
    may not climb or descend so fast, and with a hold's that at which the flight comes to it."""
    if not asked:
        return {}
    limits, found = sortie.mission.file.limits, dict(asked)
    run_ins = {p.run_in.level_key for p in sortie.passes}
    for leg in sortie.legs:
        for end, other, limit in (
            (leg.ends, leg.begins, limits.formation_climb_rate),
            (leg.begins, leg.ends, limits.formation_descent_rate),
        ):
            wanted_ft = asked.get(end.key) if end.key in run_ins and end.key is not None else None
            if wanted_ft is None or other.key is None or limit is None:
                continue
            if (wanted_ft - found.get(other.key, other.ft)) * 60.0 > _SPARED * limit * leg.time_s:
                found[other.key] = wanted_ft
    for before, after in pairwise(sortie.legs):
        came, held = before.ends, after.begins
        if came.key is not None and came.key != held.key and held.key in found and came.ft == held.ft:
            found[came.key] = max(found[held.key], found.get(came.key, came.ft))
    return found


def _highest(levels: Iterable[Height]) -> dict[KeyPath, float]:
    most: dict[KeyPath, float] = {}
    for level in levels:
        if level.key is not None:
            most[level.key] = max(level.ft, most.get(level.key, level.ft))
    return most


def _words(most: Mapping[KeyPath, float]) -> str:
    alike = groupby(sorted(most, key=lambda key: most[key]), key=lambda key: most[key])
    return ", ".join(f"{_all([_name(key) for key in keys])} at {ft:.0f} ft MSL" for ft, keys in alike)


def _all(names: list[str]) -> str:
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1])))


def _name(key: KeyPath) -> str:
    """``run-in``, ``recovery leg 2``, ``block blue``; in a flow ``transit leg 1 of section 3``."""
    match key:
        case ("flow", int() as i, "again", int() as j, "way", int() as leg, "level"):
            return f"leg {leg + 1} of the way to pass {j + 2} of section {i + 1}"
        case ("flow", int() as i, "again", int() as j, *own):
            return f"{_name(tuple(own))} of pass {j + 2} of section {i + 1}"
        case ("flow", int() as i, *own):
            return f"{_name(tuple(own))} of section {i + 1}"
        case (*_, "training", "area", "floor"):
            return "floor of the area"
        case (*_, "training", "blocks", side):
            return f"block {side}"
        case (way, *_, int() as i, "level"):
            return f"{way} leg {i + 1}"
        case (*_, "run_in", "level"):
            return "run-in"
    return str(key[-2])
