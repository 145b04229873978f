"""By which record is a product judged? By that beside its mission, where the manifest of its build tells the
way there; else by one that fits."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from briefgen.approval.marks import Unreadable, product_mark
from briefgen.approval.record import SUFFIX, Record, read_record, record_path
from briefgen.build.staging import mission_of, read_manifest
from briefgen.core.records import record

SEARCHED_ABOVE = 2  # folders above a product in which its record is looked for
NONE_FOUND = (
    "no approval record was found in its folder, those above it, this one, or a folder missions in them: give"
    " it with --record"
)


@record
class Chosen:
    """The record to judge by and where it lies; ``problem``: why there is none, and how to mend that."""

    path: Path = Path()
    record: Record | None = None
    problem: str = ""

    @property
    def is_copy(self) -> bool:
        """It does not lie beside its mission: the approval may have been withdrawn there since."""
        return (
            self.record is not None and not (self.path.parent / Path(self.record.mission_file).name).is_file()
        )


def choose(product: Path, given: Path | None, here: Path) -> Chosen:
    """The record for a product or a folder of products. ``given``: the one that was asked for; ``here``: the
    folder one works in.

    That of the mission itself goes before any other; one that was asked for gives way only to the withdrawal
    of the same plan's approval."""
    own = _own(product)
    if given is None and own is not None:
        return own
    candidates = [given] if given is not None else find_records(product, here)
    read = [(path, *read_record(path)) for path in candidates]
    usable = [(path, record) for path, record, _ in read if record is not None]
    if not usable:
        said = [f"{path}: {problem.message}" for path, _, problems in read for problem in problems]
        return Chosen(
            problem="; ".join(said) or (NONE_FOUND if given is None else f"there is no record {given}")
        )
    chosen = _fitting(product, usable)
    return own if own is not None and _takes_back(own.record, chosen.record) else chosen


def _takes_back(own: Record | None, chosen: Record | None) -> bool:
    """Whether the approval of the plan that was chosen is withdrawn in the mission's own record."""
    if own is None or chosen is None:
        return False
    return own.withdrawn is not None and own.fingerprint == chosen.fingerprint


def find_records(product: Path, here: Path) -> list[Path]:
    """The records in the product's folder, the folders above it, the folder one works in, and a folder
    ``missions`` beside any of them."""
    start = product if product.is_dir() else product.parent
    folders = [start, *start.resolve().parents[:SEARCHED_ABOVE], here]
    found = [
        path
        for folder in folders
        for place in (folder, folder / "missions")
        for path in sorted(place.glob(f"*{SUFFIX}"))
    ]
    return list({path.resolve(): path for path in found}.values())


def _own(product: Path) -> Chosen | None:
    mission = mission_of(product if product.is_dir() else product.parent)
    if mission is None or (not product.is_dir() and not _listed(product)):
        return None
    path = record_path(mission)
    found = read_record(path)[0]
    return Chosen(path, found) if found is not None and _same(found.mission_file, mission.name) else None


def _listed(product: Path) -> bool:
    """The manifest beside a file knows it: by its name or, where it was renamed, by the number of its
    plan."""
    manifest = read_manifest(product.parent) or {"products": []}
    return any(
        isinstance(entry, dict) and entry.get("file") == product.name for entry in manifest["products"]
    ) or _mark(product) == manifest.get("fingerprint")


def _fitting(product: Path, records: list[tuple[Path, Record]]) -> Chosen:
    """Of the records of the plan whose number the product carries, else of its mission, the one that was
    decided last."""
    manifest = read_manifest(product if product.is_dir() else product.parent) or {}
    mark, file = (
        manifest.get("fingerprint") if product.is_dir() else _mark(product),
        manifest.get("mission_file"),
    )
    exact = [entry for entry in records if entry[1].fingerprint == mark]
    fitting = exact or [entry for entry in records if file is None or _same(entry[1].mission_file, file)]
    if not fitting:
        others = ", ".join(f"{path} is that of {record.mission_file}" for path, record in records)
        return Chosen(
            problem=(
                f"no approval record of {file} was found ({others}): approve it with `briefgen approve`, or"
                " give its record with --record"
            )
        )
    last = max(_decided(record) for _, record in fitting)
    newest = [(path, record) for path, record in fitting if _decided(record) == last]
    if len(newest) == 1 and (exact or len(fitting) == 1):
        return Chosen(*newest[0])
    return Chosen(
        problem=(
            f"several approval records were found ({', '.join(str(path) for path, _ in fitting)}): give the"
            " right one with --record"
        )
    )


def _mark(product: Path) -> str | None:
    try:
        return product_mark(product)
    except Unreadable:
        return None


def _decided(record: Record) -> datetime:
    return record.at if record.withdrawn is None else record.withdrawn.at


def _same(one: object, other: object) -> bool:
    return str(one).casefold() == str(other).casefold()
