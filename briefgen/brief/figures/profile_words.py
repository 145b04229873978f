"""The words of the profile of the pass, and where they stand."""

from __future__ import annotations

from itertools import pairwise

from briefgen.brief.figures import heads
from briefgen.brief.figures.common import Scale, feet_msl, width_pt
from briefgen.brief.figures.flags import Flag, Row, rows_of
from briefgen.brief.figures.pass_places import MOST_OBSTACLES
from briefgen.brief.figures.profile_data import Panels, Profile, height_at, moments
from briefgen.brief.wording import format as words
from briefgen.draw.scene.labels import Label
from briefgen.draw.scene.model import Canvas, Point, Text
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.plan.model import EventPlan
from briefgen.units.rounding import decimals


def fixed_texts(profile: Profile, panels: Panels) -> list[Text]:
    """Those that have one place."""
    return [
        *_axis_texts(panels),
        *_cap_texts(profile.event, panels),
        *_level_texts(profile, panels),
        *_cloud_above(profile, panels),
    ]


def _axis_texts(panels: Panels) -> list[Text]:
    canvas, texts = panels.canvas, []
    for box, scale, parts in ((panels.upper, panels.height, 4), (panels.lower, panels.speed, 3)):
        for value in ticks(scale.low, scale.high, nice_step(scale.high - scale.low, parts)):
            if scale.at(value) > box.top + 0.6 * canvas.size_pt("label"):  # the flags' words begin there
                texts.append(Text((box.left - 4, scale.at(value)), decimals(value), "label", "end"))
    step = next(
        (
            s
            for s in (10, 20, 30, 60)
            if abs(panels.time.at(s) - panels.time.at(0)) > 1.4 * width_pt("0:00", canvas)
        ),
        120,
    )
    foot = panels.lower.bottom + 0.55 * canvas.size_pt("label")
    for seconds in range(0, int(panels.time.low) + 1, step):
        texts.append(
            Text((panels.time.at(seconds), foot), words.duration_clock(seconds), "label", "middle", "top")
        )
    texts.append(Text((0, foot), "To go", "label_soft", "start", "top"))
    for box, title in ((panels.upper, "ft MSL"), (panels.lower, "KGS")):
        texts.append(
            Text(
                (canvas.pitch_pt("label") / 2, (box.top + box.bottom) / 2),
                title,
                "label_soft",
                "middle",
                turn_deg=-90,
            )
        )
    return texts


def moment_heads(event: EventPlan, time: Scale) -> list[heads.Head]:
    """Of the upright lines, in a row above the panels."""
    return [heads.Head(time.at(m.to_go_s), m.name, m.time, m.kind) for m in moments(event)]


def moment_flags(event: EventPlan, time: Scale, canvas: Canvas) -> list[Row]:
    """The same one above the other."""
    flags = [
        Flag(time.at(moment.to_go_s), f"{moment.name} {moment.time}", heads.STYLES[moment.kind][0])
        for moment in moments(event)
    ]
    return rows_of(flags, canvas)


def between(event: EventPlan, time: Scale) -> tuple[float, float]:
    """The widest stretch of the run-in between two of the upright lines: words that stand there are cut by
    none."""
    ip_s = (event.true_time - event.ip_time).total_seconds()
    xs = sorted({time.at(moment.to_go_s) for moment in moments(event) if moment.to_go_s <= ip_s})
    return max(pairwise(xs), key=lambda pair: pair[1] - pair[0])


def beside_moments(event: EventPlan, panels: Panels) -> list[tuple[Point, Point]]:
    """On either side of each upright line, so that words there don't touch it."""
    xs = [panels.time.at(moment.to_go_s) + off for moment in moments(event) for off in (-3.0, 3.0)]
    return [((x, (panels.plan or panels.upper).top), (x, panels.lower.bottom)) for x in xs]


