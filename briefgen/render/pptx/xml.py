"""DrawingML by hand: text boxes, lines, outlines, tables as XML text. Lengths come in points and leave as
whole EMU.

Written out instead of built with python-pptx's shape calls, which are slow for maps (its outline builder is
quadratic), leave line spacing to the program that opens the file, and know no alternative text.
"""

from __future__ import annotations

import re
from html import escape

from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Point
from briefgen.draw.scene.palette import COLOURS, LINE_PITCH, STYLES

NAMESPACES = (
    'xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main" '
    'xmlns:p="http://schemas.openxmlformats.org/presentationml/2006/main" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
)
THEME_COLOURS = {"ink": "tx1", "soft": "tx2", "paper": "bg1", "wash": "bg2", "pine": "accent1"}
_EMU = 12700
_DASH_NAMES = {"": "solid", "dash": "dash", "dot": "sysDot", "long": "lgDash"}
_ALIGN = {"left": "l", "right": "r", "centre": "ctr", "start": "l", "middle": "ctr", "end": "r"}
_FORBIDDEN = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def emu(points: float) -> int:
    """Points in whole English Metric Units."""
    return round(points * _EMU)


def clean(text: str) -> str:
    """Text that may stand in XML, escaped; a character XML forbids is shown as U+FFFD, never dropped."""
    return escape(plain(text))


def plain(text: str) -> str:
    """Text that may stand in XML, not yet escaped."""
    return _FORBIDDEN.sub("\ufffd", text)


@record
class Voice:
    """How a stretch of text looks: size in points, bold, a colour's name ("" = as the layout has it)."""

    size: float
    bold: bool = False
    colour: str = "ink"


@record
class Paragraph:
    """One paragraph: stretches of text, their alignment, line pitch and the gap above, all in points;
    ``bullet`` is a sign or a number.

    ``indent`` is where its text begins, ``hang`` how far its bullet stands to the left of that.
    """

    runs: tuple[tuple[str, Voice], ...]
    align: str = "left"
    pitch: float = 0.0
    before: float = 0.0
    bullet: str = ""
    indent: float = 0.0
    hang: float = 0.0


def solid(colour: str, opacity: float = 1.0) -> str:
    """A fill of one colour of the palette; the common ones through the deck's theme, so that a unit's own
    theme recolours them."""
    alpha = f'<a:alpha val="{round(opacity * 100000)}"/>' if opacity < 1 else ""
    tag, value = (
        ("schemeClr", THEME_COLOURS[colour]) if colour in THEME_COLOURS else ("srgbClr", COLOURS[colour])
    )
    return f'<a:solidFill><a:{tag} val="{value}">{alpha}</a:{tag}></a:solidFill>'


def hatched(line: str, ground: str) -> str:
    """Slanting lines of one colour on another, neither of them a theme's."""
    return (
        '<a:pattFill prst="dkUpDiag"><a:fgClr><a:srgbClr'
        f' val="{COLOURS[line]}"/></a:fgClr><a:bgClr><a:srgbClr'
        f' val="{COLOURS[ground]}"/></a:bgClr></a:pattFill>'
    )


def pen(style_name: str, arrow: str = "") -> str:
    """A style's line, with arrow heads."""
    style = STYLES[style_name]
    if not style.stroke or not style.width_pt:
        return "<a:ln><a:noFill/></a:ln>"
    head = '<a:headEnd type="triangle" w="med" len="med"/>' if arrow in ("start", "both") else ""
    tail = '<a:tailEnd type="triangle" w="med" len="med"/>' if arrow in ("end", "both") else ""
    return (
        f'<a:ln w="{emu(style.width_pt)}">{solid(style.stroke)}<a:prstDash'
        f' val="{_DASH_NAMES[style.dash]}"/><a:round/>{head}{tail}</a:ln>'
    )


def fill(style_name: str) -> str:
    """A style's fill."""
    colour = STYLES[style_name].fill
    return solid(colour) if colour else "<a:noFill/>"


