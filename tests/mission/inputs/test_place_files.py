"""Places and boundaries in files beside the mission: read, or refused with file, line and remedy."""

import pytest

from briefgen.mission.edit.mends import mended
from briefgen.mission.load import load_mission_text
from tests.mission.inputs.place_texts import (
    BOUNDARY,
    CSV,
    GEOJSON,
    GPX,
    KML,
    TYPED,
    WHOLE,
    bounded,
    naming,
)
from tests.mission.mission_texts import PASS_ONLY, TRAINING_ONLY, changed

LATIN_1 = "id,name,lat,lon\nHOLD,Möv,59.6,10.5\nIP,,59.7,10.5\n".encode("latin-1")


def write(folder, files):
    """Files beside the mission, of text or of bytes."""
    for name, data in files.items():
        (folder / name).write_bytes(data if isinstance(data, bytes) else data.encode("utf-8"))


def told(problems, severity="error"):
    """The place of each error, as file:line, and its message."""
    return [
        (f"{d.span.file.rpartition('/')[2]}:{d.span.line}", d.message)
        for d in problems
        if d.severity == severity
    ]


def loaded(folder, text, files):
    write(folder, files)
    return load_mission_text(text, str(folder / "m.yaml"), folder=folder)


@pytest.mark.parametrize(
    ("name", "hold", "elevation_ft", "line"),
    [
        ("p.csv", "Quiet bay", 40.0, 3),
        ("p.gpx", "Hold", None, 4),
        ("p.kml", "Hold", None, 6),
        ("p.geojson", "Quiet bay", 40.0, 4),
    ],
)
def test_each_format_gives_the_same_places(tmp_path, name, hold, elevation_ft, line):
    """HOLD lies at 59 2/3 N (59°40', to nine decimals where decimals are written) and IP at 59.7333 N, on
    line ``line``."""
    mission, problems = loaded(tmp_path, naming(name), WHOLE)

    assert problems == []
    assert mission.places["HOLD"].name == hold and mission.places["HOLD"].elevation_ft == elevation_ft
    assert mission.places["HOLD"].lat_deg == pytest.approx(59 + 2 / 3, abs=2e-9)
    assert mission.places["HOLD"].lon_deg == pytest.approx(10.5, abs=1e-12)
    assert (mission.places["IP"].lat_deg, mission.places["IP"].lon_deg) == (59.7333, 10.55)
    assert mission.places["IP"].name == "IP" and mission.places.keys() == {"BASE", "QUAY", "HOLD", "IP"}
    span = mission.span(("places", "IP", "position"))
    assert span.file.endswith(name) and span.line == line
    assert mission.source.texts[span.file] == WHOLE[name]


OTHERS = {
    "semicolons and other columns": (
        "p.csv",
        "remarks;ID;Latitude;LONG\n;HOLD;59.6;10.5\n\n;IP;59.7333;10.55\n",
    ),
    "tabs, a mark of UTF-8 and line ends of Windows": (
        "p.csv",
        "\ufeffname\tlat\tlon\tdatum\r\nHOLD\t59.6\t10.5\tWGS 84\r\nIP\t59.7333\t10.55\t\r\n",
    ),
    "a quoted comma": ("p.csv", 'id,name,lat,lon\nHOLD,"Bay, quiet",59.6,10.5\nIP,,59.7333,10.55\n'),
    "a prefix": (
        "p.gpx",
        GPX.replace("<", "<g:").replace("<g:/", "</g:").replace("<g:?", "<?").replace("xmlns=", "xmlns:g="),
    ),
    "no namespace": ("p.kml", KML.replace(' xmlns="http://www.opengis.net/kml/2.2"', "")),
    "an old namespace": ("p.kml", KML.replace("www.opengis.net/kml/2.2", "earth.example/kml/2.0")),
    "text as CDATA": ("p.kml", KML.replace("<name>IP</name>", "<name><![CDATA[ip]]></name>")),
    "another declared encoding of plain letters": ("p.gpx", GPX.replace("UTF-8", "ISO-8859-1")),
    "whole degrees": ("p.gpx", GPX.replace('"59.6666666666666"', '"60"').replace('"10.5"', '"+11"')),
    "a stated crs": (
        "p.geojson",
        GEOJSON.replace(
            '"features"',
            '"crs": {"type": "name", "properties": {"name": "urn:ogc:def:crs:OGC:1.3:CRS84"}}, "features"',
        ),
    ),
    "another ending": ("p.json", GEOJSON),
}


