"""The empty deck that slides are added to: our own master and one layout, with what stands on every slide.

Made from python-pptx's default file, stripped: its pictures, printer settings, properties, look and eleven
layouts go.
"""

from __future__ import annotations

from typing import Any

from briefgen.brief.slides.frame import Frame
from briefgen.core.context import Stamp, Standing
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.palette import COLOURS
from briefgen.draw.typeset.measure import line_count
from briefgen.render.pptx import grid, xml
from briefgen.render.pptx.sizes import BOLD, FONT

_THEME_SLOTS = {
    "dk1": "ink",
    "lt1": "paper",
    "dk2": "soft",
    "lt2": "wash",
    "accent1": "pine",
    "accent2": "ochre",
    "accent3": "plum",
    "accent4": "blue",
    "accent5": "red",
    "accent6": "rule",
    "hlink": "blue",
    "folHlink": "plum",
}
_PROPERTIES = (
    b'<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
    b"<Properties"
    b' xmlns="http://schemas.openxmlformats.org/officeDocument/2006/extended-properties"><Application>briefgen</Application></Properties>'
)
_GROUP_HEAD = (
    '<p:nvGrpSpPr><p:cNvPr id="1" name=""/><p:cNvGrpSpPr/><p:nvPr/></p:nvGrpSpPr><p:grpSpPr><a:xfrm><a:off'
    ' x="0" y="0"/><a:ext cx="0" cy="0"/><a:chOff x="0" y="0"/><a:chExt cx="0" cy="0"/></a:xfrm></p:grpSpPr>'
)


def empty_deck(frame: Frame) -> Any:
    """A presentation without slides: 16:9, one layout that carries the frame of every slide."""
    from pptx import Presentation

    deck: Any = Presentation()
    deck.slide_width, deck.slide_height = xml.emu(grid.SLIDE_WIDTH), xml.emu(grid.SLIDE_HEIGHT)
    size = deck.part._element.find("{*}sldSz")
    if "type" in size.attrib:
        del size.attrib["type"]
    drop_baggage(deck)
    _keep_one_layout(deck)
    _restyle(deck, frame)
    set_properties(deck, frame)
    return deck


def restyle_notes(deck: Any) -> None:
    """The theme of the speaker notes, where python-pptx has just made them with its own; a unit's notes keep
    theirs."""
    from lxml import etree
    from pptx.opc.constants import RELATIONSHIP_TYPE as KIND
    from pptx.opc.package import XmlPart

    if not any(relation.reltype == KIND.NOTES_MASTER for relation in deck.part.rels.values()):
        return
    theme = deck.notes_master.part.part_related_by(KIND.THEME)
    if isinstance(theme, XmlPart):  # one read from a file is a plain part
        theme._element = etree.fromstring(_theme(etree.tostring(theme._element)))


def drop_baggage(deck: Any) -> None:
    """Takes out what has nothing to do with the brief: preview picture, printer settings, another program's
    name."""
    from pptx.opc.constants import RELATIONSHIP_TYPE as KIND

    _drop(deck.part.rels, (KIND.PRINTER_SETTINGS,))
    _drop(deck.part.package._rels, (KIND.THUMBNAIL,))
    for relation in deck.part.package._rels.values():
        if relation.reltype == KIND.EXTENDED_PROPERTIES:
            relation.target_part._blob = _PROPERTIES


def _drop(relations: Any, kinds: tuple[str, ...]) -> None:
    for key in [key for key, relation in relations.items() if relation.reltype in kinds]:
        relations.pop(key)


def _keep_one_layout(deck: Any) -> None:
    layouts = deck.slide_layouts
    kept = layouts.get_by_name("Title Only")
    for layout in list(layouts):
        if layout is not kept and layout.part is not kept.part:
            layouts.remove(layout)


