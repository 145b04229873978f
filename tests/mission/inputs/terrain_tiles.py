"""Tiles of heights for the tests: cones whose height at any point is known by formula."""

from __future__ import annotations

from pathlib import Path

import numpy as np

VOID = -32768


def write_hgt(path: Path, heights: np.ndarray) -> None:
    """As tiles are published: big-endian, north row first."""
    heights.astype(">i2").tofile(path)


def grid(south: int, west: int, side: int = 1201) -> tuple[np.ndarray, np.ndarray]:
    """Latitude and longitude of every post of a tile."""
    posts = np.arange(side) / (side - 1)
    return (south + 1 - posts)[:, None], (west + posts)[None, :]


def cone(south: int, west: int, top: tuple[float, float], *, high: float, slope: float, side: int = 1201):
    """A cone of ``high`` metres on a plain at 0, that falls by ``slope`` metres for each minute of arc
    from its top, east and west minutes shortened by the top's latitude."""
    lat, lon = grid(south, west, side)
    north = (lat - top[0]) * 60
    east = ((lon - top[1] + 180) % 360 - 180) * 60 * np.cos(np.radians(top[0]))
    return np.maximum(np.rint(high - slope * np.hypot(north, east)), 0)


def write_asc(
    path: Path, heights: np.ndarray, *, south: float, west: float, step: float, corner: bool = True
) -> None:
    rows, columns = heights.shape
    where = "corner" if corner else "center"
    head = [
        f"ncols {columns}",
        f"nrows {rows}",
        f"xll{where} {west}",
        f"yll{where} {south}",
        f"cellsize {step}",
    ]
    lines = [" ".join(f"{value:g}" for value in row) for row in heights]
    path.write_text("\n".join([*head, "NODATA_value -9999", *lines]) + "\n")