@pytest.mark.parametrize("spelling", OTHERS)
def test_other_spellings_of_a_format_are_read(tmp_path, spelling):
    name, text = OTHERS[spelling]
    mission, problems = loaded(tmp_path, naming(name), {name: text})

    assert told(problems) == [] and mission.places["IP"].lat_deg == 59.7333


def test_several_files_stand_beside_typed_places(tmp_path):
    files = {"a.csv": "id,lat,lon\nhold,59.6,10.5\n", "b.csv": "id,lat,lon\nip,59.7333,10.55\n"}
    mission, problems = loaded(tmp_path, naming("a.csv", "b.csv"), files)

    assert problems == [] and list(mission.places) == ["BASE", "QUAY", "HOLD", "IP"]


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("p.gpx", GPX.replace("<name>IP", "<ele>12.5</ele><name>IP")),
        ("p.kml", KML.replace("10.55,59.7333", "10.55,59.7333,12.5")),
        ("p.geojson", GEOJSON.replace("[10.55, 59.7333]", "[10.55, 59.7333, 12.5]")),
    ],
)
def test_a_height_that_may_be_of_anything_is_left_out_and_said(tmp_path, name, text):
    mission, problems = loaded(tmp_path, naming(name), {name: text})

    assert mission.places["IP"].elevation_ft is None
    assert [message for _, message in told(problems, "note")] == [
        f"the heights beside the positions of {name} are not read"
    ]


