"""The missions whose figures are drawn in the tests, each planned once."""

from functools import cache
from math import hypot

from briefgen.brief.figures import FIGURES, figure_makers
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Canvas, Scene
from tests.places import OF_ONE_PASS
from tests.places import REPOSITORY as ROOT
from tests.planned import plan_of

MISSIONS = tuple(
    path.relative_to(ROOT).as_posix()
    for path in (*OF_ONE_PASS, *sorted((ROOT / "tests" / "cases").glob("ok-*.yaml")))
)
CANVASES = {
    "slide": Canvas(864, 374),
    "half slide": Canvas(560, 400),
    "card": Canvas(372, 190, "card"),
    "page": Canvas(700, 400, "page"),
}
ALL = set(FIGURES)


def scene_of(mission: str, figure: str, canvas: str = "slide") -> Scene:
    """One figure of one mission."""
    return figure_makers(plan_of(mission))[figure](CANVASES[canvas])


def shapes_of(scene: Scene, kind: type, style: str | None = None) -> list:
    """The shapes of one kind, and of one style if given, in drawing order."""
    return [s for s in flat(scene.shapes) if isinstance(s, kind) and style in (None, s.style)]


def twin_fields_ground(lat: float, lon: float) -> list[tuple[float, float]]:
    """Every cell of the made grid of missions/twin-fields, laid out by hand from the grid's head: how far its
    middle is from a place in nm, on a plane with the cosine of 42.3 degrees, and its metres."""
    return [(hypot(at - lat, (east - lon) * 0.7396) * 60, metres) for at, east, metres in _cells()]


@cache
def _cells() -> list[tuple[float, float, float]]:
    lines = (ROOT / "missions" / "twin-fields" / "ground.asc").read_text().splitlines()
    head, rows = dict(line.split() for line in lines[:6]), [line.split() for line in lines[6:]]
    step, west, south = (float(head[key]) for key in ("cellsize", "xllcorner", "yllcorner"))
    return [
        (south + (len(rows) - i - 0.5) * step, west + (j + 0.5) * step, float(metres))
        for i, row in enumerate(rows)
        for j, metres in enumerate(row)
    ]
