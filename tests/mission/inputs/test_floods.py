"""Files as large as may be read, with as much in them as fits: refused soon, and with a number of errors that
somebody can read."""

from __future__ import annotations

import pytest

from briefgen.mission.inputs.obstacle_files import OBSTACLES
from briefgen.mission.inputs.placed import MOST_ERRORS, PLACES
from briefgen.mission.load import load_mission_text
from tests.mission.inputs.place_texts import GEOJSON, bounded, naming
from tests.mission.mission_texts import PASS_ONLY
from tests.yardstick import processor_seconds, yards

# measured: at most 8.8; unbounded, several of them took a minute and more
MOST_YARDS = 20.0
LISTED = PASS_ONLY + "obstacles: {files: [p%s], source: chart, date: 2027-01-01}\n"
POINT = '{"type":"FeatureCollection","features":[{"type":"Feature"}'
RING = "<kml><Placemark><name>A</name><Polygon><outerBoundaryIs><LinearRing><coordinates>"
RING_END = "</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></kml>"


def full(head: str, part: str, tail: str = "", most: int = PLACES.most_bytes) -> str:
    return head + part * ((most - len(head) - len(tail)) // len(part)) + tail


BIG = OBSTACLES.most_bytes
# the suffix, what it holds; the mission that names it; what is told first, and of how many
FLOODS = {
    "rows of another width": (".csv", full("id,lat,lon\n", "1\n"), naming, "1 values here", MOST_ERRORS + 1),
    "rows without a name": (".csv", full("id,lat,lon\n", ",1,1\n"), naming, "this point has no name", 101),
    "columns": (".csv", full("id,lat,lon", ",nme", "\n"), naming, "the header has 262", 1),
    "waypoints": (".gpx", full("<gpx>", "<wpt/>", "</gpx>"), naming, "this point has no name", 101),
    "text in pieces": (
        ".kml",
        full("<kml><Placemark><name>", "a<b/>", "</name></Placemark></kml>"),
        naming,
        "this text has 209",
        1,
    ),
    "corners": (".kml", full(RING, "1,1 ", RING_END), bounded, "this outline has 262", 1),
    "corners on lines": (".kml", full(RING, "1,1\n", RING_END), bounded, "this outline has 262", 1),
    "keys twice": (".json", full(POINT, ',{"a":1,"a":1}', "]}"), naming, "a key stands twice", 101),
    "features": (".json", full(POINT, ',{"type":"Feature"}', "]}"), naming, "p.json has no place in it", 1),
    "a quote left open": (".json", '"' + '\\"' * 500_000, naming, "the JSON can't be read on", 1),
    "digits": (".json", GEOJSON.replace("59.7333", "5" * 1_000_000), naming, "cannot read", 1),
    "obstacles of another width": (
        ".csv",
        full("id,lat,lon,top\n", "1\n", "", BIG),
        None,
        "1 values here",
        101,
    ),
    "obstacles without a datum": (
        ".csv",
        full("id,lat,lon,top\n", "A,1,1,1\n", "", BIG),
        None,
        "cannot read",
        101,
    ),
    "too many obstacles": (
        ".csv",
        full("id,lat,lon,top\n", "A,1.0,1.0,1 ft MSL\n", "", BIG),
        None,
        "with p.csv the mission has more than 50000 obstacles",
        1,
    ),
    "numbers": (".json", full("[1", ",1", "]", BIG), None, "there is far too much in this file", 1),
    "objects": (".json", full("[1", ",{}", "]", BIG), None, "there is far too much in this file", 1),
    "obstacles behind an open quote": (
        ".json",
        '"' + '\\"' * 4_000_000,
        None,
        "the JSON can't be read on",
        1,
    ),
}


@pytest.mark.parametrize("flood", FLOODS.values(), ids=FLOODS)
def test_it_is_refused_soon(tmp_path, flood):
    suffix, text, named, first, number = flood
    path = tmp_path / f"p{suffix}"
    path.write_text(text, encoding="utf-8")
    mission = (
        LISTED % suffix if named is None else named(f"file: {path.name}" if named is bounded else path.name)
    )
    found = []

    spent = yards(
        lambda: processor_seconds(
            lambda: found.append(load_mission_text(mission, "m.yaml", folder=tmp_path))
        ),
        MOST_YARDS,
    )

    told = [d for d in found[-1][1] if d.severity == "error" and d.code != "unknown-place"]
    assert len(told) == number and told[0].message.startswith(first) and told[0].span.file == path.name
    assert spent < MOST_YARDS


def test_that_there_are_more_errors_is_told(tmp_path):
    (tmp_path / "p.csv").write_text("id,lat,lon\n" + "1\n" * (MOST_ERRORS + 50), encoding="utf-8")

    _, problems = load_mission_text(naming("p.csv"), "m.yaml", folder=tmp_path)

    told = [problem for problem in problems if problem.code == "place-file"]
    assert len(told) == MOST_ERRORS + 1
    assert told[-1].message == "the file has more than 100 errors, told up to here"
    assert told[-1].span.line == 1 + MOST_ERRORS + 1  # below the header: that of the first not told