def level_words(profile: Profile, time: Scale, canvas: Canvas) -> list[tuple[float, float, str, str]]:
    """The run-in's levels and the minimum, the higher one first: its highest and lowest height, its words as
    full as the room lets them be, and their style."""
    event, minimum, (left, right) = profile.event, profile.minimum, between(profile.event, time)
    leader = f"{'Leader ' if len(event.ships) > 1 else ''}{words.height(event.run_in.altitude_ft)}"
    said: tuple[str, ...] = (leader,)
    if event.lowest_altitude_ft < event.run_in.altitude_ft:
        lowest = min(event.ships, key=lambda s: s.altitude_ft)
        other = f"ship {lowest.ship} {words.height(lowest.altitude_ft)}"
        said = (f"{leader}, {other}", f"{leader},\n{other}")
    found: list[tuple[float, float, tuple[str, ...], str]] = [
        (event.run_in.altitude_ft, event.lowest_altitude_ft, said, "track")
    ]
    if minimum:
        short = f"Minimum {words.height(minimum[0])}"
        found.append((minimum[0], minimum[0], (f"{short}: {minimum[1]}", short), "target"))
    room = right - left - 10
    fitted = [
        (top, foot, next((t for t in said if width_pt(t, canvas, style) <= room), said[-1]), style)
        for top, foot, said, style in found
    ]
    return sorted(fitted, key=lambda level: -level[0])


def _level_texts(profile: Profile, panels: Panels) -> list[Text]:
    """The words of the run-in's level and of the minimum: the higher one's above its line, the lower one's
    below."""
    middle, found = sum(between(profile.event, panels.time)) / 2, []
    for number, (top_ft, foot_ft, said, style) in enumerate(level_words(profile, panels.time, panels.canvas)):
        y, stand = (
            (panels.height.at(top_ft) - 3, "bottom")
            if number == 0
            else (panels.height.at(foot_ft) + 3, "top")
        )
        found.append(Text((middle, y), said, style, "middle", stand, halo=True))
    return found + _from_hold(profile, panels)


def _from_hold(profile: Profile, panels: Panels) -> list[Text]:
    """From which height the leader comes, where that is above the drawing and there is room below its line
    before the IP."""
    start_ft = height_at(profile.event, profile.approach, profile.approach.starts_to_go_s)
    text, pitch = f"From {words.height(start_ft)}", panels.canvas.pitch_pt("track")
    before_ip = (
        panels.time.at((profile.event.true_time - profile.event.ip_time).total_seconds()) - panels.upper.left
    )
    if start_ft <= panels.height.high or width_pt(text, panels.canvas, "track") + 16 > before_ip:
        return []
    foot, least = (
        panels.height.at(profile.event.run_in.altitude_ft) + 0.5 * pitch,
        panels.height.at(profile.minimum[0]) if profile.minimum else 1e9,
    )
    return [
        Text(
            (
                panels.upper.left + 6,
                foot if foot < least - 2 or foot - pitch > least + 2 else least + 1.1 * pitch,
            ),
            text,
            "track",
            "start",
            "bottom",
            halo=True,
        )
    ]


def height_labels(profile: Profile, panels: Panels, *, names: bool) -> list[Label]:
    """Ground, obstacles (with or without their names) and clouds."""
    event, labels, (_, right) = profile.event, [], between(profile.event, panels.time)
    if event.centre.elevation_ft is not None:
        text = f"Ground {words.height(event.centre.elevation_ft)}{_highest(profile)}"
        x = panels.upper.left + width_pt(text, panels.canvas) / 2 + 8
        labels.append(Label((x, panels.height.at(event.centre.elevation_ft)), text, "label_soft", 1, 0))
    labels += [
        Label(
            (panels.time.at(o.abeam.to_go_s), panels.height.at(o.read_ft)),
            f"{o.name} {words.height(o.top_ft)}" if names else words.height(o.top_ft),
            "label",
            1,
            270,
        )
        for o in profile.obstacles
    ]
    labels += [
        Label((right, panels.height.at(base)), text, "label_soft", 5, 292.5)
        for base, _, text in profile.clouds
        if base < panels.height.high
    ]
    return labels


