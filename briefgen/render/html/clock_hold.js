// The hold, ported line by line from briefgen/airmath/roots.py, angles.py, hold.py, hold_wait.py and hold_slip.py; their docstrings are the
// specification. Seconds after first passing the fix, knots, nautical miles, degrees. A browser test compares every number with Python's.
"use strict";

const LEG_MIN_S = 20, LEG_MAX_S = 120, SAME_S = 1e-6, MOST_LAPS = 200, EXACT_NM = 1e-7, JUMP_S = 1e-9, SAME_LEG_S = 1;

const radians = (deg) => deg * Math.PI / 180;
const degrees = (rad) => rad * 180 / Math.PI;
const wrap360 = (deg) => { const w = ((deg % 360) + 360) % 360; return w === 360 ? 0 : w; };
const turnDeg = (from, to) => { const d = wrap360(to - from); return d > 180 ? d - 360 : d; };
const turnToward = (from, to, right) => wrap360(right ? to - from : from - to);

function crossing(f, low, high, within = 1e-10, small = 1e-11) {
  const fLow = f(low), fHigh = f(high);
  if (fLow === 0 || fHigh === 0 || (fLow > 0) === (fHigh > 0)) return Math.abs(fLow) <= Math.abs(fHigh) ? low : high;
  let weightLow = fLow, weightHigh = fHigh;
  for (let step = 0; step < 200; step++) {
    const middle = step % 4 === 3 ? (low + high) / 2 : high - weightHigh * (high - low) / (weightHigh - weightLow);
    const value = f(middle);
    if (Math.abs(value) <= small || high - low <= within) return middle;
    if ((value > 0) === (fLow > 0)) { low = middle; weightLow = value; weightHigh /= 2; }
    else { high = middle; weightHigh = value; weightLow /= 2; }
  }
  return (low + high) / 2;
}

function crossingWithSlope(f, low, high, small) {
  let at = low, before = Infinity;
  for (let i = 0; i < 100; i++) {
    const [value, slope] = f(at);
    if (Math.abs(value) <= small) return at;
    if (value < 0) low = at; else high = at;
    const step = slope > 0 ? at - value / slope : low;
    at = low < step && step < high && Math.abs(value) <= before / 2 ? step : (low + high) / 2;
    before = Math.abs(value);
  }
  return at;
}

function boundary(holds, good, bad, within = 1e-9) {
  while (Math.abs(bad - good) > within) {
    const middle = (good + bad) / 2;
    if (holds(middle)) good = middle; else bad = middle;
  }
  return good;
}

// ---------------------------------------------------------------- hold.py. A track is the page's data, with side +1 for right turns, -1 for left.

const relative = (track, headingDeg) => turnDeg(track.course, headingDeg);
const inboundRelative = (track) => turnDeg(track.course, track.inboundHeading);

function moved(track, place, turnedDeg, seconds) {
  const along = place.along + track.alongKt * seconds / 3600, across = place.across + track.acrossKt * seconds / 3600;
  const start = radians(place.heading);
  if (turnedDeg === 0) {
    const flown = track.tas * seconds / 3600;
    return { along: along + flown * Math.cos(start), across: across + flown * Math.sin(start), heading: place.heading };
  }
  const end = start + radians(turnedDeg), radius = turnedDeg > 0 ? track.radius : -track.radius;
  return {
    along: along + radius * (Math.sin(end) - Math.sin(start)),
    across: across + radius * (Math.cos(start) - Math.cos(end)),
    heading: place.heading + turnedDeg,
  };
}

const lasts = (rest) => rest.firstTurnS + rest.straightS + rest.inboundTurnS + rest.inboundS;

function restOfLap(track, place, toTurn, straightS, underWay = true) {
  const still = moved(track, place, track.side * toTurn, toTurn / track.rate);
  const off = still.across + track.acrossKt * straightS / 3600, flown = track.tas * straightS / 3600;
  if (Math.abs(off) <= flown || Math.abs(off) < EXACT_NM) {
    const outbound = flown > EXACT_NM ? 180 + degrees(Math.asin(off / flown)) : place.heading;
    const last = turnToward(outbound, inboundRelative(track), track.side > 0);
    if (toTurn - last > -1e-9) return checkedRest(track, place, track.side * Math.max(toTurn - last, 0), straightS, track.side * Math.min(last, toTurn));
  }
  return underWay ? turningBack(track, place, toTurn, straightS) : null;
}

