"""Sea and land under a map, held against places whose coordinates anybody can look up."""

import re

import pytest

from briefgen.brief.figures.coast import Coast, coast_of
from briefgen.brief.figures.plane import PlaneMap
from briefgen.core.resources import coast_path
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Line, Polygon, Rect, Text
from briefgen.units.values import Position
from tests.brief.figures.plans import scene_of, shapes_of
from tests.places import REPOSITORY

BOX = Box(0, 0, 600, 400)


def around(lat, lon, wide_nm=60.0):
    return coast_of(PlaneMap(Position(lat, lon), (0.0, 0.0), BOX.width / wide_nm, BOX))


def state_in_the_middle(coast):
    """The topmost fill there; a ring holds a point where an odd number of its sides lie right of it."""
    x, y, state = 300.0, 200.0, "neither"
    for fill in coast.fills:
        if isinstance(fill, Rect):
            state = fill.style
            continue
        assert isinstance(fill, Polygon)
        sides = zip(fill.points, (*fill.points[1:], fill.points[0]), strict=True)
        right = [a for a, b in sides if (a[1] > y) != (b[1] > y) and _crossing(a, b, y) > x]
        state = fill.style if len(right) % 2 else state
    return state


def _crossing(a, b, y):
    return a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0])


# General geography: towns well inside a coast or on an island, and open water between places known by name,
# from any atlas.
@pytest.mark.parametrize(
    ("place", "lat", "lon", "state"),
    [
        ("Canterbury, 6 nm from the coast of Kent", 51.28, 1.08, "land"),
        ("Strait of Dover, half way to Calais", 51.04, 1.58, "water"),
        ("Parramatta, west of Sydney", -33.81, 151.00, "land"),
        ("20 nm off Sydney Heads", -33.83, 151.70, "water"),
        ("Selfoss, Iceland", 63.93, -20.99, "land"),
        ("Faxa Bay, Iceland", 64.40, -22.60, "water"),
        ("Taveuni, Fiji, on the 180th meridian", -16.85, -179.97, "land"),
        ("Koro Sea, Fiji", -17.50, 179.60, "water"),
        ("Visby, on the island of Gotland", 57.63, 18.31, "land"),
        ("Baltic between Gotland and Latvia", 57.20, 19.80, "water"),
        ("Miami's airport, 8 nm from the sea", 25.79, -80.32, "land"),
        ("Florida Strait", 25.40, -79.80, "water"),
        ("Newtontoppen, highest peak of Svalbard", 79.00, 17.50, "land"),
        ("Baku, on the Caspian Sea", 40.42, 49.82, "land"),
        ("Caspian Sea east of Baku, which is a sea", 40.30, 50.60, "water"),
    ],
)
def test_land_is_told_from_sea(place, lat, lon, state):
    assert state_in_the_middle(around(lat, lon)) == state


@pytest.mark.parametrize(
    ("lat", "lon"), [(42.1, -93.6), (48.9, 2.4), (30.0, -40.0)], ids=["Iowa", "Paris", "Atlantic"]
)
def test_a_frame_without_coast_draws_none_and_names_no_source(lat, lon):
    assert around(lat, lon) == Coast()


def test_a_border_alone_tells_no_land_from_sea():
    """Basel, where Switzerland, France and Germany meet; 250 nm from any sea."""
    found = around(47.56, 7.59)
    assert found.fills == () and {line.style for line in found.lines} == {"border"}
    assert found.source == "Borders: Natural Earth 1:10m, not for navigation"


def test_no_line_of_it_leaves_the_box():
    found = around(57.0, 10.0, 300.0)  # Denmark: many islands, a border
    points = [point for line in found.lines for point in line.points]
    assert len(points) > 100 and all(BOX.grown(0.01).holds(Box(*p, *p)) for p in points)


@pytest.mark.parametrize(
    ("mission", "said"),
    [
        ("missions/regatta.yaml", "Coast: Natural Earth 1:10m, not for navigation"),
        ("missions/twin-fields.yaml", ""),
    ],
)
def test_the_route_map_has_it_and_says_whose_it_is(mission, said):
    scene = scene_of(mission, "route")
    words = " ".join(" ".join(text.text.split()) for text in shapes_of(scene, Text))
    styles = {line.style for line in shapes_of(scene, Line)}
    assert ("coast" in styles, "Natural Earth" in words) == (bool(said), bool(said)) and said in words


def test_the_packed_lines_stay_small_and_their_source_is_named():
    assert coast_path().stat().st_size <= 700_000
    readme = (REPOSITORY / "README.md").read_text(encoding="utf-8")
    source = (coast_path().parent / "SOURCE.md").read_text(encoding="utf-8")
    assert re.search(r"Natural Earth.*public domain", readme) and "Natural Earth 4.1.0" in source
    assert "Copyright 2013-2019 Michael Bostock" in source