ROW = "IP,,59.7333,10.55,,\n"
FEATURE = '"coordinates": [10.55, 59.7333]'
# name of the file, text, place and message of the error, text as it is mended
ERRORS = {
    "no id": (
        "p.csv",
        CSV.replace("IP,,", "The IP,,"),
        "p.csv:3",
        '"The IP" is no id: ids are CAPITALS and digits, at most 12 characters',
        CSV,
    ),
    "no id in XML": (
        "p.gpx",
        GPX.replace(">IP<", ">9th<"),
        "p.gpx:5",
        '"9th" is no id: ids are CAPITALS and digits, at most 12 characters',
        GPX,
    ),
    "id of the area": (
        "p.csv",
        CSV + "area,,59.5,10.5,,\n",
        "p.csv:4",
        "the id AREA is reserved for the training area",
        CSV + "AREA2,,59.5,10.5,,\n",
    ),
    "no name": ("p.gpx", GPX.replace("<name>Hold</name>", ""), "p.gpx:3", "this point has no name", GPX),
    "no name in a row": ("p.csv", CSV + ",,59.5,10.5,,\n", "p.csv:4", "this point has no name", CSV),
    "double in a file": ("p.csv", CSV + "hold,,59.5,10.5,,\n", "p.csv:4", "the place HOLD stands twice", CSV),
    "double of a typed one": (
        "p.csv",
        CSV + "quay,,59.5,10.5,,\n",
        "p.csv:4",
        "the place QUAY stands twice",
        CSV,
    ),
    "empty": ("p.csv", " \n", "p.csv:1", "p.csv is empty", CSV),
    "no row": ("p.csv", CSV.splitlines()[0], "p.csv:1", "p.csv has no place in it", CSV),
    "no waypoint": ("p.gpx", "<gpx><trk/></gpx>", "p.gpx:1", "p.gpx has no place in it", GPX),
    "no header": ("p.csv", "HOLD,59.6,10.5\n", "p.csv:1", "the header has no id and no lat and no lon", CSV),
    "misspelt column": (
        "p.csv",
        CSV.replace("elevation", "elevaton"),
        "p.csv:1",
        'there is no column "elevaton"',
        CSV,
    ),
    "column twice": (
        "p.csv",
        CSV.replace("unit", "name"),
        "p.csv:1",
        'there are several columns "name"',
        CSV,
    ),
    "value too many": (
        "p.csv",
        CSV.replace(ROW, "IP,a,b,59.7,10.5,,\n"),
        "p.csv:3",
        "7 values here, 6 columns in the header",
        CSV,
    ),
    "open quote": (
        "p.csv",
        CSV.replace("IP,,", 'IP,"a,'),
        "p.csv:3",
        "the table can't be read on from here: unexpected end of data",
        CSV,
    ),
    "elevation without its datum": (
        "p.csv",
        CSV.replace("ft MSL", "ft"),
        "p.csv:2",
        'cannot read "40 ft" as a height above the sea',
        CSV,
    ),
    "other datum": (
        "p.csv",
        "id,lat,lon,datum\nHOLD,59.6,10.5,ED50\nIP,59.7,10.6,\n",
        "p.csv:2",
        'the positions are said to be of "ED50"',
        "id,lat,lon,datum\nHOLD,59.6,10.5,WGS-84\nIP,59.7,10.6,\n",
    ),
    "other crs": (
        "p.geojson",
        GEOJSON.replace('"features"', '"crs": {"properties": {"name": "EPSG:25832"}},\n"features"'),
        "p.geojson:1",
        'the positions are said to be of "EPSG:25832"',
        GEOJSON,
    ),
    "swapped": (
        "p.csv",
        CSV.replace("59.7333,10.55", "110.55,59.7333"),
        "p.csv:3",
        'cannot read "110.55 59.7333" as a position, latitude first',
        CSV,
    ),
    "latitude out of range": ("p.gpx", GPX.replace("59.7333", "91.5"), "p.gpx:4", "", GPX),
    "longitude out of range": ("p.kml", KML.replace("10.55", "180.5"), "p.kml:6", "", KML),
    "not a number": ("p.gpx", GPX.replace("59.7333", "nan"), "p.gpx:4", "", GPX),
    "infinite": ("p.geojson", GEOJSON.replace("59.7333", "-Infinity"), "p.geojson:4", "", GEOJSON),
    "far too large": ("p.geojson", GEOJSON.replace("59.7333", "1e999999999"), "p.geojson:4", "", GEOJSON),
    "whole degrees typed": (
        "p.csv",
        CSV.replace("59.7333,10.55", "60,11"),
        "p.csv:3",
        'cannot read "60 11" as a position, latitude first',
        CSV,
    ),
    "no latitude": ("p.csv", CSV.replace("59.7333", ""), "p.csv:3", "", CSV),
    "no comma": (
        "p.kml",
        KML.replace("10.55,59", "10.55 59"),
        "p.kml:6",
        '"10.55" is no pair of coordinates',
        KML,
    ),
    "coordinates as text": (
        "p.geojson",
        GEOJSON.replace(FEATURE, '"coordinates": "10.55, 59.7333"'),
        "p.geojson:4",
        "this feature has no pair of coordinates",
        GEOJSON,
    ),
    "broken XML": (
        "p.kml",
        KML.replace("</Folder>", ""),
        "p.kml:12",
        "the XML can't be read on from here: mismatched tag",
        KML,
    ),
    "unknown entity": (
        "p.kml",
        KML.replace(">IP<", ">I&nbsp;P<"),
        "p.kml:4",
        "the XML can't be read on from here: undefined entity",
        KML,
    ),
    "broken JSON": (
        "p.geojson",
        GEOJSON.replace('"IP"},', '"IP"}'),
        "p.geojson:5",
        "the JSON can't be read on from here: expecting ',' delimiter",
        GEOJSON,
    ),
    "key twice": (
        "p.geojson",
        GEOJSON.replace('{"name": "IP"}', '{"name": "IP", "name": "HOLD"}'),
        "p.geojson:4",
        "a key stands twice in this object",
        GEOJSON,
    ),
    "another format": ("p.gpx", KML, "p.gpx:2", "the file is no GPX: it begins with <kml>", GPX),
    "a bare geometry": (
        "p.geojson",
        '{"type": "Point", "coordinates": [1, 2]}',
        "p.geojson:1",
        "the file is no GeoJSON of features",
        GEOJSON,
    ),
    "Latin-1": ("p.csv", LATIN_1, "p.csv:2", "byte 0xF6 is not UTF-8", LATIN_1.decode("latin-1")),
    "UTF-16": ("p.gpx", GPX.encode("utf-16"), "p.gpx:1", "the file is saved as UTF-16", GPX),
    "NUL": (
        "p.csv",
        CSV.replace("Quiet", "\0"),
        "p.csv:2",
        "the character U+0000 (a control character) is not allowed",
        CSV,
    ),
    "a sign as an escape": (
        "p.geojson",
        GEOJSON.replace("Quiet", "\\u202e"),
        "p.geojson:2",
        "the character U+202E (right-to-left override) is not allowed",
        GEOJSON,
    ),
    "a name too long": (
        "p.csv",
        CSV.replace("Quiet bay", "q" * 40),
        "p.csv:2",
        "this text has 40 characters, the most is 32",
        CSV,
    ),
}