function turningBack(track, place, toTurn, straightS) {
  const heading = radians(place.heading), turned = track.side * track.radius;
  const fixed = place.across - turned * (Math.cos(heading) + Math.cos(heading + track.side * radians(toTurn)));
  const flown = track.tas * straightS / 3600;
  const offCourse = (back) => {
    const outbound = heading - track.side * radians(back);
    const drift = track.acrossKt * (straightS + (toTurn + 2 * back) / track.rate) / 3600;
    const off = fixed + drift + 2 * turned * Math.cos(outbound) + flown * Math.sin(outbound);
    const bends = track.side * (2 * turned * Math.sin(outbound) - flown * Math.cos(outbound));
    return [track.side * off, track.side * (track.acrossKt * 2 / track.rate / 3600 + radians(bends))];
  };
  const most = Math.min(90 + track.side * turnDeg(180, place.heading), 360 - toTurn);
  if (most <= 0 || offCourse(0)[0] > 0 || offCourse(most)[0] < 0) return null;
  const back = crossingWithSlope(offCourse, 0, most, 1e-9);
  return checkedRest(track, place, -track.side * back, straightS, track.side * (toTurn + back));
}

function checkedRest(track, place, first, straightS, last) {
  let after = moved(track, place, first, Math.abs(first) / track.rate);
  after = moved(track, moved(track, after, 0, straightS), last, Math.abs(last) / track.rate);
  if (after.along > EXACT_NM) return null;
  return {
    firstTurn: first, straightS, inboundTurn: last, firstTurnS: Math.abs(first) / track.rate, inboundTurnS: Math.abs(last) / track.rate,
    inboundS: Math.max(-after.along, 0) / track.gs * 3600,
  };
}

function firstLap(track, arrival, outboundS) {
  const place = { along: 0, across: 0, heading: relative(track, arrival) };
  const least = turnToward(arrival, track.inboundHeading, track.side > 0);
  for (const toTurn of [least, least + 360]) {
    const lap = restOfLap(track, place, toTurn, outboundS, false);
    if (lap !== null && Math.abs(lap.firstTurn) < 360) return lap;
  }
  return null;
}

const laterLap = (track, outboundS) => restOfLap(track, { along: 0, across: 0, heading: inboundRelative(track) }, 360, outboundS, false);

function segmentsFrom(track, rest, place, begins) {
  const segments = [];
  for (const [lastsS, turned] of [[rest.firstTurnS, rest.firstTurn], [rest.straightS, 0], [rest.inboundTurnS, rest.inboundTurn], [rest.inboundS, 0]]) {
    segments.push({ begins, lasts: lastsS, place, turned });
    place = moved(track, place, turned, lastsS);
    begins += lastsS;
  }
  return segments;
}

function lapFrom(track, rest, place, begins, entry = "") {
  const s = segmentsFrom(track, rest, place, begins);
  return { begins, outbound: s[1].begins, inboundTurn: s[2].begins, inbound: s[3].begins, fix: begins + lasts(rest), segments: s, entry };
}

function placeIn(track, segment, at) {
  const inside = Math.min(Math.max(at - segment.begins, 0), segment.lasts);
  return moved(track, segment.place, segment.turned * (segment.lasts > 0 ? inside / segment.lasts : 0), inside);
}

// ---------------------------------------------------------------- hold_wait.py. An option is laps, low, high and ends(x).

const covers = (option, wait) => option.ends(option.low) - SAME_S <= wait && wait <= option.ends(option.high) + SAME_S;
const legFor = (option, wait) => covers(option, wait) ? crossing((x) => option.ends(x) - wait, option.low, option.high) : null;

function laterLow(track) {
  if (track.laterLow === undefined) {
    if (laterLap(track, LEG_MAX_S) === null) track.laterLow = null;
    else if (laterLap(track, LEG_MIN_S) !== null) track.laterLow = LEG_MIN_S;
    else track.laterLow = boundary((x) => laterLap(track, x) !== null, LEG_MAX_S, LEG_MIN_S);
  }
  return track.laterLow;
}

