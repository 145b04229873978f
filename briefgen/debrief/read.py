"""A file of actuals to what was flown. Errors are returned, with the line of the file."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Literal

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span, has_errors
from briefgen.core.records import record
from briefgen.debrief.doubts import doubted_cues
from briefgen.debrief.flown import POINTS, Flown, RecordedChange
from briefgen.debrief.from_log import LogFacts, facts_of
from briefgen.debrief.schema import LOG, Actuals, BlockActuals, Call, PassActuals, Training
from briefgen.debrief.sums import TimeRow, last_read_back, time_rows
from briefgen.mission.check.checker import values_in
from briefgen.mission.check.fuel_units import units_of
from briefgen.mission.read.characters import read_file
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import Source, dotted
from briefgen.mission.resolve.clocks import read_instant
from briefgen.mission.schema.base import did_you_mean
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan
from briefgen.units.values import VOLUMES, Fuel

# our own bound: nothing of a sortie happens further from its T, or from its take-off where it has none
FAR = timedelta(hours=12)
# where the times stand, by their keys: of the whole sortie, of a pass, of the one block, of one of several
_OF_SORTIE: dict[str, KeyPath] = {"takeoff": ("takeoff",), "landing": ("landing",)}
_OF_PASS: dict[str, KeyPath] = {"hold": ("hold",), "leave_hold": ("leave_hold",), "true_time": ("true_time",)}
_OF_TRAINING: dict[str, KeyPath] = {"area": ("area",), "training_end": ("training", "end")}
_OF_BLOCK: dict[str, KeyPath] = {"area": ("area",), "training_end": ("end",)}
_ONLY_OF_PASS = (*_OF_PASS, "told", "heard", "log")
_ONLY_OF_BLOCK = ("area", "training")


def read_actuals(
    path: Path, plan: Plan, *, spoken: str = ""
) -> tuple[Flown | None, list[Diagnostic], dict[str, str]]:
    """What a file of actuals says was flown, None with the errors; and the file's text by its name, for
    excerpts.

    ``spoken``: the four characters of the plan; a log of a clock that was made for another one is cautioned.
    """
    try:
        data = read_file(path)
    except OSError as problem:
        help = "check the name; `--new NAME` writes an empty one to fill in"
        return (
            None,
            [
                Diagnostic(
                    "file",
                    "error",
                    f"{path} cannot be read: {problem.strerror}",
                    Span(str(path), 1, 1, 1, 1),
                    "",
                    help,
                )
            ],
            {},
        )
    flown, problems = actuals_of(data, str(path), plan, spoken=spoken)
    return flown, problems, {str(path): data.decode("utf-8", "replace").removeprefix("\ufeff")}


def actuals_of(
    data: bytes | str, name: str, plan: Plan, *, spoken: str = ""
) -> tuple[Flown | None, list[Diagnostic]]:
    """As ``read_actuals``, of a text."""
    from pydantic import ValidationError

    ids = [pass_.section.id for pass_ in plan.passes]
    logs = frozenset({LOG, *(("passes", id, *LOG) for id in ids)})
    source, problems = read_source(data, name, blocks=logs)
    if source is None:
        return None, problems
    try:
        actuals = Actuals.model_validate(source.tree)
    except ValidationError as error:
        from briefgen.mission.schema.errors import diagnostics_of

        return None, [*problems, *diagnostics_of(error, source, Actuals)]
    if any(problem.severity == "error" and problem.code != "no-value" for problem in problems):
        return None, problems  # what was lost in the text would look as if nobody had written it down
    flown, found = _flown(actuals, plan, source, spoken)
    problems += found
    return (None if has_errors(problems) else flown), problems


def _flown(actuals: Actuals, plan: Plan, source: Source, spoken: str) -> tuple[Flown, list[Diagnostic]]:
    """What is of the whole sortie, and of several passes or blocks what is of each: of a pass as it sees the
    plan."""
    whole = _Reader(plan, source, spoken)
    whole.check_owners(actuals)
    flown = whole.flown(actuals)
    if len(plan.trainings) > 1:
        flown = replace(
            flown, blocks={block.id: whole.of_block(actuals, block.id) for block in plan.trainings}
        )
    if len(plan.passes) > 1:
        readers = {
            seen.passes[0].section.id: _Reader(seen, source, spoken, ("passes", seen.passes[0].section.id))
            for seen in each_pass(plan)
        }
        own = {id: reader.of_pass(actuals.passes.get(id, PassActuals())) for id, reader in readers.items()}
        flown = replace(flown, passes=own)
        whole.problems += [problem for reader in readers.values() for problem in reader.problems]
    whole.check(actuals, flown)
    return flown, whole.problems


@record
class _Typed:
    """A time as typed: ``row`` of the times (see ``TimeRow``), and where it stands."""

    row: tuple[str, str]
    path: KeyPath
    at: datetime


class _Reader:
    """Resolves what was typed against the plan, or the plan as one pass sees it, and collects what is wrong
    with it. ``where``: below what key of the file."""

    def __init__(self, plan: Plan, source: Source, spoken: str, where: KeyPath = ()) -> None:
        mission, self.where = plan.mission, where
        self.plan, self.mission, self.source, self.spoken = plan, mission, source, spoken
        self.reference = plan.clock.true_time or plan.clock.takeoff
        self.context = mission.clocks
        self.problems: list[Diagnostic] = []

    def flown(self, actuals: Actuals) -> Flown:
        """Everything, with what is of the one pass and the one block; what is refused is left out, and
        told."""
        training = actuals.training
        own = self.of_pass(actuals) if len(self.plan.passes) < 2 else Flown()
        of_block = _OF_TRAINING if len(self.plan.trainings) < 2 else {}
        return replace(
            own,
            times={**self._times({**_OF_SORTIE, **of_block}), **own.times},
            setups_flown=training.flown if training else None,
            setups_valid=training.valid if training else None,
            fuel_lb=self._fuels(actuals),
            success=dict(actuals.success),
        )

    def of_block(self, actuals: Actuals, id: str) -> Flown:
        """What is of one of several blocks of training."""
        own = actuals.blocks.get(id, BlockActuals())
        places: dict[str, KeyPath] = {key: ("blocks", id, *path) for key, path in _OF_BLOCK.items()}
        self._check_set_ups(own, ("blocks", id))
        return Flown(times=self._times(places), setups_flown=own.flown, setups_valid=own.valid)

    def of_pass(self, actuals: PassActuals) -> Flown:
        """What is of a pass alone."""
        facts, typed = self._log(actuals.log), self._times(_OF_PASS)
        logged = {key: at for key, at in facts.times.items() if key not in typed}
        calls = self._calls(actuals.told)
        self._check_names(actuals)
        return Flown(
            times={**typed, **logged},
            from_log=frozenset(logged),
            told=calls or facts.told,
            told_known=bool(calls or actuals.log),
            other_calls=facts.other_calls,
            heard={**facts.heard, **self._heard(actuals)},
        )

    def _times(self, keys: Mapping[str, KeyPath]) -> dict[str, datetime]:
        return {key: at for key, path in keys.items() if (at := self._at(path)) is not None}

    def _at(self, path: KeyPath) -> datetime | None:
        text = self.source.at((*self.where, *path))
        if not isinstance(text, str):
            return None
        at, found = read_instant(text, self.reference, self.context, dotted(path))
        self.problems += [
            replace(problem, span=self.source.spans.value((*self.where, *path)), cause=(*self.where, *path))
            for problem in found
        ]
        if at is not None and abs(at - self.reference) > FAR:
            self._error(
                "time-far",
                path,
                f'"{text}" is more than 12 hours from the sortie',
                "check the date; it may be left out",
            )
            return None
        return at

    def _calls(self, entries: Iterable[Call]) -> tuple[RecordedChange, ...]:
        """What was told, in its order; seconds count from the time that the flight held by then."""
        told: list[RecordedChange] = []
        for i, entry in enumerate(entries):
            held = last_read_back(told) or self.plan.clock.true_time
            if (call := self._call(("told", i), entry, held)) is not None:
                told.append(call)
        return tuple(told)

    def _call(self, path: KeyPath, entry: Call, held: datetime | None) -> RecordedChange | None:
        given = [key for key in ("new", "fast", "slow") if getattr(entry, key) is not None]
        if len(given) != 1:
            stands = " and ".join(f"`{key}`" for key in given) or "none of them"
            self._error(
                "told-how",
                (*path, given[-1]) if given else path,
                f"a change is told as `new`, `fast` or `slow`; here stands {stands}",
                "keep one of them"
                if given
                else "add what was told, for example `new: 03:30:14 Z` or `slow: 12 s`",
            )
            return None
        old = self._at((*path, "old"))
        back: datetime | Literal[False] | None = False
        if entry.read_back is not False:
            back = self._at((*path, "read_back")) if entry.read_back else None
        if entry.new is not None:
            new = self._at((*path, "new"))
        elif (start := old or held) is None:
            self._error(
                "told-how", (*path, given[0]), "the plan has no true time to be moved", "leave it out"
            )
            return None
        else:
            old, new = start, start + timedelta(seconds=(entry.slow or 0.0) - (entry.fast or 0.0))
        if new is None:
            return None
        return RecordedChange(self._at((*path, "at")), old, new, back, by_speed=entry.new is None)

    def _heard(self, actuals: PassActuals) -> dict[str, datetime]:
        return {id: at for id in actuals.heard if (at := self._at(("heard", id))) is not None}

    def _fuels(self, actuals: Actuals) -> dict[int, dict[str, float]]:
        found: dict[int, dict[str, float]] = {}
        ships = {ship.ship for ship in self.mission.file.flight}
        for number, fuels in actuals.fuel.items():
            if number not in ships:
                self._error(
                    "unknown-ship",
                    ("fuel", str(number)),
                    f"the flight has no ship {number}",
                    f"its ships are {_row(sorted(ships))}",
                )
                continue
            aircraft = self.mission.aircraft_of(number)
            given = {point: getattr(fuels, point) for point in POINTS}
            dry = [
                point
                for point, fuel in given.items()
                if fuel is not None and fuel.unit in VOLUMES and aircraft.fuel_density is None
            ]
            for point in dry:
                self._error(
                    "density",
                    ("fuel", str(number), point),
                    "a volume of fuel needs a density, and the mission gives none",
                    "write it in lb or kg",
                )
            found[number] = {
                point: lb
                for point, fuel in given.items()
                if point not in dry and (lb := self.mission.fuel_lb(fuel, aircraft)) is not None
            }
        return found

    def _log(self, text: str | None) -> LogFacts:
        held = self.plan.clock.true_time
        if not text:
            return LogFacts()
        facts = facts_of(text, self.reference, held)
        first = self.source.spans.values[*self.where, *LOG].line + 1
        if facts.spoken and self.spoken and facts.spoken != self.spoken:
            message = f"the log belongs to a plan that reads {facts.spoken}, this one reads {self.spoken}"
            self._caution(
                "log-plan", first, message, "give the plan that was flown, or the log that belongs to it"
            )
        for line, words in facts.unknown:
            self._caution(
                "log-line",
                first + line,
                f'this line of the log is not known and was left out: "{words[:60]}"',
                "write what it tells under a key of its own",
            )
        for name in sorted(set(facts.heard) - set(self._names())):
            self._caution(
                "log-cue",
                first,
                f"the log heard {name}, which the script does not have",
                "compare the script with the one that was flown",
            )
        return replace(facts, heard={name: at for name, at in facts.heard.items() if name in self._names()})

    def _names(self) -> tuple[str, ...]:
        return tuple(
            name
            for cue in (self.plan.passes[0].cues if self.plan.passes else ())
            for name in (cue.id, *(mark for mark, _ in cue.marks))
        )

    def check_owners(self, actuals: Actuals) -> None:
        """Of several passes or blocks each has its own by its id; of one it stands at the top."""
        passes = [pass_.section.id for pass_ in self.plan.passes]
        blocks = [block.id for block in self.plan.trainings]
        for what, section, only, ids in (
            ("pass", "passes", _ONLY_OF_PASS, passes),
            ("block", "blocks", _ONLY_OF_BLOCK, blocks),
        ):
            code, several, they_are = f"which-{what}", len(ids) > 1, f"they are {_row(ids)}"
            for key in only if several else ():
                if key in actuals.model_fields_set:
                    help = f"write it under `{section}:` and the {what}'s id: {_row(ids)}"
                    self._error(code, (key,), f"`{key}`: of which {what} is not said", help)
            for id in getattr(actuals, section):
                if not several:
                    help = "write what stands here at the top of the file"
                    self._error(code, (section, id), f"the sortie has not several {section}", help)
                elif id not in ids:
                    message = f'the sortie has no {what} "{id}"{did_you_mean(id, ids)}'
                    self._error(code, (section, id), message, they_are)

    def _check_set_ups(self, training: Training, path: KeyPath) -> None:
        if training.flown is not None and training.valid is not None and training.valid > training.flown:
            self._error(
                "setups",
                (*path, "valid"),
                f"{training.valid} set-ups were valid but only {training.flown} flown",
                "correct one of the two",
            )

    def _check_names(self, actuals: PassActuals) -> None:
        names = self._names()
        for name in actuals.heard:
            if name not in names:
                self._error(
                    "unknown-cue",
                    ("heard", name),
                    f'the script has no cue or mark "{name}"{did_you_mean(name, names)}',
                    f"they are {_row(names) or 'none'}",
                )

    def check(self, actuals: Actuals, flown: Flown) -> None:
        """What one value cannot show."""
        lines = len(self.mission.file.sortie.success)
        for number in actuals.success:
            if not 1 <= number <= lines:
                self._error(
                    "unknown-objective",
                    ("success", str(number)),
                    f"`sortie.success` has no line {number}",
                    f"it has {lines}; they count from 1",
                )
        if actuals.training is not None:
            self._check_set_ups(actuals.training, ("training",))
        self._check_order(flown)
        self.problems += doubted_cues(self.plan, flown, self.source)
        self._check_fuel_order(actuals, flown)

    def _check_order(self, flown: Flown) -> None:
        off_s = {(row.of, row.key): row.against_told_s for row in time_rows(self.plan, flown)}
        for before, after in itertools.pairwise(self._typed(flown)):
            if after.at < before.at:
                first, second = sorted((before, after), key=lambda typed: abs(off_s.get(typed.row) or 0.0))
                self._error(
                    "order",
                    second.path,
                    f"{dotted(after.path)} lies before {dotted(before.path)}",
                    f"check the hour and the clock of `{dotted(second.path)}`, which lies further from the"
                    f" plan; else correct `{dotted(first.path)}`",
                )

    def _typed(self, flown: Flown) -> Iterator[_Typed]:
        """Every time that was typed, in flying order."""
        for row in time_rows(self.plan, flown):
            if row.flown is not None and row.key not in flown.of(row.of).from_log:
                yield _Typed((row.of, row.key), _path_of(row, flown), row.flown)

    def _check_fuel_order(self, actuals: Actuals, flown: Flown) -> None:
        """No ship has more fuel later. Of two figures the one in another unit than the mission's is the
        likelier slip, also where the order holds."""
        for ship, fuels in flown.fuel_lb.items():
            typed = {point: getattr(actuals.fuel[ship], point) for point in POINTS if point in fuels}
            known = self._units(ship)
            odd = [point for point, fuel in typed.items() if fuel.unit not in known]
            wrong = [pair for pair in itertools.pairwise(typed) if fuels[pair[1]] > fuels[pair[0]]]
            for before, after in wrong:
                here, there = (before, after) if before in odd and after not in odd else (after, before)
                self._error(
                    "fuel-order",
                    ("fuel", str(ship), here),
                    f"ship {ship} has {'more' if here == after else 'less'} fuel here than at {there}",
                    _if_a_slip(typed[here], known) if here in odd else "correct one of the two",
                )
            for point in odd if not wrong else ():
                self._fuel_caution(ship, point, typed[point], known)

    def _units(self, ship: int) -> tuple[str, ...]:
        """The units that the mission shows and types this ship's fuel in, the one that is shown first."""
        file, aircraft = self.mission.file, self.mission.aircraft_of(ship)
        typed = (unit for _, value in values_in(aircraft) for unit in units_of(value))
        return tuple(dict.fromkeys((file.fuel.display, *typed)))

    def _fuel_caution(self, ship: int, point: str, fuel: Fuel, known: tuple[str, ...]) -> None:
        path: KeyPath = ("fuel", str(ship), point)
        self.problems.append(
            Diagnostic(
                "mixed-units",
                "caution",
                f"fuel in {fuel.unit}, and {known[0]} in the mission",
                self.source.spans.value(path),
                "one of the two may be a slip (default, no authority)",
                _if_a_slip(fuel, known),
                cause=path,
            )
        )

    def _error(self, code: str, path: KeyPath, message: str, help: str) -> None:
        why, at = "the comparison with the plan would be wrong", (*self.where, *path)
        self.problems.append(
            Diagnostic(code, "error", message, self.source.spans.value(at), why, help, cause=at)
        )

    def _caution(self, code: str, line: int, message: str, help: str) -> None:
        self.problems.append(
            Diagnostic(
                code, "caution", message, Span(self.source.name, line, 1, line, 1), "", help, cause=LOG
            )
        )


def _path_of(row: TimeRow, flown: Flown) -> KeyPath:
    """Where a time stands in the file."""
    if row.of in flown.blocks:
        return ("blocks", row.of, *_OF_BLOCK[row.key])
    below = ("passes", row.of) if row.of in flown.passes else ()
    return (*below, *{**_OF_SORTIE, **_OF_PASS, **_OF_TRAINING}[row.key])


def _if_a_slip(fuel: Fuel, known: tuple[str, ...]) -> str:
    return f"write {fuel.value:g} {known[0]} if the unit is a slip"


def _row(items: Iterable[object]) -> str:
    return ", ".join(str(item) for item in items)