@pytest.mark.parametrize("error", ERRORS)
def test_an_error_names_its_line_and_its_remedy_is_taken(tmp_path, error):
    name, text, place, message, mended = ERRORS[error]
    mission, problems = loaded(tmp_path, naming(name), {name: text})
    found = told(problems)

    assert mission is None and len(found) == 1, found
    assert found[0][0] == place and message in found[0][1], found
    assert all(d.why and d.help for d in problems), problems
    again, problems = loaded(tmp_path, naming(name), {name: mended})
    assert again is not None and told(problems) == []


def test_a_double_names_both_places(tmp_path):
    files = {"a.csv": CSV, "b.csv": CSV.replace("IP", "FIX")}
    _, problems = loaded(tmp_path, naming("a.csv", "b.csv"), files)
    double = next(d for d in problems if d.code == "double-place")

    assert str(double.span).endswith("b.csv:2:1")
    assert [str(one.span).rpartition("/")[2] for one in double.related] == ["a.csv:2:1", "m.yaml:5:18"]


@pytest.mark.parametrize(
    "name",
    [
        "../p.csv",
        "/etc/hostname",
        "a/../p.csv",
        "a\\p.csv",
        "C:p.csv",
        "none.csv",
        "link.csv",
        "p.txt",
        "p.kmz",
        "folder.csv",
    ],
)
def test_nothing_else_is_read(tmp_path, name):
    inside = tmp_path / "mission"
    (inside / "folder.csv").mkdir(parents=True)
    write(tmp_path, {"p.csv": CSV})
    (inside / "link.csv").symlink_to(tmp_path / "p.csv")
    mission, problems = loaded(inside, naming(f"'{name}'"), {})

    assert mission is None and [(d.code, d.span.line, d.span.column) for d in problems] == [
        ("place-file", 5, 11)
    ]


@pytest.mark.parametrize(
    "files", ["p.csv", "[]", "[[p.csv]]", "[p.csv, p.csv]", "{p.csv: 1}", f"[{'p.csv, ' * 21}]"]
)
def test_a_list_that_is_none_is_one_error_at_its_line(tmp_path, files):
    text = changed(PASS_ONLY, TYPED, f"  files: {files}\n")
    mission, problems = loaded(tmp_path, text, {"p.csv": CSV})

    assert mission is None and [place for place, _ in told(problems)] == ["m.yaml:5"]
    assert problems[0].help in (
        "write `files: [p.csv]`",
        "write `files: [fields.csv]`",
        "name each file once",
    )