function firstSpans(track, arrival) {
  track.spans = track.spans || {};
  if (track.spans[arrival]) return track.spans[arrival];
  const kind = (x) => {
    const lap = directLap(track, arrival, x);
    return lap === null ? null : Math.floor(Math.abs(lap.firstTurn + lap.inboundTurn) / 360);
  };
  const steps = [], spans = [];
  for (let i = 0; i <= (LEG_MAX_S - LEG_MIN_S) / 2; i++) steps.push(LEG_MIN_S + 2 * i);
  const kinds = steps.map(kind);
  let start = steps[0];
  for (let i = 0; i < steps.length; i++) {
    const here = kinds[i], after = i + 1 < steps.length ? kinds[i + 1] : "end";
    if (here === after) continue;
    const end = after === "end" ? steps[i] : boundary((x) => kind(x) === here, steps[i], steps[i + 1]);
    if (here !== null) spans.push([start, end]);
    if (after !== null && after !== "end") start = boundary((x) => kind(x) === after, steps[i + 1], steps[i]);
  }
  track.spans[arrival] = spans;
  return spans;
}

function* arrivalOptions(track, arrival, leg) {
  if (straightThrough(track, arrival)) yield { laps: 0, low: LEG_MIN_S, high: LEG_MIN_S, ends: () => 0 };
  const entry = entryLap(track, arrival, leg);
  if (entry === null) yield* directOptions(track, arrival);
  else yield* afterEntry(track, lasts(entry.rest), 1);
}

function* directOptions(track, arrival) {
  const spans = firstSpans(track, arrival), later = laterLow(track);
  const entryEnd = (laps, x) => lasts(directLap(track, arrival, x)) + (laps === 1 ? 0 : (laps - 1) * lasts(laterLap(track, x)));
  for (let laps = 1; laps < (later !== null ? MOST_LAPS + 1 : 2); laps++) {
    for (const [spanLow, high] of spans) {
      const low = laps > 1 && later !== null ? Math.max(spanLow, later) : spanLow;
      if (low <= high) yield { laps, low, high, ends: (x) => entryEnd(laps, x) };
    }
  }
}

function* near(options, wait) {
  let before = -1, tooLong = false;
  for (const option of options) {
    if (option.laps !== before) {
      if (tooLong) return;
      [before, tooLong] = [option.laps, option.ends(option.low) > wait + SAME_S];
    }
    yield option;
  }
}

function choose(options, wait, leg) {
  let best = null;
  for (const option of near(options, wait)) {
    const x = legFor(option, wait);
    if (x !== null && (best === null || Math.abs(x - leg) < best.off - SAME_S)) best = { off: Math.abs(x - leg), option, x };
  }
  return best;
}

function planWait(track, wait, arrival, leg) {
  const chosen = choose(arrivalOptions(track, arrival, leg), wait, leg), entry = entryLap(track, arrival, leg);
  if (chosen === null) return null;
  if (chosen.option.laps === 0) return { wait, arrival, leg, outbound: null, laps: [] };
  const rest = entry === null ? directLap(track, arrival, chosen.x) : entry.rest;
  const lap = lapFrom(track, rest, { along: 0, across: 0, heading: relative(track, arrival) }, 0, entry === null ? "" : entry.sector);
  return { wait, arrival, leg, outbound: chosen.x, laps: [lap, ...laterLaps(track, lap.fix, chosen.option.laps - 1, chosen.x)] };
}

function laterLaps(track, begins, laps, x) {
  const flown = [];
  for (let i = 0; i < laps; i++) {
    flown.push(lapFrom(track, laterLap(track, x), { along: 0, across: 0, heading: inboundRelative(track) }, begins));
    begins = flown[i].fix;
  }
  return flown;
}

function oneMoreLapS(track, leg) {
  const lap = laterLap(track, leg);
  return lap === null ? null : lasts(lap);
}

// ---------------------------------------------------------------- a change told under way

function currentLap(plan, told) {
  const index = plan.laps.findIndex((lap) => told <= lap.fix + SAME_S);
  return index < 0 ? null : index;
}

function openLap(track, plan, index, told) {
  const lap = plan.laps[index];
  if (lap.entry || told > lap.inboundTurn) return null;
  const segment = lap.segments.find((s) => told <= s.begins + s.lasts + 1e-9);
  const place = placeIn(track, segment, told);
  const turned = place.heading - lap.segments[0].place.heading;
  const toTurn = track.side * (lap.segments.reduce((sum, s) => sum + s.turned, 0) - turned);
  const flown = Math.max(told - lap.outbound, 0);
  const planned = lap.inboundTurn - Math.max(told, lap.segments[lap.segments.length - 3].begins);
  const span = straightSpan(track, place, toTurn, planned, flown, told >= lap.outbound);
  return span === null ? null : { told, place, toTurn, flown, least: span[0], most: span[1], jump: span[2] };
}

