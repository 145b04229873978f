"""Which room may use which: the rule of DEVELOPERS.md, read from the source with ``ast``; and what a command
may load."""

from __future__ import annotations

import ast
import json
import subprocess
from pathlib import Path

import pytest

from tests.places import REPOSITORY
from tests.trees import nodes_of, tree_of

PACKAGE = REPOSITORY / "briefgen"

# room → rooms it may import, beside itself. A room is a folder or a module of briefgen/.
BELOW_MISSION = {"", "core", "units", "airmath"}
ABOVE_PLAN = BELOW_MISSION | {"draw", "mission", "plan"}
ALLOWED = {
    "": set(),
    "core": set(),
    "units": {"core"},
    "airmath": {"core", "units"},
    "draw": {"core"},
    "console": {"core"},
    "mission": BELOW_MISSION,
    "plan": BELOW_MISSION | {"mission"},
    "brief": ABOVE_PLAN | {"whatif"},
    "render": ABOVE_PLAN | {"brief"},
    "export": {"", "core", "units", "plan"},
    "whatif": ABOVE_PLAN,
    "retime": ABOVE_PLAN | {"brief", "export"},
    "compare": ABOVE_PLAN | {"brief", "export"},
    "approval": ABOVE_PLAN | {"brief", "compare", "export"},
    "debrief": ABOVE_PLAN | {"brief", "render", "export"},
    "build": ABOVE_PLAN | {"brief", "render", "export", "whatif", "retime", "approval", "compare", "debrief"},
    "commands": None,  # all but cli
    "cli": {"", "commands", "console", "core"},
    "__main__": {"cli"},
}


def room_of(module: str) -> str:
    """``briefgen.plan.build`` → ``plan``; ``briefgen`` → the empty name."""
    return [*module.split("."), ""][1]


def sources() -> list[Path]:
    return sorted(path for path in PACKAGE.rglob("*.py") if "_shipped" not in path.parts)


def module_of(path: Path) -> str:
    parts = path.relative_to(REPOSITORY).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def package_of(path: Path) -> str:
    return ".".join(path.relative_to(REPOSITORY).parent.parts)


