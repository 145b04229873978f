"""The pass seen from above, flown to the right, over the same scale of time as its height and speed.

Across the track it is to scale with the run-in's own speed (a mile across is as long as a mile along), or
smaller where an obstacle or the crowd line would not fit; ships, and a lap, are signs.
"""

from __future__ import annotations

from math import cos, radians, sin

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.geodesy import off_line
from briefgen.brief.figures.inbound import Approach
from briefgen.brief.figures.profile_data import AFTER_S, Abeam, Panels, Profile, abeam_of, beyond_kt
from briefgen.brief.figures.profile_words import between
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import short_course
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, clip_line
from briefgen.draw.scene.labels import Label
from briefgen.draw.scene.marks import triangle
from briefgen.draw.scene.model import Ellipse, Line, Point, Polygon, Shape, Text
from briefgen.plan.model import EventPlan, HoldPlan
from briefgen.plan.route.air import position

_LEAST_PITCHES = 19.0  # of a drawing that has room for it
SHARE = 0.225  # of the room of all panels
_ROOM_ACROSS = 0.8  # of the strip's half height, for what lies beside the track
_SHIPS_SHARE = 0.3  # of the strip's height, for the formation
_ON_TRACK_NM = 0.05  # nearer than this to it, an obstacle stands on it
_LAP_PT = (46.0, 0.3)  # of the sign of the hold: its straight at the most, its radius in half strips


@record
class Strip:
    """The strip's box, its scales, and the approach that gives a distance its time."""

    box: Box
    panels: Panels
    event: EventPlan
    approach: Approach
    pt_per_nm: float

    @property
    def middle(self) -> float:
        return (self.box.top + self.box.bottom) / 2

    def at(self, to_go_s: float, right_nm: float) -> Point:
        """Where something so far right of the track stands, abeam which the leader is so long before T."""
        return self.panels.time.at(to_go_s), self.middle + right_nm * self.pt_per_nm

    def place(self, where: Abeam) -> Point:
        return self.at(where.to_go_s, where.right_nm)


def has_room(pitches: float) -> bool:
    """True for a drawing so many lines high that a strip from above doesn't crowd it."""
    return pitches >= _LEAST_PITCHES


def strip_of(profile: Profile, panels: Panels) -> Strip | None:
    """None where the panels leave no room for it."""
    if panels.plan is None:
        return None
    event, approach, box = profile.event, profile.approach, panels.plan
    beside = [*(o.abeam for o in profile.obstacles), *_crowd(event, approach)]
    along = abs(panels.time.at(0.0) - panels.time.at(1.0)) * 3600 / event.run_in_kt
    fitting = _ROOM_ACROSS * box.height / 2 / max([*(abs(where.right_nm) for where in beside), 1e-6])
    return Strip(box, panels, event, approach, min(along, fitting))


def _crowd(event: EventPlan, approach: Approach) -> list[Abeam]:
    line = event.section.written.crowd_line
    return [abeam_of(event, approach, end) for end in (line.from_, line.to)] if line else []


# ---------------------------------------------------------------- lines and signs


def tracks(strip: Strip) -> list[Line]:
    """Hold to IP, run-in, egress; the lap as a sign before them; the crowd line."""
    event, begin = strip.event, strip.approach.starts_to_go_s
    ip_s = (event.true_time - event.ip_time).total_seconds()
    lines = [Line((strip.at(ip_s, 0.0), strip.at(0.0, 0.0)), "track", "end")]
    if event.hold is not None:
        out_of_hold = strip.at(begin, _fix_right_nm(event, event.hold))
        lines += _clipped(out_of_hold, strip.at(ip_s, 0.0), strip, "track")
        lines.append(_lap(strip, event.hold))
    if event.egress is not None:
        angle = radians(turn_deg(event.run_in.course_true_deg, event.egress.course_true_deg))
        flown_nm = AFTER_S * beyond_kt(event) / 3600
        end = strip.at(-AFTER_S * cos(angle), flown_nm * sin(angle))
        lines += _clipped(strip.at(0.0, 0.0), end, strip, "track_dashed")
    crowd = [strip.place(end) for end in _crowd(event, strip.approach)]
    return lines + (_clipped(crowd[0], crowd[1], strip, "crowd") if crowd else [])


def _clipped(start: Point, end: Point, strip: Strip, style: str) -> list[Line]:
    return [Line(part, style) for part in clip_line((start, end), strip.box.grown(-2))]


def _lap(strip: Strip, hold: HoldPlan) -> Line:
    """A racetrack whose inbound leg ends where the track begins, on the side to which the flight turns."""
    r, side = _LAP_PT[1] * strip.box.height / 2, _turn_side(hold)
    straight = max(min(_LAP_PT[0], strip.box.left - 2 * r - 2), 0.0)
    x, y = strip.box.left, _lap_y(strip, hold)
    half = [(r * sin(radians(a)), side * r * (1 - cos(radians(a)))) for a in range(0, 181, 12)]
    out = [(x - r + right, y + down) for right, down in half]
    back = [(x - r - straight - right, y + 2 * side * r - down) for right, down in half]
    return Line((*out, *back, (x, y)), "hold")


