"""Small files of places for the tests, all invented, and missions that name them."""

from tests.mission.mission_texts import PASS_ONLY, TRAINING_ONLY, changed

TYPED = "  HOLD: {position: 59°40.0'N 010°30.0'E}\n  IP: {position: 59°44.0'N 010°33.0'E}\n"
BOUNDARY = "[60°30.0'N 010°00.0'E, 61°00.0'N 010°00.0'E, 61°00.0'N 011°00.0'E]"

CSV = "id,name,lat,lon,elevation,unit\nHOLD,Quiet bay,59°40.0'N,010°30.0'E,40,ft MSL\nIP,,59.7333,10.55,,\n"
GPX = """<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="us" xmlns="http://www.topografix.com/GPX/1/1">
  <wpt lat="59.6666666666666" lon="10.5"><name>Hold</name><sym>Flag</sym></wpt>
  <wpt lat="59.7333"
       lon="10.55"><name>IP</name></wpt>
  <rte><name>ROUTE</name><rtept lat="1.5" lon="2.5"><name>NOT</name></rtept></rte>
</gpx>
"""
KML = """<?xml version="1.0"?>
<kml xmlns="http://www.opengis.net/kml/2.2"><Document><Folder>
  <Placemark><name>Hold</name><Point><coordinates>10.5,59.6666666666666,0</coordinates></Point></Placemark>
  <Placemark><name>IP</name><Point>
    <coordinates>
      10.55,59.7333
    </coordinates></Point></Placemark>
  <Placemark><name>Moorland</name><Polygon><outerBoundaryIs><LinearRing><coordinates>
    10,60.5,0 10,61,0
    11,61,0 10,60.5,0
  </coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>
</Folder></Document></kml>
"""
GEOJSON = """{"type": "FeatureCollection", "features": [
  {"type": "Feature", "properties": {"id": "hold", "name": "Quiet bay", "elevation": "40 ft MSL"},
   "geometry": {"type": "Point", "coordinates": [1.05e1, 59.6666666666666]}},
  {"type": "Feature", "properties": {"name": "IP"},
   "geometry": {"type": "Point", "coordinates": [10.55, 59.7333]}},
  {"type": "Feature", "properties": {"name": "Moorland"},
   "geometry": {"type": "Polygon", "coordinates": [[[10, 60.5], [10, 61], [11, 61], [10, 60.5]]]}}
]}
"""
WHOLE = {"p.csv": CSV, "p.gpx": GPX, "p.kml": KML, "p.geojson": GEOJSON}


def naming(*names: str) -> str:
    """The pass alone, its hold and IP in files."""
    return changed(PASS_ONLY, TYPED, f"  files: [{', '.join(names)}]\n")


def bounded(reference: str) -> str:
    """The training alone, the boundary of its area in a file."""
    return changed(TRAINING_ONLY, BOUNDARY, f"{{{reference}}}")
