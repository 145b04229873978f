"""What two plans differ in: instants of the clock, fuel per ship, gates. Both sides are plans as data, as
``plan.json`` holds them, so that a plan of today can be put beside one that was approved and recorded."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any, Literal

from briefgen.brief.wording.format import (
    between_s,
    clock_z,
    counted,
    fuel_figure,
    signed_duration,
    signed_seconds,
    time_limit,
)
from briefgen.brief.wording.gates import figures_words
from briefgen.core.records import record
from briefgen.mission.resolve.sections import long_id, pass_words
from briefgen.plan.model import Gate, Margin, Verdict
from briefgen.units.values import FuelUnit

Kind = Literal["time", "fuel", "gate"]
INSTANT = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{6}Z")
NONE = "none"
OF_PASS = ("set-time", "go-home", "bingo")  # what is told of each of several passes beside its clock
SHIP_FIGURES = (
    ("landing_predicted", "predicted at landing"),
    ("base_required", "must land with"),
    ("training_end_predicted", "at the end of training"),
    ("start_printed", "at start"),
)
FLIGHT_FIGURES = (
    ("joker", "Joker"),
    ("bingo_training", "Bingo, training"),
    ("bingo_event", "Bingo, event"),
    ("lowest_landing", "Lowest landing fuel"),
)


@record
class Difference:
    """One figure that differs, worded. ``id`` is stable: ``true-time``, ``fuel ship 3 landing_predicted``, a
    gate's id. ``passes``: a gate that reads PASS on both sides, and only its figure differs."""

    kind: Kind
    id: str
    label: str
    old: str
    new: str
    detail: str = ""
    passes: bool = False

    def words(self) -> str:
        """``Leave-hold: 03:29:20 Z, was 03:28:20 Z (+1 min)``."""
        return f"{self.label}: {self.new}, was {self.old}" + (f" ({self.detail})" if self.detail else "")


def differences(old: Mapping[str, Any], new: Mapping[str, Any]) -> list[Difference]:
    """Passes and times first, then fuel, then gates. ``old`` and ``new``: the ``plan`` of a plan document. A
    pass that only one of them has is told once, without its times, its fuel and what it passes."""
    lone = list(_lone(old, new))
    silent = {id for piece, _ in lone for id in _told_with(piece, old, new)}
    rest = [*_clock(old, new), *_fuel(old, new), *_setups(old, new), *_gates(old, new)]
    return [*(row for _, row in lone), *(row for row in rest if row.id not in silent)]


def gates_of(plan: Mapping[str, Any]) -> dict[str, Gate]:
    """The gates of a plan document by id, as the records that the wording takes."""
    return {entry["id"]: _gate(entry) for entry in plan["gates"]}


def instant(text: str) -> datetime:
    """The instant that plan.json wrote."""
    return datetime.fromisoformat(text.replace("Z", "+00:00"))


def day_of(plan: Mapping[str, Any]) -> date:
    """The UTC date that a reader takes for granted: take-off's."""
    return instant(plan["clock"]["takeoff"]).date()


def _gate(entry: Mapping[str, Any]) -> Gate:
    values = {key: entry[key] for key in Gate.__dataclass_fields__ if key in entry}
    moments = {
        key: instant(values[key])
        for key in ("value", "limit")
        if isinstance(values[key], str) and INSTANT.fullmatch(values[key])
    }
    paths = {
        key: tuple(values[key])
        for key in ("cause", "basis", "settled_by", "concerns", "keys")
        if values.get(key) is not None
    }
    margins = tuple(Margin(**each) for each in values.get("margins", ()))
    return Gate(**{**values, **moments, **paths, "margins": margins})


# ---------------------------------------------------------------- passes