function straightSpan(track, place, toTurn, planned, flown, outbound) {
  const works = (y) => {
    const rest = restOfLap(track, place, toTurn, y);
    return rest !== null && flown + y + (outbound ? rest.firstTurnS : 0) <= LEG_MAX_S + SAME_S;
  };
  if (!works(planned)) return null;
  const top = LEG_MAX_S - flown;
  const least = works(0) ? 0 : boundary(works, planned, 0, 1e-3), most = works(top) ? top : boundary(works, planned, top, 1e-3);
  const turnsOn = (y) => { const rest = restOfLap(track, place, toTurn, y); return rest !== null && rest.firstTurn * track.side >= 0; };
  const first = turnsOn(least);
  return [least, most, turnsOn(most) === first ? null : boundary((y) => turnsOn(y) === first, least, most, JUMP_S)];
}

function piecesOf(open, low, high) {
  if (open.jump === null) return [[low, high]];
  const cut = open.flown + open.jump;
  return [[low, Math.min(high, cut)], [Math.max(low, cut + JUMP_S), high]].filter(([a, b]) => a <= b);
}

const straightOf = (open, x) => Math.min(Math.max(open.least, x - open.flown), open.most);

function* optionsAt(track, plan, told) {
  if (told <= 0) { yield* arrivalOptions(track, plan.arrival, plan.leg); return; }
  const index = currentLap(plan, told);
  if (index !== null) yield* underWayOptions(track, plan, index, openLap(track, plan, index, told));
}

function* underWayOptions(track, plan, index, open) {
  if (plan.laps[index].entry) { yield* afterEntry(track, plan.laps[index].fix, 0); return; }
  const room = plan.laps[0].entry ? legsWithRoom(track) : null, lowest = laterLow(track);
  const bounds = plan.laps[0].entry ? room : lowest === null ? null : [lowest, LEG_MAX_S];
  const laterTime = (laps, x) => laps ? laps * lasts(laterLap(track, x)) : 0;
  for (let later = 0; later < (bounds !== null ? MOST_LAPS : 1); later++) {
    let [low, high] = later && bounds !== null ? bounds : [LEG_MIN_S, LEG_MAX_S];
    if (open === null) {
      high = later ? high : low;
      yield { laps: later, low, high, ends: (x) => plan.laps[index].fix + laterTime(later, x) };
    } else {
      if (!later) [low, high] = lastLegs(open, room);
      for (const [a, b] of piecesOf(open, low, Math.max(low, high))) {
        yield { laps: later, low: a, high: b, ends: (x) => openEnd(track, open, x) + laterTime(later, x) };
      }
      if (later && open.jump !== null) yield { laps: later, low, high, ends: (x) => plan.laps[index].fix + laterTime(later, x), keeps: true };
    }
  }
}

const openEnd = (track, open, x) => open.told + lasts(restOfLap(track, open.place, open.toTurn, straightOf(open, x)));

// The plan after a change, or null when no number of laps gives it.
function replan(track, plan, change, told) {
  const wait = plan.wait + change;
  if (told <= 0) return planWait(track, wait, plan.arrival, plan.leg);
  const index = currentLap(plan, told);
  if (index === null) return null;
  const open = openLap(track, plan, index, told);
  const chosen = choose(underWayOptions(track, plan, index, open), wait, plan.leg);
  if (chosen === null) return null;
  const lap = open === null || chosen.option.keeps ? plan.laps[index] : changedLap(track, plan.laps[index], open, chosen.x);
  const laps = [...plan.laps.slice(0, index), lap, ...laterLaps(track, lap.fix, chosen.option.laps, chosen.x)];
  return { ...plan, wait, outbound: open === null && chosen.option.laps === 0 ? plan.outbound : chosen.x, laps };
}

