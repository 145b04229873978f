"""Which levels would make a height do: in words for a wall, and as keys of the file with their figures."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from itertools import groupby

from briefgen.core.diagnostics import KeyPath
from briefgen.plan.gates.verdicts import About
from briefgen.plan.heights.legs import UnknownClimb
from briefgen.plan.model import Gate, Height, Mend

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


def one_height(gates: Iterable[Gate]) -> tuple[Gate, ...]:
    """The gates, each level that several of them want higher at the highest of what they ask: with any lower
    one another of them fails on the next run."""
    gates = tuple(gates)
    most = _highest(Height(mend.ft, mend.key) for gate in gates for mend in gate.mends if mend.ft is not None)
    return tuple(_at_the_highest(gate, most) for gate in gates)


def _at_the_highest(gate: Gate, most: Mapping[KeyPath, float]) -> Gate:
    own = {mend.key: mend.ft for mend in gate.mends if mend.ft is not None}
    asked = {key: most[key] for key in own}
    if own == asked:
        return gate
    mends = tuple(_level(mend.key, asked[mend.key]) if mend.key in asked else mend for mend in gate.mends)
    return replace(gate, mends=mends, why=gate.why.replace(_words(own), _words(asked)))


def _highest(levels: Iterable[Height]) -> dict[KeyPath, float]:
    most: dict[KeyPath, float] = {}
    for level in levels:
        if level.key is not None:
            most[level.key] = max(level.ft, most.get(level.key, level.ft))
    return most


def _words(most: Mapping[KeyPath, float]) -> str:
    alike = groupby(sorted(most, key=lambda key: most[key]), key=lambda key: most[key])
    return ", ".join(f"{' and '.join(map(_name, keys))} at {ft:.0f} ft MSL" for ft, keys in alike)


def _name(key: KeyPath) -> str:
    """``run-in``, ``recovery leg 2``, ``block blue``."""
    match key:
        case (*_, "training", "area", "floor"):
            return "floor of the area"
        case (*_, "training", "blocks", side):
            return f"block {side}"
        case (way, *_, int() as i, "level"):
            return f"{way} leg {i + 1}"
        case (*_, "run_in", "level"):
            return "run-in"
    return str(key[-2])
