// How the flight comes into the hold, ported line by line from briefgen/airmath/hold_entry.py; its docstrings are the specification.
"use strict";

const WITH_TURNS_DEG = 110, AGAINST_TURNS_DEG = 70, OFFSET_DEG = 30, OUTBOUND_OFF_DEG = 45, STRAIGHT_DEG = 30, ROOM_S = 60, LOOK_DEG = 2;

const offInbound = (track, arrival) => track.side * relative(track, arrival);
const straightThrough = (track, arrival) => Math.abs(relative(track, arrival)) <= STRAIGHT_DEG;
const sectorOf = (track, arrival) => {
  const off = offInbound(track, arrival);
  return off > WITH_TURNS_DEG ? "offset" : off < -AGAINST_TURNS_DEG ? "parallel" : "direct";
};

function directLap(track, arrival, outboundS) {
  const lap = firstLap(track, arrival, outboundS);
  return lap === null || Math.abs(turnDeg(track.course + 180, arrival + lap.firstTurn)) > OUTBOUND_OFF_DEG ? null : lap;
}

// {sector, rest}, or null for a direct arrival.
function entryLap(track, arrival, leg) {
  track.entries = track.entries || {};
  const key = `${arrival} ${leg}`;
  if (track.entries[key] === undefined) track.entries[key] = findEntry(track, arrival, leg);
  return track.entries[key];
}

function findEntry(track, arrival, leg) {
  let sector = sectorOf(track, arrival);
  if (sector === "direct") {
    for (let x = LEG_MIN_S; x <= LEG_MAX_S; x += 2) if (directLap(track, arrival, x) !== null) return null;
    sector = offInbound(track, arrival) > (WITH_TURNS_DEG - AGAINST_TURNS_DEG) / 2 ? "offset" : "parallel";
  }
  return { sector, rest: entryFlown(track, sector, arrival, Math.min(Math.max(leg, LEG_MIN_S), LEG_MAX_S)) };
}

function entryFlown(track, sector, arrival, leg) {
  const outbound = headingFor(track, sector === "parallel" ? 180 : track.side * (180 - OFFSET_DEG));
  const first = turnDeg(relative(track, arrival), outbound), firstS = Math.abs(first) / track.rate;
  let place = moved(track, { along: 0, across: 0, heading: outbound - first }, first, firstS);
  place = moved(track, place, 0, leg);
  const way = sector === "parallel" ? -track.side : track.side, last = way * turnToFix(track, place, way), lastS = Math.abs(last) / track.rate;
  const rolled = moved(track, place, last, lastS);
  const ahead = Math.hypot(rolled.along, rolled.across) / overGround(track, rolled.heading)[2] * 3600;
  const onto = Math.abs(turnDeg(rolled.heading, inboundRelative(track))) / track.rate;
  return { firstTurn: first, straightS: leg, inboundTurn: last, firstTurnS: firstS, inboundTurnS: lastS, inboundS: ahead + onto };
}

// The wind triangle of briefgen/airmath/wind.py, relative to the inbound course.
function headingFor(track, course) {
  const across = -track.alongKt * Math.sin(radians(course)) + track.acrossKt * Math.cos(radians(course));
  const ahead = track.alongKt * Math.cos(radians(course)) + track.acrossKt * Math.sin(radians(course));
  if (Math.abs(across) >= track.tas || Math.sqrt(track.tas ** 2 - across ** 2) + ahead <= 0) return course;
  return course - degrees(Math.asin(across / track.tas));
}

function overGround(track, heading) {
  const along = track.tas * Math.cos(radians(heading)) + track.alongKt, across = track.tas * Math.sin(radians(heading)) + track.acrossKt;
  return [along, across, Math.hypot(along, across)];
}

function turnToFix(track, place, way) {
  const beside = (turned) => {
    const at = moved(track, place, way * turned, turned / track.rate), [along, across] = overGround(track, at.heading);
    return [along * at.across - across * at.along, -(along * at.along + across * at.across)];
  };
  let before = beside(0)[0];
  for (let step = 1; step <= 360 / LOOK_DEG; step++) {
    const [after, ahead] = beside(step * LOOK_DEG);
    if (ahead > 0 && (before > 0) !== (after > 0)) return crossing((deg) => beside(deg)[0], (step - 1) * LOOK_DEG, step * LOOK_DEG);
    before = after;
  }
  return 180;
}

function legsWithRoom(track) {
  if (track.room === undefined) track.room = findRoom(track);
  return track.room;
}

function findRoom(track) {
  const longest = laterLap(track, LEG_MAX_S);
  if (longest === null) return null;
  const low = laterLow(track), shortestS = lasts(laterLap(track, low)), longestS = lasts(longest);
  if (longestS - shortestS < 2 * ROOM_S) return null;
  return [shortestS + ROOM_S, longestS - ROOM_S].map((s) => crossing((x) => lasts(laterLap(track, x)) - s, low, LEG_MAX_S));
}

// One lap after the entry, two and so on, with room for what it takes more or less (hold_wait.py).
function* afterEntry(track, entryEnds, lapsBefore) {
  const room = legsWithRoom(track);
  for (let later = 1; room !== null && later < MOST_LAPS; later++) {
    yield { laps: later + lapsBefore, low: room[0], high: room[1], ends: (x) => entryEnds + later * lasts(laterLap(track, x)) };
  }
}

function lastLegs(open, room) {
  const low = Math.max(LEG_MIN_S, open.flown + open.least), high = open.flown + open.most;
  return room === null ? [low, high] : [Math.max(low, room[0]), Math.min(high, room[1])];
}