def test_a_mission_without_a_folder_names_no_file():
    mission, problems = load_mission_text(naming("p.csv"), "m.yaml")

    assert mission is None and [d.message for d in problems] == [
        "this mission has no folder, so it cannot name a file"
    ]


def test_what_a_file_holds_counts_as_typed(tmp_path):
    """The fingerprint and comparisons are made of this text: a comment in the file changes nothing, a
    position does; a list of files and the same places typed are the same mission."""
    kept, _ = loaded(tmp_path, naming("p.kml"), WHOLE)
    remarked, _ = loaded(
        tmp_path, naming("p.kml"), {"p.kml": KML.replace("<Folder>", "<Folder><!-- new -->")}
    )
    moved, _ = loaded(tmp_path, naming("p.kml"), {"p.kml": KML.replace("59.7333", "59.7334")})
    places = "  HOLD: {name: Hold, position: 59.666666666 10.5}\n  IP: {position: 59.7333 10.55}\n"
    typed, _ = load_mission_text(changed(PASS_ONLY, TYPED, places), "m.yaml")

    assert kept.source.canonical() == remarked.source.canonical() == typed.source.canonical()
    assert kept.source.canonical() != moved.source.canonical()


def test_a_change_on_the_command_line_reaches_a_place_of_a_file(tmp_path):
    write(tmp_path, WHOLE)
    edits = (("places.IP.position", "59.7 10.55"), ("places.GATE.position", "59.8 10.55"))
    mission, problems = load_mission_text(naming("p.csv"), "m.yaml", folder=tmp_path, edits=edits)

    assert problems == [] and mission.places["IP"].lat_deg == 59.7 and "GATE" in mission.places


# ---------------------------------------------------------------- boundaries


@pytest.mark.parametrize(
    "reference", ["file: p.kml, name: Moorland", "file: p.kml", "file: p.geojson, name: Moorland"]
)
def test_a_boundary_is_that_of_a_polygon(tmp_path, reference):
    """The closing corner is not a fourth one; BOUNDARY has the same three in degrees and minutes."""
    typed, _ = load_mission_text(TRAINING_ONLY, "m.yaml")
    mission, problems = loaded(tmp_path, bounded(reference), WHOLE)

    assert problems == []
    assert mission.the_training.area.boundary == typed.the_training.area.boundary


def test_a_boundary_of_a_block_in_a_flow_is_read(tmp_path):
    head, tail = TRAINING_ONLY.split("training:\n")
    block = "".join(f"    {line}\n" for line in tail.splitlines())
    text = head + "flow:\n  - departure: []\n  - training:\n" + block + "  - recovery: {}\n"
    typed, problems = load_mission_text(text, "m.yaml")
    assert told(problems) == []
    mission, problems = loaded(tmp_path, changed(text, BOUNDARY, "{file: p.kml}"), WHOLE)

    assert told(problems) == []
    assert mission.the_training.area.boundary == typed.the_training.area.boundary