def _turn_side(hold: HoldPlan) -> float:
    """Up the drawing is left of a flight to the right."""
    return -1.0 if hold.turns == "left" else 1.0


def _fix_right_nm(event: EventPlan, hold: HoldPlan) -> float:
    leg = event.run_in
    return off_line(position(leg.start), position(leg.end), position(hold.fix)).cross_right_nm


def _lap_y(strip: Strip, hold: HoldPlan) -> float:
    """Where the track comes out of the hold, inside the strip with all of the lap."""
    box, margin = strip.box, _LAP_PT[1] * strip.box.height + 2
    y = strip.at(0.0, _fix_right_nm(strip.event, hold))[1]
    return min(max(y, box.top + margin), box.bottom - margin)


def marks(strip: Strip, profile: Profile, clear: Box | None) -> list[Shape]:
    """The spot flown over, the obstacles, and the ships where nothing else stands."""
    size = strip.panels.canvas.size_pt("label")
    obstacles = [triangle(strip.place(o.abeam), 0.5 * size, "obstacle") for o in profile.obstacles]
    ships = _ships(strip, clear) if clear is not None else []
    return [*ships, Ellipse(strip.at(0.0, 0.0), 0.35 * size, 0.35 * size, "target_solid"), *obstacles]


def clear_stretch(strip: Strip, words_pt: float) -> Box | None:
    """The widest stretch of the run-in between two of the upright lines; None where it has no room for the
    ships and so wide a text."""
    left, right = between(strip.event, strip.panels.time)
    box = Box(left + 8, strip.box.top, right - 8, strip.box.bottom)
    return box if box.width > words_pt + 2 * strip.panels.canvas.size_pt("label") else None


def _ships(strip: Strip, clear: Box) -> list[Polygon]:
    """The formation, its leader on the track, each ship a sign; larger than to scale."""
    size, scale, leader = _sign(strip, clear)
    spots = [(leader - s.back_ft * scale, strip.middle + s.right_ft * scale) for s in strip.event.ships]
    return [triangle(spot, size, "track_solid", 90) for spot in spots]


def _sign(strip: Strip, clear: Box) -> tuple[float, float, float]:
    """The size of a ship's sign, the points per foot between them, and where the leader stands."""
    ships = strip.event.ships
    wide = max(1.0, *(abs(s.right_ft) for s in ships))
    deep = max(1.0, *(s.back_ft for s in ships))
    size = 0.42 * strip.panels.canvas.size_pt("label")
    scale = min(_SHIPS_SHARE * strip.box.height / wide, 0.3 * clear.width / deep)
    return size, scale, clear.left + size + max(s.back_ft for s in ships) * scale


# ---------------------------------------------------------------- words


def ships_words(strip: Strip) -> str:
    """``echelon right``; of one ship nothing."""
    formation = strip.event.section.written.run_in.formation
    return formation or "" if len(strip.event.ships) > 1 else ""


def fixed_words(strip: Strip, clear: Box | None) -> list[Text]:
    """The course, what the hold is, the formation's name: each has one place."""
    canvas, hold = strip.panels.canvas, strip.event.hold
    gap = 0.5 * canvas.size_pt("label")
    texts: list[Text] = []
    if clear is not None:
        size, _, leader = _sign(strip, clear)
        x, course = leader + 2 * size, short_course(strip.event.run_in)
        texts.append(Text((x, strip.middle - gap), course, "track", "start", "bottom"))
        if formation := ships_words(strip):
            texts.append(Text((x, strip.middle + gap), formation, "label_soft", "start", "top"))
    if hold is not None:
        said = f"{words.counted(len(hold.laps), 'lap')} {hold.turns}"
        lap_middle = _lap_y(strip, hold) + _turn_side(hold) * _LAP_PT[1] * strip.box.height / 2
        high = lap_middle <= strip.middle
        y = strip.box.bottom if high else strip.box.top
        texts.append(Text((0, y), said, "label", "start", "bottom" if high else "top"))
    return texts


def labels(strip: Strip, profile: Profile, *, crowd_line: bool) -> list[Label]:
    """How far beside the track each obstacle stands, and what the crowd line is."""
    clear = 0.5 * strip.panels.canvas.size_pt("label")
    found = []
    crowd = [strip.place(end) for end in _crowd(strip.event, strip.approach)]
    for shown in clip_line((crowd[0], crowd[1]), strip.box.grown(-2))[:1] if crowd and crowd_line else []:
        middle = ((shown[0][0] + shown[-1][0]) / 2, (shown[0][1] + shown[-1][1]) / 2)
        found.append(Label(middle, "Crowd line", "label", 6, 90))
    for obstacle in profile.obstacles:
        right_nm = obstacle.abeam.right_nm
        beside = f"{words.distance(abs(right_nm))} {'right' if right_nm >= 0 else 'left'}"
        said = beside if abs(right_nm) >= _ON_TRACK_NM else "on the track"
        towards = 270 if obstacle.abeam.to_go_s > 0 else 90
        found.append(Label(strip.place(obstacle.abeam), said, "label", clear, towards))
    return found