def frame(box: Box, turn_deg: float = 0.0, flip: str = "") -> str:
    """A shape's place and size."""
    turn = f' rot="{round(turn_deg * 60000) % 21600000}"' if turn_deg else ""
    left, top = emu(box.left), emu(box.top)
    return (
        f'<a:xfrm{turn}{flip}><a:off x="{left}" y="{top}"/><a:ext cx="{emu(box.right) - left}"'
        f' cy="{emu(box.bottom) - top}"/></a:xfrm>'
    )


def paragraph(item: Paragraph) -> str:
    """A paragraph with its line spacing always set: in points, so that every program sets the same lines."""
    size = max((voice.size for _, voice in item.runs), default=14.0)
    pitch = item.pitch or LINE_PITCH * size
    place = (
        f' marL="{emu(item.indent)}" indent="{-emu(item.hang)}"' if item.bullet else ' marL="0" indent="0"'
    )
    spacing = "".join(
        f'<a:{tag}><a:spcPts val="{round(points * 100)}"/></a:{tag}>'
        for tag, points in (("lnSpc", pitch), ("spcBef", item.before), ("spcAft", 0))
    )
    runs = "".join(_run(text, voice) for text, voice in item.runs)
    return (
        f'<a:p><a:pPr algn="{_ALIGN[item.align]}"{place}>{spacing}{_bullet(item.bullet)}</a:pPr>{runs}</a:p>'
    )


def _bullet(sign: str) -> str:
    if not sign:
        return "<a:buNone/>"
    if sign[0].isdigit():
        return (
            '<a:buFont typeface="+mj-lt"/><a:buAutoNum type="arabicPeriod"'
            f' startAt="{int(sign.rstrip("."))}"/>'
        )
    return f'<a:buFont typeface="Arial"/><a:buChar char="{clean(sign)}"/>'


def _run(text: str, voice: Voice) -> str:
    face = '<a:latin typeface="Arial"/><a:cs typeface="Arial"/>'
    colour = solid(voice.colour) if voice.colour else ""
    look = (
        f'<a:rPr lang="en-GB" sz="{round(voice.size * 100)}" b="{int(voice.bold)}"'
        f' dirty="0">{colour}{face}</a:rPr>'
    )
    parts = (f"<a:r>{look}<a:t>{clean(part)}</a:t></a:r>" for part in text.split("\n"))
    return "<a:br/>".join(parts)


def body(
    paragraphs: list[Paragraph],
    *,
    wrap: bool = True,
    stand: str = "t",
    insets: tuple[float, float] = (0, 0),
    tag: str = "p:txBody",
) -> str:
    """A shape's text. ``insets`` are the side and top margins; the size of the box is fixed."""
    side, top = emu(insets[0]), emu(insets[1])
    frame_look = (
        f'wrap="{"square" if wrap else "none"}" lIns="{side}" tIns="{top}" rIns="{side}" bIns="{top}"'
        f' anchor="{stand}" rtlCol="0"'
    )
    text = "".join(map(paragraph, paragraphs)) or '<a:p><a:endParaRPr lang="en-GB"/></a:p>'
    return f"<{tag}><a:bodyPr {frame_look}><a:noAutofit/></a:bodyPr><a:lstStyle/>{text}</{tag}>"


def names(number: int, name: str, alt: str = "") -> str:
    """The name of a shape for selection lists, and its alternative text."""
    words = f' descr="{clean(alt)}"' if alt else ""
    return f'<p:cNvPr id="{number}" name="{clean(name)}"{words}/>'


def text_box(
    number: int, name: str, box: Box, text: str, *, paint: str = "<a:noFill/>", turn_deg: float = 0.0
) -> str:
    """A text box; ``text`` is a finished body()."""
    return (
        f"<p:sp {NAMESPACES}><p:nvSpPr>{names(number, name)}<p:cNvSpPr"
        f' txBox="1"/><p:nvPr/></p:nvSpPr><p:spPr>{frame(box, turn_deg)}<a:prstGeom'
        f' prst="rect"><a:avLst/></a:prstGeom>{paint}<a:ln><a:noFill/></a:ln></p:spPr>{text}</p:sp>'
    )