def _highest(profile: Profile) -> str:
    """``, along the pass up to 1180 ft``, where tiles say it."""
    highest_ft = max((ft for _, ft in profile.ground), default=None)
    return "" if highest_ft is None else f", along the pass up to {words.height(highest_ft)}"


def _cloud_above(profile: Profile, panels: Panels) -> list[Text]:
    """The lowest cloud whose base is above the drawing, said over the panel of height."""
    above = sorted((base, text) for base, _, text in profile.clouds if base >= panels.height.high)
    said = [f"Cloud above: {above[0][1]}{' and higher' if len(above) > 1 else ''}"] if above else []
    at = (panels.upper.right, panels.upper.top)
    return [Text(at, text, "label_soft", "end", "bottom", halo=True) for text in said]


def _cap_texts(event: EventPlan, panels: Panels) -> list[Text]:
    """Above the most and below the least, between the upright lines: never nearer to another line."""
    texts, (left, right) = [], between(event, panels.time)
    if event.maximum_gs_kt is not None:
        short = f"Most {words.speed_kt(event.maximum_gs_kt, 'KGS')}"
        full = f"{short}: {event.maximum_because}"
        text = full if left + width_pt(full, panels.canvas) + 12 < right else short
        texts.append(
            Text(
                (left + 6, panels.speed.at(event.maximum_gs_kt) - 1),
                text,
                "label",
                "start",
                "bottom",
                halo=True,
            )
        )
    if event.minimum_gs_kt is not None:
        text = f"Least {words.speed_kt(event.minimum_gs_kt, 'KGS')}"
        texts.append(
            Text(
                (left + 6, panels.speed.at(event.minimum_gs_kt) + 1), text, "label", "start", "top", halo=True
            )
        )
    return texts


def speed_labels(event: EventPlan, panels: Panels) -> list[Label]:
    """Of the run-in, and reached by the push-up."""
    ip_s = (event.true_time - event.ip_time).total_seconds()
    until_s = (event.true_time - event.push.at).total_seconds() if event.push else 0.0
    labels = [
        Label(
            (panels.time.at((ip_s + until_s) / 2), panels.speed.at(event.run_in_kt)),
            words.speed_kt(event.run_in_kt, "KGS"),
            "track",
            1,
            0,
        )
    ]
    if event.push:
        at = (panels.time.at(0.0), panels.speed.at(event.push.reached_kt))
        labels.append(Label(at, words.speed_kt(event.push.reached_kt, "KGS"), "track", 1, 315))
    return labels


def alt(profile: Profile) -> str:
    """For who can't see the drawing."""
    event, minimum = profile.event, profile.minimum
    parts = [f"Run-in at {feet_msl(event.run_in.altitude_ft)} and {words.speed_kt(event.run_in_kt, 'KGS')}"]
    if event.push:
        parts.append(
            f"push-up {words.duration(words.between_s(event.push.at, event.true_time))} before T to"
            f" {words.speed_kt(event.push.reached_kt, 'KGS')}"
        )
    parts.append(
        f"{'lowest ship' if len(event.ships) > 1 else 'over the centre'} {feet_msl(event.lowest_altitude_ft)}"
    )
    parts.append(f"minimum {feet_msl(minimum[0])} ({minimum[1]})" if minimum else "no minimum height given")
    if event.maximum_gs_kt is not None:
        parts.append(f"most {words.speed_kt(event.maximum_gs_kt, 'KGS')}, {event.maximum_because}")
    if profile.listed > MOST_OBSTACLES:
        parts.append(f"of {profile.listed} obstacles the {MOST_OBSTACLES} highest near the track at most")
    parts += [f"ground{_highest(profile).removeprefix(',')}"] if profile.ground else []
    clouds = [text for _, _, text in profile.clouds]
    parts.append(f"cloud {words.listed(clouds)}" if clouds else "no cloud layer forecast or known")
    return f"Height and speed of the pass against seconds to go. {'; '.join(parts)}."
