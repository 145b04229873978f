"""What stands on the ground and how high the ground is, by files beside the mission."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from briefgen.core.records import record
from briefgen.mission.schema.base import Part, Phrase, YesNo, choice, listed
from briefgen.mission.schema.units import DateField, Feet, Nm, PositionField


class FileRead(Part):
    """A file as it was read: its name, and the fingerprint of what stands in it."""

    name: str
    content: str


def _not_read_yet(file: object) -> object:
    return {"name": file, "content": ""} if isinstance(file, str) else file


Files = tuple[Annotated[FileRead, BeforeValidator(_not_read_yet)], ...]


class Accuracy(Part):
    """How far off a list of obstacles may be."""

    position: Feet
    """How far an obstacle may stand from its listed position."""
    top: Feet
    """How much higher than listed an obstacle may be."""


class ObstacleFiles(Part):
    """Obstacles in files beside those typed with each pass. What is listed near a way counts wherever it
    stands; that nothing else stands there is taken from a list only inside its coverage, and only with its
    source, date and accuracy."""

    files: Files = Field(min_length=1)
    source: Phrase | None = None
    """Whose list it is."""
    date: DateField | None = None
    """The day up to which it is complete; of several files the earliest."""
    coverage: tuple[PositionField, ...] = listed(100)
    """The corners, in order, of the area in which it lists everything."""
    accuracy: Accuracy | None = None


@record
class Product:
    """What is published of heights from space: above what they count, and how far off nine of ten of them
    are at the most. All are of the surface that radar saw: treetops and roofs."""

    datum: str
    error_m: float
    source: str


ProductName = Literal["SRTM", "NASADEM", "Copernicus GLO-30", "Copernicus GLO-90"]
_SRTM = Product("EGM96", 16.0, "16 m (90 %): Farr and others, Reviews of Geophysics 45 (2007)")
_COPERNICUS = Product("EGM2008", 4.0, "4 m (90 %): Copernicus DEM Product Handbook")
PRODUCTS: Mapping[str, Product] = {
    "SRTM": _SRTM,
    "NASADEM": _SRTM,
    "Copernicus GLO-30": _COPERNICUS,
    "Copernicus GLO-90": _COPERNICUS,
}
ProductField = Annotated[ProductName, choice("a product of heights that is known here", *PRODUCTS)]
DATUMS = ("MSL", "EGM96", "EGM2008", "ellipsoid")
DatumField = Annotated[
    Literal["MSL", "EGM96", "EGM2008", "ellipsoid"], choice("above what the heights count", *DATUMS)
]


class TerrainFiles(Part):
    """The height of the ground by tiles: .hgt, .asc (a grid in text) and, with the extra briefgen[terrain],
    GeoTIFF. They say nothing of what stands on the ground."""

    files: Files = Field(min_length=1)
    product: ProductField | None = None
    """Whose heights they are: their datum and error are known then."""
    vertical_datum: DatumField | None = None
    """Above what the heights count. Those above the ellipsoid are refused: they lie up to 350 ft off."""
    error: Feet | None = None
    """How far off the heights may be; in the place of the product's."""
    surface: YesNo | None = None
    """Whether they are of treetops and roofs, as those seen by radar are, or of the bare ground."""
    corridor: Nm | None = None
    """How far to each side of a way the ground counts: 1 nm where it is left out."""
    unlisted: Feet | None = None
    """How high what is in no list may stand on the ground: 200 ft where it is left out."""
