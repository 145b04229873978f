"""How long does it take? Run by hand, on a machine that does nothing else::

    python -m tests.tools.bench                      all of it, a few minutes
    python -m tests.tools.bench --save then.json     and keep the figures
    python -m tests.tools.bench --against then.json  and say what became more than a tenth slower

Processor time of both cores, the median of five, each measured between two yards (tests/yardstick.py), so
that a slow hour of the machine slows both; the figure to compare is the one in yards. Beside the build stands
bare python-pptx writing slides of the same shapes, tables and words: what nobody who makes this deck can
save. The growth rows say how a check grows with one thing.
"""

from __future__ import annotations

import argparse
import io
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from copy import deepcopy
from pathlib import Path
from typing import Any

import yaml
from pptx import Presentation
from pptx.enum.shapes import MSO_SHAPE

from tests.places import REPOSITORY, put_beside
from tests.yardstick import yard

REGATTA = REPOSITORY / "missions" / "regatta.yaml"
TWIN_FIELDS = REPOSITORY / "missions" / "twin-fields.yaml"
TRIES = 5
WORSE = 1.10  # a step may not worsen a figure by more than a tenth
Tree = dict[str, Any]


def main() -> int:
    """Measure, print, compare; 1 when something became slower."""
    asked = argparse.ArgumentParser(prog="python -m tests.tools.bench")
    asked.add_argument("--save", type=Path)
    asked.add_argument("--against", type=Path)
    options = asked.parse_args()
    earlier = json.loads(options.against.read_text(encoding="utf-8")) if options.against else {}
    found: dict[str, float] = {}
    with tempfile.TemporaryDirectory() as room:
        for name, work in works(Path(room)):
            found[name] = measured(name, work, earlier.get(name))
    if options.save:
        options.save.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    slower = [name for name, figure in found.items() if figure > WORSE * earlier.get(name, figure)]
    print("slower by more than a tenth: " + ", ".join(slower) if slower else "nothing is slower by a tenth")
    return 1 if slower else 0


def measured(name: str, work: Callable[[], object], earlier: float | None) -> float:
    """The median of a work in yards, printed."""
    seconds, figures, before = [], [], yard()
    for _ in range(TRIES):
        seconds.append(processor_seconds(work))
        after = yard()
        figures.append(seconds[-1] * 2 / (before + after))
        before = after
    figure = statistics.median(figures)
    than = f"  was {earlier:8.2f}" if earlier is not None else ""
    print(f"{name:44} {statistics.median(seconds):7.2f} s {figure:8.2f} yards{than}", flush=True)
    return figure


def processor_seconds(work: Callable[[], object]) -> float:
    """Seconds of computing, this process and those that it starts."""
    began = sum(os.times()[:4])
    work()
    return sum(os.times()[:4]) - began


def works(room: Path) -> Iterator[tuple[str, Callable[[], object]]]:
    """What is measured, with its name, in the order of the print."""
    yield "--help", lambda: command(room, "--help")
    yield "check regatta", lambda: command(room, "check", str(REGATTA))
    yield "build regatta", lambda: command(room, "build", str(REGATTA), "--out", str(room / "out"))
    deck = shapes_of(room / "out" / "deck.pptx")
    yield "python-pptx alone, the same shapes", lambda: write_bare(deck)
    for number in (10, 100):
        names = [written(room, f"many-{number}-{n}", tree_of(REGATTA)) for n in range(number)]
        yield f"check {number} missions in one command", lambda names=names: command(room, "check", *names)
    for what, (mission, grow) in GROWTH.items():
        for number in (1, 2, 4, 8):
            name = written(room, f"{what}-{number}", grow(tree_of(mission), number))
            yield f"check, {what} x {number}", lambda name=name: command(room, "check", name)


