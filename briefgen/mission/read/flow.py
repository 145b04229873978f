"""A flow: a sortie of several passes, events or blocks, written as a list of the usual sections.

It is read as one file of the usual form for each pass, with the sections that all of them share. So whatever
reads, checks and times a file with one pass does it for each of several, and a message stands at the line
that was written. A pass of ``again`` is the event's first with what is written of it anew.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Literal, TypeAlias

from briefgen.core.diagnostics import Diagnostic, KeyPath, Mend, Related
from briefgen.core.records import record
from briefgen.mission.read.tree import Source, Spans, TextTree
from briefgen.units.nearest import nearest_words, surely_meant

Kind: TypeAlias = Literal["departure", "training", "transit", "event", "recovery"]
KINDS: tuple[Kind, ...] = ("departure", "training", "transit", "event", "recovery")
FLOW, AGAIN = "flow", "again"
OWN_OF_A_PASS = ("time", "hold", "then")  # what a further pass does not take from the first
SAID_OF_A_HOLD = ("after_leaving_hold", "return_turn")  # nor, where it has no hold
OWN_OF_A_HOLD = ("planned", "minimum", "maximum")
ID = re.compile(r"[A-Z][A-Z0-9_]{0,11}")
NAMES_OF_CLOCKS = ("Z", "L", "BASE", "EVENT")


@record
class Entry:
    """One piece as it is written: ``at`` in the file; of a pass of ``again`` also its own place, ``number``
    counts the passes over an event."""

    kind: Kind
    at: KeyPath
    again: KeyPath | None = None
    number: int = 1


def place_in(where: Mapping[KeyPath, KeyPath], path: KeyPath) -> KeyPath:
    """Where a key path stands of which a part was moved: ``where`` has the place of each part that was."""
    for stop in range(len(path), 0, -1):
        if path[:stop] in where:
            return (*where[path[:stop]], *path[stop:])
    return path


@record
class View:
    """The flow as a file with one pass, with what stands where in the file: ``where`` has the place of each
    part of a section that was moved. ``after``: as written, how long after the pass before it this one
    is, or "earliest". ``like``: of a view that is there for another piece, the number of the view that its
    pass is of."""

    source: Source
    where: Mapping[KeyPath, KeyPath]
    number: int
    after: str | None
    like: int | None = None

    def place(self, path: KeyPath) -> KeyPath:
        """Where a key path of the view stands in the file."""
        return place_in(self.where, path)

    def reads(self, place: KeyPath) -> bool:
        """Whether what stands there in the file is in the view: its own sections, and what all share."""
        return place[:1] != (FLOW,) or place in self.where.values()


@record
class Flow:
    """The pieces in flying order, each with the view that holds it."""

    views: tuple[View, ...]
    order: tuple[tuple[Kind, int], ...]


def read_flow(source: Source) -> tuple[Flow | None, list[Diagnostic]]:
    """The flow of a file as files of the usual form; None with every error of its shape."""
    if source.tree[FLOW] is None:  # told already
        return None, []
    found = [source.spans.locate(problem) for problem in _problems(source)]
    if found:
        return None, found
    entries = tuple(_entries(source))
    passes = [i for i, entry in enumerate(entries) if entry.kind == "event"]
    heads = passes or [len(entries) - 1]
    chosen = [_seen_from(entries, head) for head in heads]
    like: list[int | None] = [None] * len(heads)
    for i, entry in enumerate(entries):
        if not any(view[entry.kind] == i for view in chosen):
            like.append(next((n for n, head in enumerate(heads) if head > i), len(heads) - 1))
            chosen.append({**_seen_from(entries, heads[like[-1] or 0]), entry.kind: i})
    views = tuple(
        replace(_view(source, entries, seen), like=of) for seen, of in zip(chosen, like, strict=True)
    )
    order = tuple(
        (entry.kind, next(n for n, seen in enumerate(chosen) if seen.get(entry.kind) == i))
        for i, entry in enumerate(entries)
    )
    if entries[-1].kind != "recovery":  # home is flown from the last piece, whether or not the file says how
        order = (*order, ("recovery", len(heads) - 1))
    return Flow(views, order), []


def _entries(source: Source) -> Iterator[Entry]:
    for i, entry in enumerate(entries_of(source.tree[FLOW])):
        kind = next(kind for kind in KINDS if kind in entry)
        yield Entry(kind, (FLOW, i, kind))
        for j, again in enumerate(entries_of(entry.get("again"))):
            place: KeyPath = (FLOW, i, "again", j)
            if "way" in again:
                yield Entry("transit", (*place, "way"))
            yield Entry("event", (FLOW, i, "event"), place, j + 2)


def entries_of(tree: TextTree) -> list[dict[str, TextTree]]:
    """The sections in a list."""
    return [entry for entry in tree if isinstance(entry, dict)] if isinstance(tree, list) else []


def _seen_from(entries: Sequence[Entry], head: int) -> dict[Kind, int]:
    """Of each kind the piece that a pass belongs with: the last before it, else the first after."""
    seen: dict[Kind, int] = {}
    for i in (*range(len(entries) - 1, head, -1), *range(head + 1)):
        seen[entries[i].kind] = i
    return seen


def _view(source: Source, entries: Sequence[Entry], seen: Mapping[Kind, int]) -> View:
    tree = {key: value for key, value in source.tree.items() if key != FLOW}
    where: dict[KeyPath, KeyPath] = {}
    for kind, i in seen.items():
        entry = entries[i]
        tree[kind] = _moved(source.at(entry.at), entry.at, (kind,), where)
    event = entries[seen["event"]] if "event" in seen else None
    after = None
    if event is not None and event.again is not None:
        tree["event"] = _further(source, event.at, event.again, where)
        after = source.at((*event.again, "after"))
    keys = {view: span for view, place in where.items() if (span := source.spans.keys.get(place))}
    values = {view: span for view, place in where.items() if (span := source.spans.values.get(place))}
    spans = Spans({**source.spans.keys, **keys}, {**source.spans.values, **values})
    doubtful = source.doubtful | {view for view, place in where.items() if place in source.doubtful}
    return View(
        replace(source, tree=tree, spans=spans, doubtful=doubtful),
        where,
        event.number if event is not None else 1,
        after if isinstance(after, str) else None,
    )


def _moved(tree: TextTree, place: KeyPath, view: KeyPath, where: dict[KeyPath, KeyPath]) -> TextTree:
    where[view] = place
    parts = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for key, value in parts:
        _moved(value, (*place, key), (*view, key), where)
    return tree


def _further(source: Source, event: KeyPath, again: KeyPath, where: dict[KeyPath, KeyPath]) -> TextTree:
    """The event with a further pass in place of its first."""
    whole, own, pass_ = source.at(event), source.at(again), ("event", "pass")
    if not isinstance(whole, dict) or not isinstance(own, dict):
        return whole
    first = whole.get("pass")
    left = OWN_OF_A_PASS if "hold" in own else (*OWN_OF_A_PASS, *SAID_OF_A_HOLD)
    kept = {key: value for key, value in first.items() if key not in left} if isinstance(first, dict) else {}
    if "hold" not in own and kept.get("no_cue") == "hold":
        del kept["no_cue"]  # nobody returns to a hold that this pass hasn't
    if "hold" not in own and _waits(kept.get("no_ground_contact")):
        del kept["no_ground_contact"]  # nor waits in it
    then = own.get("then")
    if then != "next pass":  # nor goes on where this one doesn't
        kept = {key: value for key, value in kept.items() if not _goes_on(key, value)}
    hold = first.get("hold") if isinstance(first, dict) else None
    if "hold" in own and isinstance(hold, dict):
        kept["hold"] = {key: value for key, value in hold.items() if key not in OWN_OF_A_HOLD}
    written = {key: value for key, value in own.items() if key not in ("after", "way")}
    if "time" not in written and isinstance(first, dict):
        kept["time"] = first.get("time")  # until it is known how long after the pass before it is flown
    for path in [path for path in where if path[:2] == pass_]:
        del where[path]
    return {**whole, "pass": _merged((kept, written), ((*event, "pass"), again), pass_, where)}


def _goes_on(key: str, value: TextTree) -> bool:
    """Whether what is done without the cue, or the ground contact, leads to a pass behind."""
    then = value.get("then") if isinstance(value, dict) and key == "no_ground_contact" else value
    return key in ("no_cue", "no_ground_contact") and then == "next pass"


def _waits(lost: TextTree | None) -> bool:
    """Whether what is done without the ground contact needs a hold."""
    return isinstance(lost, dict) and (
        lost.get("then") == "hold" or str(lost.get("after", "")).endswith("leave-hold")
    )


def _merged(
    trees: tuple[TextTree, TextTree],
    places: tuple[KeyPath, KeyPath],
    view: KeyPath,
    where: dict[KeyPath, KeyPath],
) -> TextTree:
    """A mapping with what is written of it anew, key by key and as deep as both are mappings; ``trees`` and
    ``places`` are of the first and of what is written."""
    first, own = trees
    if not isinstance(first, dict) or not isinstance(own, dict):
        return _moved(own, places[1], view, where)
    where[view] = places[1]
    found: dict[str, TextTree] = {}
    for key in (*first, *(key for key in own if key not in first)):
        at, below = ((*places[0], key), (*places[1], key)), (*view, key)
        if key in first and key in own:
            found[key] = _merged((first[key], own[key]), at, below, where)
        else:
            tree, place = (own, at[1]) if key in own else (first, at[0])
            found[key] = _moved(tree[key], place, below, where)
    return found


# ---------------------------------------------------------------- its shape


LIKE_THIS = "- departure: [...], - event: {...}, - recovery: {...}"
# what people write beside `event`, or in a further pass, and the key
JOIN_UP = ("join", "join_up", "joinup", "rendezvous", "formate")  # which nobody plans here
OTHER_WORDS = {"passes": "again", "repeat": "again", "repeats": "again", "transit": "way", "legs": "way"}


def _problems(source: Source) -> Iterator[Diagnostic]:
    flow = source.tree[FLOW]
    if not isinstance(flow, list) or not flow:
        help = f"write a list of sections in flying order: {LIKE_THIS}"
        if isinstance(flow, dict):
            help = f"begin each of its sections with a hyphen and a space: {LIKE_THIS}"
        message, why = "`flow` is not a list of sections", "its order is the order of flight"
        yield Diagnostic("flow", "error", message, why=why, help=help, cause=(FLOW,))
        return
    for kind in KINDS:
        if kind in source.tree:
            message = f"`{kind}` stands beside `flow`"
            why, help = (
                "which of the two is flown would be a guess",
                "move it into the flow, or leave the flow out",
            )
            yield Diagnostic(
                "flow",
                "error",
                message,
                why=why,
                help=help,
                cause=(kind,),
                related=_first_at(source, (FLOW,)),
            )
    kinds: list[Kind | None] = []
    for i, entry in enumerate(flow):
        kinds.append(None)
        for problem in _entry_problems(i, entry, kinds):
            named = len(problem.cause) == 3 and problem.cause[-1] != AGAIN
            at_key = problem.code == "unknown-key" or named
            yield replace(problem, span=source.spans.key(problem.cause)) if at_key else problem
    yield from _order_problems(source, kinds)
    yield from _id_problems(source, kinds)


def _first_at(source: Source, path: KeyPath) -> tuple[Related, ...]:
    span = source.spans.key(path)
    return (Related("the other stands here", span),) if span is not None else ()


def _entry_problems(i: int, entry: TextTree, kinds: list[Kind | None]) -> Iterator[Diagnostic]:
    place: KeyPath = (FLOW, i)
    own = [kind for kind in KINDS if isinstance(entry, dict) and kind in entry]
    if not isinstance(entry, dict) or len(own) != 1:
        yield _no_section(place, entry, own)
        return
    kinds[-1] = own[0]
    allowed = (own[0], AGAIN) if own[0] == "event" else (own[0],)
    for key in entry:
        if key not in allowed:
            other = OTHER_WORDS.get(key)
            near = [other] if other in allowed else nearest_words(key, allowed)
            help = f"write `{near[0]}`" if near else f"move it into `{own[0]}`, or take it out"
            why = f"{' and '.join(f'`{known}`' for known in allowed)} may stand here"
            message = f"`{key}` is no part of the flow"
            said = Diagnostic("unknown-key", "error", message, why=why, help=help, cause=(*place, key))
            yield _with_mend(said, key, other if other in allowed else surely_meant(key, allowed))
    again = entry.get(AGAIN)
    if again is not None and not isinstance(again, list):
        yield _no_pass((*place, AGAIN), "`again` is not a list of passes")
    for j, further in enumerate(again if isinstance(again, list) else ()):
        yield from _further_problems((*place, AGAIN, j), further)


def _with_mend(said: Diagnostic, key: str, meant: str | None) -> Diagnostic:
    return said if meant is None else replace(said, mend=Mend(key, meant))


def _no_section(place: KeyPath, entry: TextTree, own: list[Kind]) -> Diagnostic:
    """What is wrong with an entry of the flow that is no section, or two."""
    number = f"section {int(place[-1]) + 1} of the flow"
    message, place_, mend = f"{number} is not one of {', '.join(KINDS)}", place, None
    help = "begin each with a hyphen and its name: - transit: [...]"
    if len(own) > 1:
        message, place_ = f"{number} is {' and '.join(f'`{kind}`' for kind in own)} in one", (*place, own[1])
        help = f"begin each with a hyphen: - {own[1]}: ..."
    elif isinstance(entry, dict) and entry:
        key = next(iter(entry))
        place_ = (*place, key)
        if near := nearest_words(key, KINDS):
            help = f"did you mean {near[0]}?"
            sure = surely_meant(key, KINDS)
            mend = Mend(key, sure) if sure is not None else None
        elif key in JOIN_UP:
            why, help = "all ships fly from one base together; no join-up is timed or judged", "take it out"
            return Diagnostic("flow", "error", f"a flow has no `{key}`", why=why, help=help, cause=place_)
        elif key == AGAIN:
            help = "write it beside the `event:` before it, in the column of that and without its hyphen"
    why = "each section of a flow has its own entry, with its keys below its name"
    return Diagnostic("flow", "error", message, why=why, help=help, cause=place_, mend=mend)


def _no_pass(place: KeyPath, message: str) -> Diagnostic:
    why, help = "each has keys of its own", "begin each further pass with a hyphen: - after: 10 min"
    return Diagnostic("flow", "error", message, why=why, help=help, cause=place)


def _further_problems(place: KeyPath, further: TextTree) -> Iterator[Diagnostic]:
    if not isinstance(further, dict):
        yield _no_pass(place, "a further pass is written as keys with values")
        return
    for key in further:
        if key in OTHER_WORDS:
            help = "write `way`, a list of legs, for how the flight comes to this pass"
            message, why = f"`{key}` is no key of a further pass", "what is not known is not read"
            said = Diagnostic("unknown-key", "error", message, why=why, help=help, cause=(*place, key))
            yield _with_mend(said, key, "way" if OTHER_WORDS[key] == "way" else None)
    if ("after" in further) == ("time" in further):
        both = "after" in further
        message = (
            f"a further pass has {'both' if both else 'neither'} `after` {'and' if both else 'nor'} `time`"
        )
        help = "keep one of the two" if both else "write after: 10 min"
        help = f"{help}: `after` is the time between the two passes over the spot, `time` a clock time"
        yield Diagnostic("flow", "error", message, why="its T hangs on one of them", help=help, cause=place)


def _order_problems(source: Source, kinds: Sequence[Kind | None]) -> Iterator[Diagnostic]:
    ends: tuple[tuple[Kind, int, str], ...] = (
        ("departure", 0, "first"),
        ("recovery", len(kinds) - 1, "last"),
    )
    for kind, end, which in ends:
        for i, own in enumerate(kinds):
            if own == kind and i != end:
                message = f"a `{kind}` is not the {which} of the flow"
                make = "make a `transit` of its `legs`" if kind == "recovery" else "make it a `transit`"
                first = "take one of the two out" if kinds[end] == kind else "move it there"
                base = "from one base" if kind == "departure" else "to the same base"
                why = f"it is flown {which}, and once: all ships fly together {base}"
                help, place = f"{first}, or {make}", (FLOW, i, kind)
                span = source.spans.key(place)
                yield Diagnostic("flow", "error", message, span, why=why, help=help, cause=place)
    for i, own in enumerate(kinds[1:], 1):
        if own == "transit" and kinds[i - 1] == "transit":
            message = "a `transit` follows a `transit`"
            why, help = (
                "legs between the same two pieces are one way",
                "write its legs behind those before it",
            )
            yield Diagnostic("flow", "error", message, why=why, help=help, cause=(FLOW, i, "transit"))


def _id_problems(source: Source, kinds: Sequence[Kind | None]) -> Iterator[Diagnostic]:
    seen: dict[str, KeyPath] = {}
    for kind in ("training", "event"):
        own = [i for i, other in enumerate(kinds) if other == kind]
        for i in own:
            place: KeyPath = (FLOW, i, kind)
            id = source.at((*place, "id"))
            if not isinstance(id, str):
                if len(own) > 1 and (*place, "id") not in source.spans.keys:
                    message = f"there are {len(own)} of `{kind}`, and this one has no `id`"
                    why, help = "nobody could say which is meant", "give each an id in capitals: id: HARBOUR"
                    span = source.spans.key(place)
                    yield Diagnostic("flow-id", "error", message, span, why=why, help=help, cause=place)
                elif id is not None:
                    message, why = "the id of a section is one word", "nobody could say which is meant"
                    help = "write it in capitals and without brackets: id: HARBOUR"
                    where = (*place, "id")
                    yield Diagnostic("flow-id", "error", message, why=why, help=help, cause=where)
                continue
            if not ID.fullmatch(id) or id in NAMES_OF_CLOCKS:
                message = f'"{id}" cannot be the id of a section'
                why = "ids are read out, and stand in narrow columns and before times as the name of a clock"
                like = (
                    id.upper()
                    if ID.fullmatch(id.upper()) and id.upper() not in NAMES_OF_CLOCKS
                    else "HARBOUR"
                )
                names = ", ".join(NAMES_OF_CLOCKS)
                help = f"write up to 12 capitals and figures, none of {names}: id: {like}"
                yield Diagnostic("flow-id", "error", message, why=why, help=help, cause=(*place, "id"))
            if id in seen:
                yield Diagnostic(
                    "flow-id",
                    "error",
                    f"{id} is the id of two sections",
                    why="nobody could say which is meant",
                    help="give one of them another",
                    cause=(*place, "id"),
                    related=_first_at(source, seen[id]),
                )
            seen.setdefault(id, (*place, "id"))
