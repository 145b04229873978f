"""Whether the files of obstacles answer that nothing else stands along what is flown."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.airmath.areas import edges
from briefgen.plan.gates.heights import days_old, why_too_old
from briefgen.plan.gates.legs import parts_of, ways_of
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import not_checked, words
from briefgen.plan.heights.ground import is_read
from briefgen.plan.heights.legs import hold_reach_nm, widest_nm
from briefgen.plan.heights.listed import SECTION, USED_NM, Stretch, list_words, no_answer, used
from briefgen.plan.heights.pass_heights import WITHIN_NM
from briefgen.plan.model import Gate
from briefgen.plan.one_block import each_block
from briefgen.plan.route.air import position
from briefgen.plan.sortie import Sortie


def obstacles_listed(s: Sortie) -> Iterator[Gate]:
    """The files list everything along every way, hold and area: a row where the mission names such files, or
    tiles of terrain, which never say what stands on the ground, and nobody has looked it all up by hand."""
    files = s.mission.file.obstacles
    if (files is None and not is_read(s.mission)) or s.mission.file.terrain_checked is not None:
        return
    about, flown = text("obstacles-listed", parts=parts_of(s)), list(_flown(s))
    doubt = no_answer(s.mission, flown)
    looked = None if files is None else files.date
    if doubt is None and (old := why_too_old(days_old(s, looked))) is not None:
        doubt = old, (*SECTION, "date")
    number = used(s.mission, [stretch.line for stretch in flown])
    found = "none listed" if files is None else f"{number} within {USED_NM:.0f} nm in {list_words(files)}"
    if doubt is not None:
        yield not_checked(about, f"{doubt[0]}; {found}", key=doubt[1])
    else:
        yield words(about, True, found, "a list of all of them")


def _flown(s: Sortie) -> Iterator[Stretch]:
    """Every way, hold and edge of an area, and how far from it something would count."""
    for _, _, ways, _ in ways_of(s):
        for way in ways:
            line = position(way.start), position(way.end)
            yield Stretch(way.name, line, WITHIN_NM + widest_nm(way.ships))
    for p in s.passes:
        if p.hold is not None:
            fix, reach_nm = position(p.hold.fix), hold_reach_nm(p.hold, p.ships)
            yield Stretch(f"the hold at {p.hold.fix.id}", (fix, fix), reach_nm + WITHIN_NM)
    for seen in each_block(s):
        area = seen.mission.the_training.area
        for edge in edges(area.boundary):
            yield Stretch(f"the area {area.name}", edge, WITHIN_NM)