def command(room: Path, *arguments: str) -> None:
    """Run the program; it must end as a check or build of a sound mission does."""
    done = subprocess.run(
        [sys.executable, "-m", "briefgen", *arguments],
        cwd=room,
        env={**os.environ, "PYTHONPATH": str(REPOSITORY)},
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode not in (0, 1):
        said = done.stdout + done.stderr
        raise SystemExit(f"bench: {' '.join(arguments)} ended with {done.returncode}:\n{said[-2000:]}")


def tree_of(mission: Path) -> Tree:
    """What a mission file holds, each value as it is typed; but for what lies in files beside it."""
    tree: Tree = yaml.load(mission.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
    return {key: part for key, part in tree.items() if key not in ("obstacles", "terrain")}


def written(room: Path, name: str, tree: Tree) -> str:
    """A mission file of that tree; its name."""
    put_beside(room)
    (room / f"{name}.yaml").write_text(yaml.safe_dump(tree, allow_unicode=True, sort_keys=False), "utf-8")
    return f"{name}.yaml"


# ---------------------------------------------------------------- missions that grow


def _ships(tree: Tree, number: int) -> Tree:
    first, second = tree["flight"][:2]
    more = [
        {**second, "ship": str(n), "crew": [f"Capt N. Wren{n}"], "tail": f"1{n:03}"}
        for n in range(2, number + 1)
    ]
    tree["flight"] = [first, *more]
    tree["event"]["pass"].pop("minimum_ships", None)
    tree["contingencies"].pop("fall_outs", None)
    for key in ("blocks", "yardstick"):
        tree["training"].pop(key, None)
    for channel in tree["radio"]:
        channel.pop("listens", None)
    run_in = tree["event"]["pass"]["run_in"]
    run_in["formation"] = "line astern"
    if number == 1:
        for key in ("formation", "spacing", "step_down"):
            run_in.pop(key)
        for key in ("acceleration", "deceleration"):
            run_in[key] = run_in.pop(f"formation_{key}")
    return tree


def _legs(tree: Tree, number: int) -> Tree:
    (leg,) = tree["departure"]["legs"] if isinstance(tree["departure"], dict) else tree["departure"]
    ways = []
    for n in range(number - 1):
        tree["places"][f"TURN{n}"] = {"position": f"38°{2 + n:02}.0'S 140°{10 + n:02}.0'E"}
        ways.append({**leg, "to": f"TURN{n}"})
    legs = [*ways, leg]
    tree["departure"] = {**tree["departure"], "legs": legs} if isinstance(tree["departure"], dict) else legs
    return tree


def _obstacles(tree: Tree, number: int) -> Tree:
    tree["event"]["pass"]["obstacles"] = [
        {
            "name": f"Mast {n}",
            "position": f"38°{20 + n % 9}.{n % 10}'S 141°36.{n % 10}'E",
            "top": "330 ft MSL",
            "source": "survey",
        }
        for n in range(25 * number)
    ]
    return tree


def _slips(tree: Tree, number: int) -> Tree:
    tree["event"]["accept_slip"] = {"early": f"{15 * number} s", "late": f"{100 * number} s"}
    return tree


def _passes(tree: Tree, number: int) -> Tree:
    (entry,) = [entry for entry in tree["flow"] if "event" in entry]
    (once_more,) = entry.pop("again")
    if number == 1:
        entry["event"]["pass"]["then"] = "home"
        return tree
    entry["again"] = [{**deepcopy(once_more), "then": "next pass"} for _ in range(number - 2)] + [once_more]
    return tree


GROWTH: dict[str, tuple[Path, Callable[[Tree, int], Tree]]] = {
    "ships": (REGATTA, _ships),
    "legs out": (REGATTA, _legs),
    "25 obstacles": (REGATTA, _obstacles),
    "100 s of accepted slip": (REGATTA, _slips),
    "passes": (TWIN_FIELDS, _passes),
}

# ---------------------------------------------------------------- bare python-pptx


def shapes_of(deck: Path) -> list[list[tuple[str, tuple[int, int, int, int], Any]]]:
    """What stands on each slide: kind, place and words."""
    return [[*_flat(slide.shapes)] for slide in Presentation(str(deck)).slides]


def _flat(shapes: Any) -> Iterator[tuple[str, tuple[int, int, int, int], Any]]:
    for shape in shapes:
        yield from _flat(shape.shapes) if hasattr(shape, "shapes") else (_shape(shape),)


def _shape(shape: Any) -> tuple[str, tuple[int, int, int, int], Any]:
    place = (shape.left or 0, shape.top or 0, shape.width or 0, shape.height or 0)
    if shape.has_table:
        return "table", place, [[cell.text for cell in row.cells] for row in shape.table.rows]
    if shape.has_text_frame and shape.text_frame.text:
        return "text", place, [paragraph.text for paragraph in shape.text_frame.paragraphs]
    return "drawing", place, None


def write_bare(deck: list[list[tuple[str, tuple[int, int, int, int], Any]]]) -> bytes:
    """The deck's shapes and words by the library's own calls, unstyled."""
    presentation = Presentation()
    for shapes in deck:
        slide = presentation.slides.add_slide(presentation.slide_layouts[6])
        for kind, place, words in shapes:
            if kind == "table":
                _table(slide.shapes.add_table(len(words), len(words[0]), *place).table, words)
            elif kind == "text":
                slide.shapes.add_textbox(*place).text_frame.text = "\n".join(words)
            else:
                slide.shapes.add_shape(MSO_SHAPE.RECTANGLE, *place)
    out = io.BytesIO()
    presentation.save(out)
    return out.getvalue()


def _table(table: Any, words: list[list[str]]) -> None:
    for row, texts in enumerate(words):
        for column, text in enumerate(texts):
            table.cell(row, column).text = text


if __name__ == "__main__":
    started = time.monotonic()
    code = main()
    print(f"{time.monotonic() - started:.0f} s by the clock")
    sys.exit(code)
