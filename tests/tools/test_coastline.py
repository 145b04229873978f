"""What the packer writes, the maps read: a made-up island and a border over the edge of two tiles."""

import json

import pytest

from briefgen.brief.figures import coast_lines
from tests.tools import coastline

# In steps of a degree from (-180, -90). Two countries on one island share a border from (149, -21) down to
# (149, -22); the island reaches from 148 to 151 east and over no edge but that of the tiles at 150.
TOPOLOGY = {
    "transform": {"scale": [1.0, 1.0], "translate": [-180.0, -90.0]},
    "objects": {
        "countries": {
            "type": "GeometryCollection",
            "geometries": [
                {"type": "Polygon", "arcs": [[0, 1]]},
                {"type": "Polygon", "arcs": [[2, -1]]},
            ],
        }
    },
    "arcs": [
        [[329, 69], [0, -1]],  # the border, southwards
        [[329, 68], [-1, 0], [0, 1], [1, 0]],  # west coast, clockwise: land on its right
        [[329, 69], [2, 0], [0, -1], [-2, 0]],  # east coast, clockwise
    ],
}


@pytest.fixture
def archive(tmp_path, monkeypatch):
    path = tmp_path / "coast.zip"
    coastline.pack(json.loads(json.dumps(TOPOLOGY)), path)
    monkeypatch.setattr(coast_lines, "coast_path", lambda: path)
    coast_lines._tile.cache_clear()
    yield path
    coast_lines._tile.cache_clear()


def test_lines_come_back_as_they_were_joined_over_the_edge_of_a_tile(archive):
    coasts, borders = coast_lines.coasts_and_borders((140.0, 155.0), (-25.0, -15.0))
    degrees = [
        [(x / coast_lines.PER_DEG, y / coast_lines.PER_DEG) for x, y in line] for line in (*coasts, *borders)
    ]
    (ring, border) = degrees
    corners = {(148, -22), (148, -21), (149, -21), (150, -21), (151, -21), (151, -22), (150, -22), (149, -22)}
    assert border == [(149, -21), (149, -22)]
    assert ring[0] == ring[-1] and set(ring) == corners
    # clockwise: from the north-west corner one goes east
    assert ring[(ring.index((148, -21)) + 1) % len(ring)] == (149, -21)


def test_what_lies_outside_the_window_is_left_out(archive):
    assert coast_lines.coasts_and_borders((160.0, 165.0), (-25.0, -15.0)) == ([], [])
