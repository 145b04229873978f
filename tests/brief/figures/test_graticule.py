"""The lines of a map are where PROJ puts them, wherever on Earth the map lies: across the 180th meridian and
over a pole as well."""

import re
from collections import Counter

import pytest
from pyproj import Transformer

from briefgen.brief.figures.graticule import graticule
from briefgen.brief.figures.plane import fit
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.labels import Obstacles
from briefgen.draw.scene.model import Canvas, Line, Text
from briefgen.units.values import Position
from tests.brief.figures.plans import CANVASES, scene_of, shapes_of

BOX = Box(0, 0, 640, 400)
LABEL = re.compile(r"(\d\d)°(\d\d)'([NS])|(\d\d\d)°(\d\d)'([EW]?)")


def drawn(lat: float, lon: float, half_nm: float):
    """The lines and labels of a map with this centre, and what turns a point of it into longitude and
    latitude (PROJ)."""
    chart = fit(Position(lat, lon), [(-half_nm, -half_nm), (half_nm, half_nm)], BOX, 20)
    plane = Transformer.from_crs(
        f"+proj=aeqd +lat_0={lat} +lon_0={lon} +ellps=WGS84", "EPSG:4326", always_xy=True
    )

    def on_earth(x: float, y: float) -> tuple[float, float]:
        return plane.transform((x - 320) / chart.pt_per_nm * 1852, (200 - y) / chart.pt_per_nm * 1852)

    lines, texts = graticule(chart, Canvas(640, 400), Obstacles())
    return lines, texts, on_earth


def off_nm(kind: str, value: float, lon: float, lat: float) -> float:
    """How far a place lies from a parallel (``lat``) or from a meridian (``lon``)."""
    from math import cos, radians

    return (
        abs(lat - value) * 60
        if kind == "lat"
        else abs((lon - value + 180) % 360 - 180) * 60 * cos(radians(lat))
    )


def value_of(label: str) -> tuple[str, float]:
    found = LABEL.fullmatch(label)
    assert found, label
    deg, minutes, letter = found.group(1, 2, 3) if found[1] else found.group(4, 5, 6)
    return "lat" if found[1] else "lon", (int(deg) + int(minutes) / 60) * (
        -1 if letter in ("S", "W") and letter else 1
    )


# Centre, half of the height shown (nm): a usual map, one on each side of 180 and one on it, high latitudes
# beside 180, a pole in the map, and at its centre.
PLACES = [
    (-17.0, 140.0, 60),
    (-17.0, 179.6, 60),
    (-17.0, -179.6, 60),
    (51.0, 180.0, 30),
    (51.0, -180.0, 30),
    (-75.0, -179.0, 120),
    (85.0, -179.0, 120),
    (88.0, 179.0, 60),
    (89.6, 20.0, 60),
    (-89.8, -170.0, 60),
    (90.0, 0.0, 60),
    (60.0, 175.0, 1200),
]


@pytest.mark.parametrize(("lat", "lon", "half_nm"), PLACES)
def test_every_line_is_one_parallel_or_one_meridian_and_every_label_stands_beside_its_own(lat, lon, half_nm):
    lines, texts, on_earth = drawn(lat, lon, half_nm)
    step = 5 if half_nm < 100 else 60  # minutes of arc: no finer lines are wanted on maps of this size
    assert 4 <= len(lines) <= 30
    for line in lines:
        where = [on_earth(*point) for point in line.points]
        # the corner farthest from the pole says which meridian it is
        x, y = max(where, key=lambda place: 90 - abs(place[1]))
        kind, value = min(
            (("lat", round(y * 60 / step) * step / 60), ("lon", round(x * 60 / step) * step / 60)),
            key=lambda own: max(off_nm(*own, *p) for p in where),
        )
        assert max(off_nm(kind, value, *place) for place in where) < 0.01 * half_nm, (line, kind, value)
    assert max(Counter(text.text for text in texts).values()) == 1
    for text in texts:
        assert off_nm(*value_of(text.text), *on_earth(*text.at)) < 0.08 * half_nm, text


@pytest.mark.parametrize(("lat", "lon", "half_nm"), PLACES)
def test_a_map_has_labels_of_both_kinds(lat, lon, half_nm):
    _, texts, _ = drawn(lat, lon, half_nm)
    assert {value_of(text.text)[0] for text in texts} == {"lat", "lon"}


@pytest.mark.parametrize("canvas", [name for name in CANVASES if name != "card"])
def test_the_map_of_a_sortie_across_180_degrees_has_few_lines_and_each_label_once(canvas):
    scene = scene_of("tests/cases/ok-across-180.yaml", "route", canvas)
    said = Counter(text.text for text in shapes_of(scene, Text) if LABEL.fullmatch(text.text))
    assert max(said.values()) == 1
    assert {"180°00'E", "180°00'W"}.isdisjoint(said)
    assert 4 <= len(shapes_of(scene, Line, "grid")) <= 12
    # from 179°21.3'E to 179°00.7'W: two or four lines of longitude, whatever the step
    assert {label for label in said if value_of(label)[0] == "lon"} <= {
        "179°00'E",
        "179°20'E",
        "179°30'E",
        "179°40'E",
        "180°00'",
        "179°40'W",
        "179°30'W",
        "179°20'W",
        "179°00'W",
    }


def test_the_map_across_180_degrees_names_that_meridian():
    assert "180°00'" in {
        text.text for text in shapes_of(scene_of("tests/cases/ok-across-180.yaml", "route"), Text)
    }