def imports_of(path: Path, package: str = "briefgen") -> list[tuple[int, str]]:
    """Line and module of each import from this program, also those inside functions and those with leading
    dots."""
    found = []
    for node in nodes_of(path):
        if isinstance(node, ast.Import):
            found += [(node.lineno, alias.name) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            above = package.split(".")[: len(package.split(".")) + 1 - node.level] if node.level else []
            module = ".".join([*above, *([node.module] if node.module else [])])
            found += (
                [(node.lineno, f"briefgen.{alias.name}") for alias in node.names]
                if module == "briefgen"
                else [(node.lineno, module)]
            )
    return [(line, name) for line, name in found if name == "briefgen" or name.startswith("briefgen.")]


def target_room(name: str) -> str:
    """``from briefgen import __version__`` means the package itself."""
    room = room_of(name)
    return "" if not (PACKAGE / room).is_dir() and not (PACKAGE / f"{room}.py").is_file() else room


@pytest.mark.parametrize("room", sorted({room_of(module_of(path)) for path in sources()}))
def test_a_room_imports_only_rooms_below_it(room):
    assert room in ALLOWED, f"{room} is a new room: give it its place in the rule"
    allowed = ALLOWED[room] if ALLOWED[room] is not None else set(ALLOWED) - {"cli", "__main__"}
    wrong = [
        f"{path.relative_to(PACKAGE)}:{line} imports {name}"
        for path in sources()
        if room_of(module_of(path)) == room
        for line, name in imports_of(path, package_of(path))
        if target_room(name) not in allowed | {room}
    ]
    assert wrong == []


def test_the_rule_has_no_circle():
    """Going down from any room never comes back to it."""
    graph = {room: (rooms or set()) - {room} for room, rooms in ALLOWED.items()}
    done: set[str] = set()
    while len(done) < len(graph):
        free = {room for room in graph if room not in done and graph[room] <= done}
        assert free, f"a circle among {sorted(set(graph) - done)}"
        done |= free


def runtime_imports(path: Path, modules: set[str]) -> set[str]:
    """The modules that a module imports, at its head or inside its functions; not for annotations alone."""
    every, found = nodes_of(path), set()
    checked = [node for node in every if isinstance(node, ast.If) and _is_for_types(node.test)]
    for_types = {inner for node in checked for part in node.body for inner in ast.walk(part)}
    for node in every:
        if node in for_types:
            continue
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return found & modules


def _is_for_types(test: ast.expr) -> bool:
    return isinstance(test, ast.Name) and test.id == "TYPE_CHECKING"


def circle_of(graph: dict[str, set[str]]) -> set[str]:
    """What is left when whoever imports nothing that is left is taken out, again and again; empty without a
    circle."""
    left = dict(graph)
    while free := [module for module, below in left.items() if not below & left.keys()]:
        for module in free:
            del left[module]
    return set(left)


def test_no_module_comes_back_to_itself():
    """Not even by an import inside a function."""
    paths = {module_of(path): path for path in sources()}
    graph = {
        name: {other for other in runtime_imports(path, set(paths)) if not name.startswith(f"{other}.")}
        for name, path in paths.items()
    }
    assert circle_of({name: below - {name} for name, below in graph.items()}) == set()


def test_a_circle_would_be_found(tmp_path):
    (tmp_path / "a.py").write_text("def f():\n    from briefgen.b import x\n")
    (tmp_path / "b.py").write_text("from briefgen import a\n")
    (tmp_path / "c.py").write_text("if TYPE_CHECKING:\n    from briefgen import a\n")
    modules = {"briefgen.a", "briefgen.b", "briefgen.c"}
    graph = {name: runtime_imports(tmp_path / f"{name[-1]}.py", modules) for name in modules}
    assert circle_of(graph) == {"briefgen.a", "briefgen.b"}


FILLED = {
    ("grammar.py", "READERS"),  # as the parsers are loaded, with one reader of each grammar, and never again
    ("worker.py", "_given"),  # in the second worker, who has no other place that its next job finds
}


def is_empty(value: ast.expr | None) -> bool:
    """``[]``, ``{}``, ``set()``, ``dict()`` or ``list()``."""
    match value:
        case ast.List(elts=[]) | ast.Dict(keys=[]):
            return True
        case ast.Call(func=ast.Name(id="set" | "dict" | "list"), args=[], keywords=[]):
            return True
    return False


def test_no_module_remembers_what_was_asked_last():
    """No empty list, set or mapping at the head of a module, to be filled as it runs, and no ``global``: what
    several share is handed over as a value."""
    kept = set()
    for path in sources():
        for node in nodes_of(path):
            if isinstance(node, ast.Global):
                kept |= {(path.name, name) for name in node.names}
        for node in tree_of(path).body:
            if isinstance(node, (ast.Assign, ast.AnnAssign)) and is_empty(node.value):
                targets = node.targets if isinstance(node, ast.Assign) else [node.target]
                kept |= {(path.name, ast.unparse(target)) for target in targets}
    assert kept == FILLED


@pytest.mark.parametrize(
    "bad",
    [
        "from briefgen.render import deck",
        "import briefgen.cli",
        "def f():\n    from briefgen.brief.slides.view.view import x",
        "from ..brief import x",
        "from .. import cli",
    ],
)
def test_a_breach_in_the_plan_room_would_be_found(tmp_path, bad):
    path = tmp_path / "x.py"
    path.write_text(bad)
    assert any(room_of(name) not in ALLOWED["plan"] for _, name in imports_of(path, "briefgen.plan"))


def loaded_by(arguments: list[str], python: str, environment: dict[str, str], folder: Path) -> set[str]:
    script = (
        f"import sys, json, briefgen.cli as c\ncode = c.run({arguments!r})\nprint('\\n' + json.dumps([code,"
        " sorted(sys.modules)]))"
    )
    done = subprocess.run(
        [python, "-c", script],
        env=environment,
        cwd=folder,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    code, modules = json.loads(done.stdout.splitlines()[-1])
    assert code in (0, 1), done.stdout
    return set(modules)


ONLY_BUILD_NEEDS = [
    "pptx",
    "typst",
    "jinja2",
    "lxml",
    "fontTools",
    "markdown_it",
    "briefgen.brief.slides.pages",
    "briefgen.brief.figures",
    "briefgen.render",
    "briefgen.draw.scene",
]
HEAVY = [
    *ONLY_BUILD_NEEDS,
    "pydantic",
    "yaml",
    "timezonefinder",
    "astral",
    "numpy",
    "briefgen.mission",
    "briefgen.plan",
    "briefgen.brief",
]


def heads(modules: set[str], names: list[str]) -> list[str]:
    return [
        name for name in names if any(module == name or module.startswith(f"{name}.") for module in modules)
    ]


def test_help_loads_no_room(python, clean_environment, tmp_path):
    assert heads(loaded_by(["--help"], python, clean_environment, tmp_path), HEAVY) == []


def test_check_loads_nothing_that_only_build_needs(python, clean_environment, tmp_path, repository):
    modules = loaded_by(
        ["check", str(repository / "missions" / "regatta.yaml")], python, clean_environment, tmp_path
    )
    assert heads(modules, ONLY_BUILD_NEEDS) == []
    assert "briefgen.mission" in modules and "briefgen.plan" in modules