def _restyle(deck: Any, frame: Frame) -> None:
    from pptx.opc.constants import RELATIONSHIP_TYPE as KIND

    master, layout = deck.slide_master, deck.slide_layouts[0]
    master.part.part_related_by(KIND.THEME)._blob = _theme(master.part.part_related_by(KIND.THEME).blob)
    _fill_tree(
        master,
        _placeholder(2, "Title", "title", grid.TITLE)
        + _placeholder(3, "Text", "body", grid.body_box(2, 28), index=1),
    )
    styles = master._element.find("{*}txStyles")
    master._element.replace(styles, _parse(_text_styles()))
    layout.name = "Brief"
    _fill_tree(layout, _placeholder(2, "Title", "title", grid.TITLE) + "".join(frame_shapes(frame, first=10)))


def _parse(text: str) -> Any:
    from pptx.oxml import parse_xml

    return parse_xml(text)


def _fill_tree(slide: Any, inner: str) -> None:
    tree = slide.shapes._spTree
    fresh = _parse(f"<p:spTree {xml.NAMESPACES}>{_GROUP_HEAD}{inner}</p:spTree>")
    for child in list(tree):
        tree.remove(child)
    for child in list(fresh):
        tree.append(child)


def _placeholder(number: int, name: str, kind: str, box: Box, index: int | None = None) -> str:
    which = f'type="{kind}"' + (f' idx="{index}"' if index else "")
    prompt = (
        '<a:p><a:r><a:rPr lang="en-GB"/><a:t>Title</a:t></a:r></a:p>'
        if kind == "title"
        else '<a:p><a:r><a:rPr lang="en-GB"/><a:t>Text</a:t></a:r></a:p>'
    )
    return (
        f"<p:sp {xml.NAMESPACES}><p:nvSpPr>{xml.names(number, name)}<p:cNvSpPr><a:spLocks"
        ' noGrp="1"/></p:cNvSpPr><p:nvPr><p:ph'
        f" {which}/></p:nvPr></p:nvSpPr><p:spPr>{xml.frame(box)}<a:prstGeom"
        ' prst="rect"><a:avLst/></a:prstGeom></p:spPr><p:txBody><a:bodyPr wrap="square" lIns="0" tIns="0"'
        f' rIns="0" bIns="0" anchor="t"><a:noAutofit/></a:bodyPr><a:lstStyle/>{prompt}</p:txBody></p:sp>'
    )


def _text_styles() -> str:
    def level(size: float, bold: bool) -> str:
        return (
            '<a:lvl1pPr marL="0" indent="0" algn="l"><a:lnSpc><a:spcPct'
            ' val="100000"/></a:lnSpc><a:spcBef><a:spcPts val="0"/></a:spcBef><a:buNone/><a:defRPr'
            f' sz="{round(size * 100)}" b="{int(bold)}"><a:solidFill><a:schemeClr'
            ' val="tx1"/></a:solidFill><a:latin typeface="+mn-lt"/><a:ea typeface="+mn-ea"/><a:cs'
            ' typeface="+mn-cs"/></a:defRPr></a:lvl1pPr>'
        )

    return (
        f"<p:txStyles {xml.NAMESPACES}><p:titleStyle>{level(28, True)}</p:titleStyle>"
        f"<p:bodyStyle>{level(18, False)}</p:bodyStyle>"
        f"<p:otherStyle>{level(18, False)}</p:otherStyle></p:txStyles>"
    )


def _theme(blob: bytes) -> bytes:
    """The default theme with our colours, names and font."""
    from lxml import etree

    root = etree.fromstring(blob)
    root.set("name", "briefgen")
    colours, fonts = root.find(".//{*}clrScheme"), root.find(".//{*}fontScheme")
    space = colours.tag.split("}")[0] + "}"
    colours.set("name", "briefgen")
    for slot, colour in _THEME_SLOTS.items():
        element = colours.find(f"{space}{slot}")
        for child in list(element):
            element.remove(child)
        etree.SubElement(element, f"{space}srgbClr", val=COLOURS[colour])
    fonts.set("name", "briefgen")
    for face in fonts:
        face.find(f"{space}latin").set("typeface", "Arial")
        for script in face.findall(f"{space}font"):
            face.remove(script)
    made: bytes = etree.tostring(root, xml_declaration=True, encoding="UTF-8", standalone=True)
    return made