def _passes(plan: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """The passes of a plan document by their ids; none in a record from before there could be several."""
    return {each["id"]: each for each in plan.get("passes", ())}


def _blocks(plan: Mapping[str, Any]) -> dict[str, Mapping[str, Any]]:
    """Where a plan has several blocks of training each with its set-ups and its clock, by their ids."""
    clocks = {each["id"]: each for each in plan["clock"].get("blocks", ())}
    own = plan.get("blocks", ())
    return {each["id"]: {**each, "clock": clocks[each["id"]]} for each in own} if len(own) > 1 else {}


def _lone(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[tuple[str, Difference]]:
    """The passes that only one side has, where one has several, each with its row."""
    were, are = _passes(old), _passes(new)
    if not (were and are) or len(were) == len(are) == 1:
        return
    for piece in [*are, *(piece for piece in were if piece not in are)]:
        if piece not in were or piece not in are:
            was, now = (_time_of(plan, piece) for plan in (old, new))
            yield (
                piece,
                Difference("time", long_id(piece, "pass"), f"Pass over {pass_words(piece)}", was, now),
            )


def _time_of(plan: Mapping[str, Any], piece: str) -> str:
    own = _passes(plan).get(piece)
    return NONE if own is None else f"T {clock_z(instant(own['true_time']), day=day_of(plan))}"


def _told_with(piece: str, *plans: Mapping[str, Any]) -> set[str]:
    """The ids of what is not told beside a pass that only one side has: its times and fuels, and its gates,
    but for those of a new one that do not PASS."""
    gone, come = ((_passes(plan)[piece]["gates"] if piece in _passes(plan) else []) for plan in plans)
    verdicts: dict[str, Verdict] = {gate["id"]: gate["verdict"] for gate in plans[1]["gates"]}
    gates = (*gone, *(id for id in come if verdicts[id] == "PASS"))
    kinds = {event["kind"] for plan in plans for event in plan["clock"]["events"]}
    return {*(long_id(piece, kind) for kind in (*kinds, *OF_PASS)), *gates}


# ---------------------------------------------------------------- clock


def _clock(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Difference]:
    before, after = _events(old), _events(new)
    days = day_of(old), day_of(new)
    for id in sorted({**before, **after}, key=lambda id: (after.get(id) or before[id]).at):
        told = after.get(id) or before[id]
        one, other = (events[id].at if id in events else None for events in (before, after))
        shown = time_limit if told.limit else lambda at, _: at
        words = [
            NONE if at is None else clock_z(shown(at, "latest"), day=day)
            for at, day in zip((one, other), days, strict=True)
        ]
        if words[0] != words[1] or (
            one is not None and other is not None and abs((other - one).total_seconds()) >= 1.0
        ):
            moved = (
                ""
                if one is None or other is None
                else _moved((other - one).total_seconds(), between_s(one, other))
            )
            yield Difference("time", id, told.label, words[0], words[1], moved)


def _moved(seconds: float, printed_s: float) -> str:
    """To a tenth where that is all that moved; else as the printed instants say."""
    return signed_duration(printed_s) if abs(seconds) >= 9.5 else signed_seconds(seconds, 1)


@record
class Told:
    """An instant of the clock; ``limit``: a latest moment, printed as such."""

    label: str
    at: datetime
    limit: bool = False


def _events(plan: Mapping[str, Any]) -> dict[str, Told]:
    found = {event["id"]: Told(event["label"], instant(event["at"])) for event in plan["clock"]["events"]}
    named = {
        "set-time": ("Set time", plan["clock"]["set_time"], False),
        "knock-off": ("END BY", plan["clock"]["knock_off"], True),
    }
    passes = _passes(plan)
    for piece, own in passes.items() if len(passes) > 1 else ():
        named[long_id(piece, "set-time")] = (f"Set time ({pass_words(piece)})", own["set_time"], False)
        named[long_id(piece, "go-home")] = (f"Go home ({pass_words(piece)})", _go_home(plan, piece), True)
    for block, own in _blocks(plan).items():
        named[long_id(block, "knock-off")] = (f"END BY ({block})", own["clock"]["end_by"], True)
    return {
        **{id: Told(label, instant(at), limit) for id, (label, at, limit) in named.items() if at is not None},
        **found,
    }


def _go_home(plan: Mapping[str, Any], piece: str) -> str | None:
    """When the first ship in the hold of a pass reaches its bingo, as plan.json writes it."""
    ships = plan["fuel"]["ships"] if plan["fuel"] is not None else ()
    homes = (hold["go_home"] for ship in ships for hold in ship["holds"] if hold["piece"] == piece)
    return min((at for at in homes if at is not None), default=None)


# ---------------------------------------------------------------- fuel, set-ups


def _fuel(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Difference]:
    before, after = _amounts(old), _amounts(new)
    for id in {**after, **before}:
        label, _, unit = after.get(id) or before[id]
        one, other = (amounts[id][1:] if id in amounts else (None, unit) for amounts in (before, after))
        if one != other:
            yield Difference("fuel", id, label, _figure(one), _figure(other))


def _figure(told: tuple[int | None, FuelUnit]) -> str:
    amount, unit = told
    return NONE if amount is None else fuel_figure(amount, unit)


def _amounts(plan: Mapping[str, Any]) -> dict[str, tuple[str, int | None, FuelUnit]]:
    fuel = plan["fuel"]
    if fuel is None:
        return {}
    found = {f"fuel {key}": (label, fuel[key], fuel["unit"]) for key, label in FLIGHT_FIGURES}
    passes = _passes(plan)
    for piece in passes if len(passes) > 1 else ():
        figures = [
            bingo["sum"]["figure"]
            for ship in fuel["ships"]
            for bingo in ship["bingos"]
            if bingo["piece"] == piece and bingo["phase"] == "event"
        ]
        found[long_id(piece, "bingo")] = (
            f"Bingo, {pass_words(piece)}",
            max(figures, default=None),
            fuel["unit"],
        )
    for block in _blocks(plan):
        own = [of for ship in fuel["ships"] for of in ship["blocks"] if of["piece"] == block]
        jokers = [of["joker"]["figure"] for of in own if of["joker"] is not None]
        bingos = [of["bingo_training"]["sum"]["figure"] for of in own if of["bingo_training"] is not None]
        for key, label, figures in (("joker", "Joker", jokers), ("bingo", "Bingo", bingos)):
            found[long_id(block, key)] = (f"{label}, {block}", max(figures, default=None), fuel["unit"])
    for ship in fuel["ships"]:
        for key, label in SHIP_FIGURES:
            found[f"fuel ship {ship['ship']} {key}"] = (
                f"Ship {ship['ship']} {label}",
                ship[key],
                fuel["unit"],
            )
    return found


def _setups(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Difference]:
    before, after = _counts(old), _counts(new)
    for id in {**after, **before}:
        counts = before.get(id), after.get(id)
        if counts[0] != counts[1]:
            one, other = (NONE if count is None else counted(count, "set-up") for count in counts)
            of = f" ({id})" if id else ""
            yield Difference(
                "fuel", long_id(id, "setups") if id else "setups", f"Set-ups flown{of}", one, other
            )


def _counts(plan: Mapping[str, Any]) -> dict[str, int]:
    """Set-ups by the id of their block, empty where there is one."""
    if (own := plan["training"]) is not None:
        return {"": own["setups_flown"]}
    return {id: block["setups_flown"] for id, block in _blocks(plan).items()}


# ---------------------------------------------------------------- gates


def _gates(old: Mapping[str, Any], new: Mapping[str, Any]) -> Iterator[Difference]:
    before, after = gates_of(old), gates_of(new)
    days = day_of(old), day_of(new)
    for id in {**after, **before}:
        sides = [gates.get(id) for gates in (before, after)]
        words = [
            NONE if gate is None else f"{gate.verdict}, {figures_words(gate, day=day)}"
            for gate, day in zip(sides, days, strict=True)
        ]
        if words[0] != words[1]:
            gate = after.get(id) or before[id]
            told = gate.verdict == "PASS" or gate.lacks == "limit"  # whose figures say that none is given
            why = gate.why if id in after and not told else ""
            passes = all(side is not None and side.verdict == "PASS" for side in sides)
            yield Difference("gate", id, gate.title, words[0], words[1], why, passes)
