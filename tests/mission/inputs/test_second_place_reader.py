"""Places and outlines of GPX and KML by second readers, gpxpy and fastkml: of our own small files, and of
files that they write. Both owe nothing to this program."""

from __future__ import annotations

import random

import pytest

from briefgen.mission.inputs.placed import Finds, Text
from briefgen.mission.inputs.places_xml import read_gpx, read_kml
from briefgen.units.parse_places import parse_position
from tests.mission.inputs.place_texts import GPX, KML

gpxpy = pytest.importorskip("gpxpy", reason="the second reader is in the extra of the tests")
fastkml = pytest.importorskip("fastkml", reason="the second reader is in the extra of the tests")

NEAR_DEG = 1e-9  # what lies behind the ninth decimal is cut off
NAMES = ("Hold", "A & B", "<b>bold</b>", "Bucht Süd", '"quoted"', "x" * 32)


def lat_lon(text: Text) -> tuple[float, float]:
    position = parse_position(text.text)
    return position.lat_deg, position.lon_deg


def points(finds: Finds) -> dict[str, tuple[float, float]]:
    assert not finds.problems
    return {spot.id.text: lat_lon(spot.position) for spot in finds.spots}


def outlines(finds: Finds) -> dict[str, list[tuple[float, float]]]:
    """Each closed again, as files have it."""
    found = {outline.name.text: [lat_lon(corner) for corner in outline.corners] for outline in finds.outlines}
    return {name: [*corners, corners[0]] for name, corners in found.items()}


def waypoints(text: str) -> dict[str, tuple[float, float]]:
    return {point.name: (point.latitude, point.longitude) for point in gpxpy.parse(text).waypoints}


def shapes(text: str) -> dict[str, object]:
    """The geometry of each placemark, at any depth."""
    found, folders = {}, [fastkml.KML.from_string(text)]
    for folder in folders:
        for feature in folder.features:
            if isinstance(feature, fastkml.Placemark):
                found[feature.name] = feature.geometry
            else:
                folders.append(feature)
    return found


def close(one: object, other: object) -> bool:
    return one == pytest.approx(other, abs=NEAR_DEG)


def agree_on_gpx(text: str, number: int) -> None:
    one, other = points(read_gpx(text, "p.gpx")), waypoints(text)
    assert one.keys() == other.keys() and len(one) == number
    assert all(close(one[name], other[name]) for name in one)


def agree_on_kml(text: str, number: int) -> None:
    finds, theirs = read_kml(text, "p.kml"), shapes(text)
    ours = points(finds)
    rings = outlines(finds)
    assert {*ours, *rings} == theirs.keys() and len(theirs) == number
    for name, shape in theirs.items():
        if shape.geom_type == "Point":
            assert close(ours[name], (shape.y, shape.x))
        else:
            corners = [(y, x) for x, y, *_ in shape.exterior.coords]
            assert len(rings[name]) == len(corners)
            assert all(close(one, corner) for one, corner in zip(rings[name], corners, strict=True))


def test_both_read_our_own_files_alike():
    agree_on_gpx(GPX, 2)
    agree_on_kml(KML, 3)


def spot(rng: random.Random) -> tuple[float, float]:
    decimals = rng.choice((0, 1, 6, 15))
    return round(rng.uniform(-90, 90), decimals), round(rng.uniform(-180, 180), decimals)


@pytest.mark.parametrize("seed", range(8))
def test_what_gpxpy_writes_is_read_as_it_was_meant(seed):
    rng, file = random.Random(seed), gpxpy.gpx.GPX()
    for name in NAMES:
        lat, lon = spot(rng)
        file.waypoints.append(gpxpy.gpx.GPXWaypoint(lat, lon, name=name, elevation=rng.choice((None, 12.5))))
    file.routes.append(gpxpy.gpx.GPXRoute(name="Way"))

    agree_on_gpx(file.to_xml(version=rng.choice(("1.0", "1.1"))), len(NAMES))


@pytest.mark.parametrize("seed", range(8))
def test_what_fastkml_writes_is_read_as_it_was_meant(seed):
    from pygeoif.geometry import Point, Polygon

    rng = random.Random(seed)
    inner, outer = fastkml.Folder(name="inner"), fastkml.Document(name="outer")
    for name in NAMES:
        corners = [spot(rng)[::-1] for _ in range(rng.randint(3, 9))]
        shape = rng.choice((Point(*corners[0]), Point(*corners[0], 0.0), Polygon([*corners, corners[0]])))
        rng.choice((inner, outer)).append(fastkml.Placemark(name=name, geometry=shape))
    outer.append(inner)

    agree_on_kml(fastkml.KML(features=[outer]).to_string(prettyprint=rng.random() < 0.5), len(NAMES))