def preset(number: int, name: str, box: Box, kind: str, style: str) -> str:
    """A rectangle (``rect``) or ellipse (``ellipse``) in a style."""
    return _shape(
        number,
        name,
        f'{frame(box)}<a:prstGeom prst="{kind}"><a:avLst/></a:prstGeom>{fill(style)}{pen(style)}',
    )


def outline(
    number: int, name: str, points: tuple[Point, ...], style: str, *, closed: bool, arrow: str = ""
) -> str:
    """A free outline through points, open or closed."""
    whole = [(emu(x), emu(y)) for x, y in points]
    left, top = min(x for x, _ in whole), min(y for _, y in whole)
    width, height = max(1, max(x for x, _ in whole) - left), max(1, max(y for _, y in whole) - top)
    corners = [f'<a:pt x="{x - left}" y="{y - top}"/>' for x, y in whole]
    path = (
        f"<a:moveTo>{corners[0]}</a:moveTo>"
        + "".join(f"<a:lnTo>{corner}</a:lnTo>" for corner in corners[1:])
        + ("<a:close/>" if closed else "")
    )
    filled = "" if closed else ' fill="none"'
    geometry = (
        f'<a:xfrm><a:off x="{left}" y="{top}"/><a:ext cx="{width}" cy="{height}"/></a:xfrm>'
        '<a:custGeom><a:avLst/><a:gdLst/><a:ahLst/><a:cxnLst/><a:rect l="0" t="0" r="r" b="b"/>'
        f'<a:pathLst><a:path w="{width}" h="{height}"{filled}>{path}</a:path></a:pathLst></a:custGeom>'
    )
    return _shape(number, name, geometry + (fill(style) if closed else "<a:noFill/>") + pen(style, arrow))


def _shape(number: int, name: str, looks: str) -> str:
    return (
        f"<p:sp {NAMESPACES}><p:nvSpPr>{names(number, name)}<p:cNvSpPr/><p:nvPr/></p:nvSpPr>"
        f"<p:spPr>{looks}</p:spPr></p:sp>"
    )


def connector(number: int, name: str, ends: tuple[Point, Point], style: str, arrow: str = "") -> str:
    """A straight line between two points."""
    (x1, y1), (x2, y2) = ends
    flip = (' flipH="1"' if x2 < x1 else "") + (' flipV="1"' if y2 < y1 else "")
    box = Box(min(x1, x2), min(y1, y2), max(x1, x2), max(y1, y2))
    return (
        f"<p:cxnSp {NAMESPACES}><p:nvCxnSpPr>{names(number, name)}<p:cNvCxnSpPr/><p:nvPr/></p:nvCxnSpPr>"
        f"<p:spPr>{frame(box, flip=flip)}<a:prstGeom"
        f' prst="line"><a:avLst/></a:prstGeom>{pen(style, arrow)}</p:spPr></p:cxnSp>'
    )


def group(number: int, name: str, box: Box, inner: list[str], alt: str = "") -> str:
    """Shapes as one group; they keep the slide's own coordinates."""
    left, top, width, height = (
        emu(box.left),
        emu(box.top),
        emu(box.right) - emu(box.left),
        emu(box.bottom) - emu(box.top),
    )
    place = (
        f'<a:off x="{left}" y="{top}"/><a:ext cx="{width}" cy="{height}"/><a:chOff x="{left}"'
        f' y="{top}"/><a:chExt cx="{width}" cy="{height}"/>'
    )
    return (
        f"<p:grpSp {NAMESPACES}><p:nvGrpSpPr>{names(number, name, alt)}<p:cNvGrpSpPr/><p:nvPr/></p:nvGrpSpPr>"
        f"<p:grpSpPr><a:xfrm>{place}</a:xfrm></p:grpSpPr>{''.join(inner)}</p:grpSp>"
    )
