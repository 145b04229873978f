"""Plans and contexts for the tests of printed cards, and missions made as full as the file format allows."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from functools import cache
from pathlib import Path

from briefgen.core.context import Context, Stamp
from briefgen.core.resources import fonts_folder, templates_folder
from briefgen.plan.sortie import Plan
from briefgen.render.pdf.typst_driver import Typeset
from tests.planned import REPOSITORY, brief_of, plan_at, plan_of

STAMP = Stamp("TEST - INVENTED DATA", "Test mission", "K7QH-AAAA-CCCC-DDDD", "K7QH", "0", "2026a")
MISSIONS = (
    "missions/regatta.yaml",
    "missions/founders-day.yaml",
    "missions/lantern-fair.yaml",
    "missions/start.yaml",
)
SMALL = ("tests/cases/ok-pass-only.yaml", "tests/cases/ok-by-hand.yaml")


def context(part: str = "", stamp: Stamp = STAMP) -> Context:
    """As build.py makes it."""
    return Context(stamp, (templates_folder(),), fonts_folder(), part)


def made(plan: Plan, context: Context, kind: str, *, ppi: int | None = None) -> Typeset:
    """One card of a plan, typeset."""
    from briefgen.render.pdf import cards

    return cards.made(brief_of(plan, context.stamp), context, kind, ppi=ppi)


@cache
def card_of(mission: str, kind: str, ship: str = "1") -> bytes:
    """The finished card of a mission of the repository with the stamp above, typeset once. ``ship``: whose
    kneeboard card."""
    found = made(plan_of(mission), context(ship if kind == "kneeboard" else ""), kind)
    assert found.pdf is not None, [d.message for d in found.diagnostics]
    return found.pdf


def changed(tmp_path: Path, name: str, *changes: tuple[str, str]) -> Plan:
    """The plan of a mission whose text was changed; every change must find its place."""
    text = (REPOSITORY / name).read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    path = tmp_path / "changed.yaml"
    path.write_text(text, encoding="utf-8")
    return plan_at(path)


# the regatta three hours and 29 minutes sooner: take-off 22:38:00 Z of 29 January, T 00:01:02 Z of the 30th
AFTER_MIDNIGHT = (
    ("open: 06:00 to 22:00 event", "open: 02:31 to 18:31 event"),
    ("report: 09:30 base", "report: 06:01 base"),
    ("takeoff: 12:37:00 base", "takeoff: 09:08:00 base"),
    ("issued: 2027-01-29 22:00 Z", "issued: 2027-01-29 18:31 Z"),
    ("2027-01-30 00:00 Z to 2027-01-30 06:00 Z", "2027-01-29 20:31 Z to 2027-01-30 02:31 Z"),
    ("reserved: 12:40 to 13:50 base", "reserved: 09:11 to 10:21 base"),
    ("valid: 14:15 to 14:50 event", "valid: 10:46 to 11:21 event"),
    ("in_place: 13:45 event", "in_place: 10:16 event"),
    ("radio_check: 14:05 event", "radio_check: 10:36 event"),
    ("time: 14:24:30 event", "time: 10:55:30 event"),
    ("time: 14:28:06 event", "time: 10:59:06 event"),
    ("acknowledged: 14:30:02 event", "acknowledged: 11:01:02 event"),
)


def full(tmp_path: Path, *, contingency: int = 40, diverts: int = 2, long: bool = False) -> Plan:
    """The six-ship mission with eight ships, the longest legal names everywhere on the card and fuller lists.

    ``contingency``: characters of each contingency's action. ``diverts``: more than the file's two are fields
    of two runways; ``long``: their names and the words of an abort have as many characters as the schema
    allows (32 and 240).
    """
    text = (REPOSITORY / "missions/founders-day.yaml").read_text(encoding="utf-8")
    text = _more_diverts(text, diverts, long) if diverts > 2 else text
    return plan_at(_write(tmp_path, _eight_ships(_long_names(text)), contingency))


def _more_diverts(text: str, count: int, long: bool) -> str:
    names = [
        f"Field {n} {'Wimmer-Mawmow MW regional airport'[:24] if long else 'west'}" for n in range(count)
    ]
    field = (
        "  FIELD{n}: {{name: {name}, position: 34°2{n}.0'N 085°0{n}.0'W, elevation: 640 ft MSL, open: 06:00"
        " to 22:00 event,\n    runways: [{runways}]}}\n"
    )
    runways = (
        "{name: 01L, direction: 008 M, length: 6000 ft}, {name: 27R, direction: 268 M, length: 10500 ft}"
    )
    places = "".join(field.format(n=n, name=name, runways=runways) for n, name in enumerate(names))
    changes = [
        ("  PINEHURST:\n", f"{places}  PINEHURST:\n"),
        ("diverts: [PINEHURST, RIVERTON]", f"diverts: [{', '.join(f'FIELD{n}' for n in range(count))}]"),
    ]
    action = "Wings level, climb ahead, then left to the egress course"
    changes += [(f"action: {action}", f'action: "{" ".join([f"{action};"] * 4)[:240]}"')] if long else []
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def _write(tmp_path: Path, text: str, contingency: int) -> Path:
    path = tmp_path / "full.yaml"
    extra = "".join(
        f"  extra_{n}: {{trigger: Something, who: Anyone, action: {'Wide words MW ' * 20:.{contingency}}.}}\n"
        for n in range(3)
    )
    assert "contingencies:" in text
    path.write_text(
        text.replace("contingencies:                ", "contingencies:").replace(
            "contingencies:\n", f"contingencies:\n{extra}"
        ),
        encoding="utf-8",
    )
    return path


def _long_names(text: str) -> str:
    for old, new in (
        ("name: Founders day", "name: " + "W" * 40 + " Founders day parade"),
        ("callsign: BITTERN", "callsign: BITTERNBITTERNXX"),
        ("Lt R. Fonseca", "Wg Commander R. Fonseca-MMMWWW"),
    ):
        assert old in text, old
        text = text.replace(old, new, 1)
    return text


def _eight_ships(text: str) -> str:
    lines = text.splitlines()
    last = next(i for i, line in enumerate(lines) if line.strip().startswith("- {ship: 6"))
    for number in (8, 7):
        lines.insert(
            last + 1,
            lines[last]
            .replace("ship: 6", f"ship: {number}")
            .replace("Vogel", f"Vogelstangen-Wimmer {number}")
            .replace("3111", f"311{number}"),
        )
    return "\n".join(lines) + "\n"


def with_stamp(**changes: str) -> Stamp:
    """The stamp of the tests with something else on it."""
    return replace(STAMP, **changes)


def hashes() -> list[str]:
    """Of a card, the ground contact's card and the sheet of the regatta."""
    from briefgen.render.pdf.cards import approval_pdf, ground_contact_pdf, kneeboard_pdf

    plan = plan_of("missions/regatta.yaml")
    made = (
        make(brief_of(plan, STAMP), context(part))[0][0][1]
        for make, part in ((kneeboard_pdf, "2"), (ground_contact_pdf, ""), (approval_pdf, ""))
    )
    return [hashlib.sha256(data).hexdigest() for data in made]