HOLE = "</outerBoundaryIs><innerBoundaryIs/>"
MULTI = '{"type": "MultiPolygon", "coordinates": [[[[10, 60.5], [10, 61], [11, 61], [10, 60.5]]]]}'
POLYGON = '{"type": "Polygon", "coordinates": [[[10, 60.5], [10, 61], [11, 61], [10, 60.5]]]}'
TWICE = KML.replace(
    "</Folder>", KML[KML.index("  <Placemark><name>Moor") : KML.index("</Folder>")] + "</Folder>"
)
# reference, texts, place, message, help
AREA_ERRORS = [
    (
        "file: p.kml, name: Moreland",
        {},
        "m.yaml:15",
        'it has no outline "Moreland"',
        "did you mean Moorland?",
    ),
    ("file: p.kml, name: X", {}, "m.yaml:15", 'it has no outline "X"', "its outlines are Moorland"),
    ("file: p.csv", {}, "m.yaml:15", '"p.csv" is not the name of', "name a .kml or .geojson file"),
    ("file: p.kml, key: a", {}, "m.yaml:15", "`boundary` wants a list", "for example `boundary: {file:"),
    ("name: Moorland", {}, "m.yaml:15", "`boundary` wants a list", "for example `boundary: {file:"),
    ("file: p.kml", {"p.kml": TWICE}, "m.yaml:15", "it has several outlines", "its outlines are Moorland"),
    ("file: p.kml, name: Moorland", {"p.kml": TWICE}, "p.kml:12", '"Moorland" stands twice', "another name"),
    (
        "file: p.kml",
        {"p.kml": KML.replace("</outerBoundaryIs>", HOLE)},
        "p.kml:8",
        "has a hole",
        "without holes",
    ),
    (
        "file: p.geojson",
        {"p.geojson": GEOJSON.replace(POLYGON, MULTI)},
        "p.geojson:6",
        "has several parts",
        "one",
    ),
    (
        "file: p.kml",
        {"p.kml": KML.replace("11,61,0", "11,91,0")},
        "p.kml:10",
        "cannot read",
        "write 11.0 91.0",
    ),
    ("file: p.kml", {"p.kml": KML.replace("11,61,0", "")}, "m.yaml:15", "has 2 entries", "give at least 3"),
    ("file: p.kml", {"p.kml": KML[:300]}, "p.kml:7", "the XML can't be read on", "export the file anew"),
    ("file: p.kml", {"p.kml": "<kml/>"}, "m.yaml:15", "it has no outline", "export the area as a polygon"),
]


@pytest.mark.parametrize(("reference", "files", "place", "message", "help"), AREA_ERRORS)
def test_a_boundary_that_cannot_be_taken_is_one_error(tmp_path, reference, files, place, message, help):
    mission, problems = loaded(tmp_path, bounded(reference), WHOLE | files)
    found = [d for d in problems if d.severity == "error"]

    assert mission is None and [where for where, _ in told(found)] == [place], told(found)
    assert message in found[0].message and help in found[0].help


# ---------------------------------------------------------------- hostile files

BOMB = '<!DOCTYPE k [<!ENTITY a "ha"><!ENTITY b "&a;&a;">]>'
HOSTILE = {
    "entities": ("p.kml", KML.replace("<kml", BOMB + "<kml"), "p.kml:2", "a document type is not read"),
    "a file of the system": (
        "p.gpx",
        GPX.replace("<gpx", '<!DOCTYPE g [<!ENTITY x SYSTEM "file:///etc/passwd">]>\n<gpx').replace(
            ">IP<", ">&x;<"
        ),
        "p.gpx:2",
        "a document type is not read",
    ),
    "50 MB": ("p.csv", CSV + " " * 50_000_000, "p.csv:1", "the file has more than 1024 kB"),
    "deep XML": (
        "p.kml",
        "<kml>" + "<a>" * 200_000,
        "p.kml:1",
        "elements lie more than 40 deep in one another here",
    ),
    "deep JSON": ("p.json", "[" * 200_000, "p.json:1", "brackets lie more than 40 deep in one another here"),
    "a number of many digits": ("p.json", GEOJSON.replace("59.7333", "5" * 9000), "p.json:4", ""),
    "an archive under another name": (
        "p.kml",
        b"PK\x03\x04\x14\0\0\0\x08\0" + bytes(60) + KML.encode(),
        "p.kml:1",
        "this is no text file",
    ),
    "a picture": ("p.csv", bytes(range(32)) * 40, "p.csv:1", "this is no text file"),
    "5,000 places": (
        "p.csv",
        "id,lat,lon\n" + "".join(f"A{i},59.5,10.5\n" for i in range(5000)),
        "p.csv:5001",
        "p.csv has 5000 places, with the others 5002",
    ),
}


