"""Points of the surface in space, against PROJ's geocentric coordinates of the same ellipsoid."""

import pytest
from pyproj import Transformer

from briefgen.airmath.many_points import in_space

SPACE = Transformer.from_crs("EPSG:4979", "EPSG:4978", always_xy=True)


@pytest.mark.parametrize(
    ("lat_deg", "lon_deg"), [(0, 0), (0, 90), (51.2, 1.4), (-38.3, 141.6), (90, 20), (60, -135)]
)
def test_a_point_of_the_surface_lies_where_proj_has_it(lat_deg, lon_deg):
    metres = SPACE.transform(lon_deg, lat_deg, 0.0)
    assert in_space([lat_deg], [lon_deg])[0] == pytest.approx([m / 1852 for m in metres], abs=1e-6)