def frame_shapes(frame: Frame, first: int) -> list[str]:
    """What stands on every slide but the page number: state and marking above, identity and caution below.
    Ids from ``first`` up."""
    fine, strong = xml.Voice(grid.FINE_PT, False, "soft"), xml.Voice(grid.FINE_PT, True, "ink")
    footer = [
        xml.Paragraph(((line, voice),))
        for line, voice in zip(footer_lines(frame), (strong, fine), strict=True)
    ]
    ends = ((grid.MARGIN, grid.FOOTER_RULE), (grid.RIGHT, grid.FOOTER_RULE))
    return [
        *_state_bar(frame.stamp, first),
        xml.text_box(
            first + 2, "Marking", grid.HEADER, xml.body([xml.Paragraph(((frame.stamp.marking, strong),))])
        ),
        xml.connector(first + 3, "Footer rule", ends, "grid"),
        xml.text_box(first + 4, "Footer", grid.FOOTER, xml.body(footer)),
    ]


_BAR_COLOURS: dict[Standing, tuple[str, str]] = {
    "fails": ("red", "red_wash"),
    "open": ("ochre_wash", "ochre"),
    "approved": ("pine_wash", "pass"),
}


def _state_bar(stamp: Stamp, first: int) -> list[str]:
    """The state of the plan over the whole width. A failing plan's bar is hatched at both ends, so that print
    without colour shows it too."""
    ground, ink = _BAR_COLOURS[stamp.standing]
    words = xml.body(
        [xml.Paragraph(((stamp.state, xml.Voice(grid.STATE_PT, True, ink)),), "centre")], stand="ctr"
    )
    bar, fails = grid.STATE_BAR, stamp.standing == "fails"
    middle = (
        Box(bar.left + grid.STATE_ENDS, bar.top, bar.right - grid.STATE_ENDS, bar.bottom) if fails else bar
    )
    hatch = (
        [xml.text_box(first, "State hatched", bar, xml.body([]), paint=xml.hatched(ground, ink))]
        if fails
        else []
    )
    return [*hatch, xml.text_box(first + 1, "State", middle, words, paint=xml.solid(ground))]


def footer_lines(frame: Frame) -> tuple[str, str]:
    """Identity, then the caution."""
    stamp = frame.stamp
    return (
        "   ·   ".join(
            part
            for part in (stamp.marking, stamp.mission, stamp.fingerprint, f"cards read {stamp.spoken}")
            if part
        ),
        stamp.caution,
    )


def frame_fits(frame: Frame) -> bool:
    """True when state, marking, identity and caution stand in the room they have."""
    identity, caution = footer_lines(frame)
    rows = line_count(identity, BOLD, grid.FINE_PT, grid.FOOTER.width) + line_count(
        caution, FONT, grid.FINE_PT, grid.FOOTER.width
    )
    marking = line_count(frame.stamp.marking, BOLD, grid.FINE_PT, grid.HEADER.width)
    state = line_count(frame.stamp.state, BOLD, grid.STATE_PT, grid.STATE_BAR.width - 2 * grid.STATE_ENDS)
    return rows <= grid.FOOTER_LINES and (marking, state) == (1, 1)


def set_properties(deck: Any, frame: Frame) -> None:
    """The document's own properties: what it is, neutral names, the plan's date."""
    from datetime import UTC

    properties, instant = deck.core_properties, frame.created.astimezone(UTC).replace(tzinfo=None)
    properties.title = xml.plain(f"{frame.stamp.mission} - brief")[:250]
    properties.author = properties.last_modified_by = "briefgen"
    properties.created = properties.modified = instant
    properties.subject, properties.comments, properties.category = "", frame.stamp.caution, ""
    properties.keywords, properties.revision = frame.stamp.fingerprint, 1