@pytest.mark.parametrize("attack", HOSTILE)
def test_a_hostile_file_is_one_error(tmp_path, attack):
    name, text, place, message = HOSTILE[attack]
    mission, problems = loaded(tmp_path, naming(name), {name: text})
    found = [(where, said) for where, said in told(problems) if "there is no place" not in said]

    assert mission is None and len(found) == 1
    assert found[0][0] == place and message in found[0][1]


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [("p.geojson", "[10.55, 59.7333]", "[59.7333, 10.55]"), ("p.kml", "10.55,59.7333", "59.7333,10.55")],
)
def test_latitude_and_longitude_swapped_are_doubted(tmp_path, name, old, new):
    """IP would lie at 10.6 N 59.7 E, in the Indian Ocean's west, thousands of miles from the other three."""
    _, problems = loaded(tmp_path, naming(name), {name: changed(WHOLE[name], old, new)})
    doubts = [d for d in problems if d.code == "mirrored-position"]

    assert len(doubts) == 1 and doubts[0].message.startswith("IP lies ")
    assert doubts[0].why.startswith("with latitude and longitude swapped it would lie beside them")
    assert doubts[0].help == "write 59°43.998'N 10°33.0'E if it lies there"


def test_signs_that_the_fonts_lack_are_found_behind_an_escape(tmp_path):
    from briefgen.build.glyphs import check_signs

    mission, _ = loaded(tmp_path, naming("p.kml"), {"p.kml": KML.replace("<name>IP<", "<name>&#73;P<")})
    assert check_signs(mission.source) == []
    text = GEOJSON.replace("Quiet bay", "Bucht \\u6e2f")
    mission, _ = loaded(tmp_path, naming("p.geojson"), {"p.geojson": text})
    signs = check_signs(mission.source)

    assert [(d.code, d.span.line) for d in signs] == [("character-not-in-font", 2)]


@pytest.mark.parametrize(
    ("row", "columns"),
    [
        ("HOLD,,530.667,-8.6667,,", (7, 22)),  # seven signs stand before it, its own are 15
        ('HOLD,"Bay, quiet",530.667,-8.6667,,', (1, 2)),  # quotes: the line alone
    ],
)
def test_a_position_of_a_table_is_marked_in_its_cells(tmp_path, row, columns):
    files = {"p.csv": f"id,name,lat,lon,elevation,unit\n{row}\nIP,,59.7333,10.55,,\n"}
    problem = next(d for d in loaded(tmp_path, naming("p.csv"), files)[1] if d.severity == "error")

    assert problem.help == "check the latitude: it goes to 90, north or south"
    assert (problem.span.line, problem.span.column, problem.span.end_column) == (2, *columns)


def test_an_outline_below_a_misspelt_section_is_no_cause_of_its_own(tmp_path):
    text = changed(bounded("file: p.kml, name: Moorland"), "training:\n", "trainning:\n")
    problems = loaded(tmp_path, text, {"p.kml": KML})[1]

    assert told(problems) == [("m.yaml:12", "there is no key `trainning` at the top of the file")]
    fixed = mended(text, "m.yaml", tmp_path)
    assert fixed.errors == 0 and "\ntraining:\n" in fixed.text


def test_an_area_above_the_mission_is_told_once_with_what_to_do(tmp_path):
    """The unit's area.kml lies beside its book; a second area of it is wanted by one mission."""
    (problem,) = loaded(tmp_path, bounded("file: ../area.kml, name: Bogland"), {})[1]

    assert problem.message.endswith("where only a unit's book is read: copy it into the folder")
    assert problem.help.endswith("such as area.kml") and not problem.related