function changedLap(track, lap, open, x) {
  const rest = restOfLap(track, open.place, open.toTurn, straightOf(open, x));
  const after = segmentsFrom(track, rest, open.place, open.told);
  const flown = lap.segments.filter((s) => s.begins < open.told).map((s) => cutSegment(track, s, open.told));
  return {
    begins: lap.begins, entry: "", outbound: open.told >= lap.outbound ? lap.outbound : after[1].begins, inboundTurn: after[2].begins,
    inbound: after[3].begins, fix: open.told + lasts(rest), segments: [...flown, ...after],
  };
}

function cutSegment(track, segment, at) {
  if (segment.begins + segment.lasts <= at) return segment;
  return { ...segment, lasts: at - segment.begins, turned: placeIn(track, segment, at).heading - segment.place.heading };
}

// The plan with so many more laps that one of them is under way: what a flight flies that was told to hold. Their leg is the one as briefed, or the shortest that can be flown where that one can't. null: no lap can be flown.
function heldOn(track, plan, told) {
  const low = laterLow(track);
  if (low === null) return null;
  const leg = Math.max(plan.leg, low), lap = lasts(laterLap(track, leg));
  const more = Math.max(Math.ceil((told - plan.wait - SAME_S) / lap), 0);
  return { ...plan, wait: plan.wait + more * lap, laps: [...plan.laps, ...laterLaps(track, plan.wait, more, leg)] };
}

// The shortest wait of at least so many seconds that can still be flown, null: none.
function nextWait(track, plan, atLeast, told) {
  const options = [...near(optionsAt(track, plan, told), atLeast)];
  if (options.some((option) => covers(option, atLeast))) return atLeast;
  const ends = options.map((option) => option.ends(option.low)).filter((end) => end > atLeast);
  return ends.length ? Math.min(...ends) : null;
}

// The last moment at which a change can be met by the hold, null when not even at entry. Kept, since the page asks again every second.
const metUntilKept = new WeakMap();
function metUntil(track, plan, change) {
  if (!metUntilKept.has(plan)) metUntilKept.set(plan, new Map());
  const kept = metUntilKept.get(plan);
  if (!kept.has(change)) kept.set(change, findMetUntil(track, plan, change, 1e-4));
  return kept.get(change);
}

function findMetUntil(track, plan, change, within) {
  if (!covering(track, plan, change, 0).size) return null;
  let works = 0;
  for (const lap of plan.laps) {
    for (const [start, end] of lap.entry ? [] : [[lap.begins, lap.outbound], [lap.outbound, lap.inboundTurn]]) {
      works = worksUntil((t) => covering(track, plan, change, t), start, end, within);
      if (works < end) return works;
    }
    if (!covering(track, plan, change, (lap.inboundTurn + lap.fix) / 2).size) return works;
    works = lap.fix;
  }
  return works;
}

function covering(track, plan, change, told) {
  const wait = plan.wait + change, laps = new Set();
  for (const option of near(optionsAt(track, plan, told), wait)) if (covers(option, wait)) laps.add(option.laps);
  return laps;
}

function worksUntil(coveringAt, start, end, within) {
  let works = start;
  const last = coveringAt(end);
  while (works < end) {
    const inside = Math.min(works + within, end), now = coveringAt(inside);
    if (!now.size) return works;
    if ([...now].some((k) => last.has(k))) return end;
    works = Math.max(...[...now].map((k) => boundary((t) => coveringAt(t).has(k), inside, end, within)));
  }
  return end;
}

// ---------------------------------------------------------------- hold_slip.py: {plan, rowUntil, metUntil}, null when not even at entry

function turnedTo(plan, told) {
  const lap = plan.laps.find((l) => l.begins < told && told < l.outbound);
  return lap === undefined ? Infinity : lap.outbound;
}

const oneLeg = (plan, old) => plan.laps.every((lap, i) => lap.entry || lap === old.laps[i] || Math.abs(lap.inboundTurn - lap.outbound - plan.outbound) < SAME_LEG_S);

function slipAnswer(track, plan, change, by) {
  if (by === null) return null;
  const moments = [];
  for (const lap of [...plan.laps].reverse()) moments.push([lap.fix, lap.fix], ...(lap.entry ? [] : [[lap.begins + 2 * SAME_S, lap.outbound]]));
  moments.push([0, 0]);
  for (const [told, until] of moments) {
    const found = replan(track, plan, change, told);
    if (found !== null && oneLeg(found, plan)) return { plan: found, rowUntil: Math.min(until, by, turnedTo(found, told)), metUntil: by };
  }
  return null;
}
