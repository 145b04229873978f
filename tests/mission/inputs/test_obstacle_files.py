"""Files of obstacles: read, or refused with file, line and remedy."""

from __future__ import annotations

import json

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.units.parse_places import parse_position, quick_position
from briefgen.units.values import Position
from tests.mission.inputs.test_place_files import told, write
from tests.mission.mission_texts import PASS_ONLY

CSV = "id,name,lat,lon,top,unit\nM1,Mast,59.7,10.55,300,ft MSL\nM2,,59°40.0'N,010°30.0'E,100 m MSL,\n"
POINT = {"type": "Point", "coordinates": [10.55, 59.7]}
GEOJSON = """{"type": "FeatureCollection", "features": [
  {"type": "Feature", "properties": {"name": "Mast", "top": "300 ft MSL"},
   "geometry": {"type": "Point", "coordinates": [10.55, 59.7]}},
  {"type": "Feature", "properties": {"id": "M2", "top": "100 m MSL"},
   "geometry": {"type": "Point", "coordinates": [10.5, 59.6666666666]}}
]}
"""


def naming(*names: str, more: str = "") -> str:
    return f"{PASS_ONLY}\nobstacles: {{files: [{', '.join(names)}]{more}}}\n"


def loaded(folder, text, files):
    write(folder, files)
    return load_mission_text(text, str(folder / "m.yaml"), folder=folder)


@pytest.mark.parametrize(("name", "text"), [("o.csv", CSV), ("o.geojson", GEOJSON), ("o.json", GEOJSON)])
def test_each_format_gives_the_same_obstacles(tmp_path, name, text):
    """100 m are 328.084 ft; the second stands 2.5 nm south-west of the first."""
    mission, problems = loaded(tmp_path, naming(name), {name: text})
    assert problems == []
    spot = Position(59.7, 10.55)
    found = mission.source.ground.obstacles.near(spot, spot, 5.0)
    assert [(one.name, one.file) for one in found] == [("M2", 0), ("Mast", 0)]
    assert [one.top_ft for one in found] == [pytest.approx(328.084, abs=0.001), 300.0]
    assert (found[1].position, found[0].position.lat_deg) == (spot, pytest.approx(59 + 2 / 3, abs=1e-9))
    assert [file.name for file in mission.file.obstacles.files] == [name]


def test_a_mission_without_such_files_reads_none(tmp_path):
    assert loaded(tmp_path, PASS_ONLY, {})[0].source.ground is None


WRONG = {
    "no top": ("o.csv", CSV.replace("300,", ","), "o.csv:2", "this obstacle has no top"),
    "above the ground": (
        "o.csv",
        CSV.replace("ft MSL", "ft AGL"),
        "o.csv:2",
        'cannot read "300 ft AGL" as a height above the sea',
    ),
    "no unit": (
        "o.csv",
        CSV.replace(",ft MSL", ","),
        "o.csv:2",
        'cannot read "300" as a height above the sea',
    ),
    "no latitude": (
        "o.csv",
        CSV.replace("59.7,", "95.7,"),
        "o.csv:2",
        'cannot read "95.7 10.55" as a pos',
    ),
    "no column": (
        "o.csv",
        CSV.replace("top", "elevation"),
        "o.csv:1",
        "the header has no top",
    ),
    "no name": ("o.csv", CSV.replace("M2", ""), "o.csv:3", "this point has no name"),
    "no rows": ("o.csv", "id,lat,lon,top\n", "o.csv:1", "the file has no obstacle in it"),
    "empty": ("o.csv", " \n", "o.csv:1", "o.csv is empty"),
    "another datum": (
        "o.csv",
        "id,lat,lon,top,datum\nM,59.7,10.5,9 ft MSL,NAD27\n",
        "o.csv:2",
        'the positions are said to be of "NAD27"',
    ),
    "no top in GeoJSON": (
        "o.geojson",
        GEOJSON.replace(', "top": "100 m MSL"', ""),
        "o.geojson:4",
        "this obstacle has no top",
    ),
    "a number for a top": (
        "o.geojson",
        GEOJSON.replace('"100 m MSL"', "100"),
        "o.geojson:4",
        'cannot read "100" as a height above the sea',
    ),
    "broken": ("o.geojson", GEOJSON[:-5], "o.geojson:5", None),
    "a key twice": (
        "o.geojson",
        GEOJSON.replace('"id": "M2",', '"id": "M2", "id": "M3",'),
        "o.geojson:4",
        "a key stands twice in this object",
    ),
    "an outline alone": (
        "o.geojson",
        json.dumps({"type": "FeatureCollection", "features": []}),
        "o.geojson:1",
        "the file has no obstacle in it",
    ),
    "a KML": ("o.kml", "<kml/>", "m.yaml:", None),
    "not there": ("o.csv", None, "m.yaml:", 'there is no file "o.csv" beside the file that names it'),
}


@pytest.mark.parametrize("what", WRONG)
def test_what_cannot_be_read_is_one_error_with_its_place(tmp_path, what):
    name, text, where, message = WRONG[what]
    mission, problems = loaded(tmp_path, naming(name), {} if text is None else {name: text})
    errors = told(problems)
    assert mission is None and len(errors) == 1, errors
    assert errors[0][0].startswith(where)
    assert message is None or errors[0][1].startswith(message), errors
    assert all(problem.help for problem in problems)


def test_a_list_of_names_is_wanted(tmp_path):
    text = PASS_ONLY + "\nobstacles: {files: o.csv}\n"
    assert told(loaded(tmp_path, text, {"o.csv": CSV})[1])[0][1].startswith("`files` wants a list of names")


def test_a_file_that_changed_changes_the_text_tree(tmp_path):
    contents = {
        loaded(tmp_path, naming("o.csv"), {"o.csv": text})[0].file.obstacles.files[0].content
        for text in (CSV, CSV, CSV.replace("300", "301"))
    }
    assert len(contents) == 2


QUICK = (
    "59.7 10.55",
    "-59.70 -010.550001",
    "89.999999 180.0",
    "00.5 -0.25",
    "59°40.0'N 010°30.0'E",
    "37°44.71'S 140°47.123'W",
)


@pytest.mark.parametrize("text", QUICK)
def test_the_quick_reading_is_that_of_the_grammar(text):
    lat, lon, _ = quick_position(text)
    assert Position(lat, lon) == parse_position(text)


@pytest.mark.parametrize(
    "text", ["95.7 10.5", "59.7 190.5", "59°60.0'N 010°30.0'E", "59.7, 10.5", "59 10", "x"]
)
def test_what_it_does_not_know_is_left_to_the_grammar(text):
    assert quick_position(text) is None


@pytest.mark.parametrize(
    ("text", "doubt_nm"),
    [
        ("59.7 10.55", 3.0149627),  # half of 0.1 deg is 3 nm, of 0.01 deg 0.3 nm; hypot
        ("59.7000 10.5500", 0.0042426),  # 0.003 nm each
        ("59°40.00'N 010°30.00'E", 0.0070711),  # 0.005 nm each
    ],
)
def test_how_exactly_it_is_typed(text, doubt_nm):
    assert quick_position(text)[2] == pytest.approx(doubt_nm, abs=1e-6)
