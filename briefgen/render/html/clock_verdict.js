// Speed, script and verdict, ported line by line from briefgen/airmath/speed_change.py, run_in.py, authority.py, script.py and
// briefgen/plan/event/judge.py; their docstrings are the specification. Times are seconds on one clock.
"use strict";

// ---------------------------------------------------------------- speed_change.py

const signedRate = (rates, from, to) => to < from ? -rates.down : rates.up;
const changeTime = (from, to, rates) => (to - from) / signedRate(rates, from, to);
const changeDistance = (from, to, rates) => changeTime(from, to, rates) * ((from + to) / 2) / 3600;

function overDistance(nm, from, to, rates) {
  const changing = changeDistance(from, to, rates);
  if (nm >= changing) return [changeTime(from, to, rates) + 3600 * (nm - changing) / to, to];
  const rate = signedRate(rates, from, to), reached = Math.sqrt(from * from + 7200 * rate * nm);
  return [(reached - from) / rate, reached];
}

function inTime(seconds, from, to, rates) {
  const changing = changeTime(from, to, rates);
  if (seconds >= changing) return [changeDistance(from, to, rates) + (seconds - changing) * to / 3600, to];
  const reached = from + signedRate(rates, from, to) * seconds;
  return [seconds * ((from + reached) / 2) / 3600, reached];
}

// ---------------------------------------------------------------- run_in.py, authority.py

const beforePush = (way) => overDistance(way.legNm + way.distanceNm - way.pushNm, way.holdKt, way.speedKt, way.rates);

function totalS(way) {
  if (0 >= way.pushNm) return overDistance(way.legNm + way.distanceNm, way.holdKt, way.speedKt, way.rates)[0];
  const [before, speed] = beforePush(way);
  return before + overDistance(way.pushNm, speed, way.pushToKt, way.rates)[0];
}

function stateAt(way, after) {
  const [before, pushFrom] = beforePush(way);
  if (after < before) {
    const [flown, speed] = inTime(after, way.holdKt, way.speedKt, way.rates);
    return { toGo: way.legNm + way.distanceNm - flown, speed };
  }
  const [flown, speed] = inTime(after - before, pushFrom, way.pushToKt, way.rates);
  return { toGo: Math.max(way.pushNm - flown, 0), speed };
}

function authorityAt(way, after, window) {
  const state = stateAt(way, after), planned = totalS(way) - after;
  const fastest = overDistance(state.toGo, state.speed, window.maximum, way.rates)[0];
  const slowest = overDistance(state.toGo, state.speed, window.minimum, way.rates)[0];
  const same = (seconds) => Math.max(Math.round(seconds * 1e9) / 1e9, 0);
  return { early: same(planned - fastest), late: same(slowest - planned) };
}

const SAME_KT = 1e-6;

// The one ground speed that arrives at the given time, null: none inside the window.
function speedToFly(way, after, slip, window) {
  const { toGo, speed } = stateAt(way, after), seconds = totalS(way) - after + slip;
  const rate = seconds > 0 ? signedRate(way.rates, speed, 3600 * toGo / seconds) : way.rates.up, end = speed + rate * seconds;
  const square = end * end - speed * speed - 7200 * rate * toGo;
  if (square < 0) return null;
  const found = rate > 0 ? end - Math.sqrt(square) : end + Math.sqrt(square);
  const inside = Math.min(Math.max(found, window.minimum), window.maximum);
  return Math.abs(found - inside) <= SAME_KT ? inside : null;
}

function lastMoment(authority, wanted, end) {
  let works = 0, fails = end;
  if (authority(works) < wanted) return null;
  while (fails - works > 1e-6) {
    const middle = (works + fails) / 2;
    if (authority(middle) >= wanted) works = middle; else fails = middle;
  }
  return works;
}

// ---------------------------------------------------------------- script.py: steps 1 to 11. A part is {cue, lasts, spread (or null), marks: [[id, offset]]}.

const HEARD_ERROR_S = 1, OVERDUE_DEVIATIONS = 2;
const sum = (numbers) => numbers.reduce((total, n) => total + n, 0);
const plannedTarget = (parts, begins) => begins + sum(parts.map((p) => p.lasts));
const rootSum = (spreads) => spreads.includes(null) ? null : Math.sqrt(sum(spreads.map((s) => s * s)));

const overdueAfter = (deadband, deviation) => Math.max(deadband, OVERDUE_DEVIATIONS * deviation);

const lastIsHeard = (parts, heard) => !parts.length || heard.some((id) => id === parts.at(-1).cue || parts.at(-1).marks.some(([mark]) => mark === id));

const isMark = (parts, id) => parts.some((part) => part.marks.some(([mark]) => mark === id));

// heard: [[id, at]] in the order of the notes; now null: nothing is overdue; ownTarget: T by somebody's own judgement, null: none; committed: the flight has left the hold; missing: what was listened for and not heard.
function predict(parts, begins, heard, now, deadband, ownTarget = null, committed = false, missing = []) {
  const anchor = anchorOf(parts, begins, new Map(heard)), part = parts[anchor.part], later = parts.slice(anchor.part + 1);
  const [pace, precision] = paceOf(part, anchor);
  const left = part.lasts - anchor.offset;
  const byScript = anchor.at + left * pace + sum(later.map((p) => p.lasts)), target = ownTarget === null ? byScript : ownTarget;
  const own = part.spread === null ? null : part.spread === 0 ? 0 : left / Math.sqrt(precision);
  const apart = own === null ? null : Math.max(own, apartS(part, anchor, pace, new Map(heard)));
  const deviation = ownTarget === null ? rootSum([apart, ...later.map((p) => p.spread)]) : null;
  const expected = expectedOf(parts, anchor, byScript, pace).map(([name, at]) => [name, at + target - byScript]);
  const after = new Map(cueDeviations(parts, anchor, own || 0).map(([cue, s]) => [cue, overdueAfter(deadband, s)]));
  const marks = new Map(markDeviations(part, anchor, own || 0).map(([mark, s]) => [mark, overdueAfter(deadband, s)]));
  const followed = [...missing, ...heard.map(([id]) => id)].some((id) => isMark(parts, id));
  if (followed) for (const [mark, most] of marks) after.set(mark, most);
  const lateBy = new Map(now === null ? [] : expected.map(([name, at]) => [name, now - at]));
  const allLate = [...lateBy.keys()].filter((name) => lateBy.get(name) > deadband + SAME_INSTANT_S);
  const awaited = allLate.filter((name) => after.has(name)), surely = awaited.filter((name) => lateBy.get(name) > after.get(name) + SAME_INSTANT_S);
  const overdue = committed ? awaited : surely, late = overdue.length ? lateBy.get(overdue[0]) : 0;
  const asked = followed || part !== parts.at(-1) ? [] : allLate.filter((name) => marks.has(name));
  return { target, slip: target - plannedTarget(parts, begins), deviation, pace, expected, overdue, late, awaited, sure: surely.length > 0, asked };
}

function anchorOf(parts, begins, heard) {
  let best = { part: 0, offset: 0, at: begins, cueHeard: null, heard: false };
  parts.forEach((part, i) => {
    const cueAt = heard.has(part.cue) ? heard.get(part.cue) : null;
    if (cueAt !== null) best = { part: i, offset: 0, at: cueAt, cueHeard: cueAt, heard: true };
    for (const [mark, offset] of marksOf(part)) {
      if (heard.has(mark)) best = { part: i, offset, at: heard.get(mark), cueHeard: cueAt, heard: true };
    }
  });
  return best;
}

function paceOf(part, anchor) {
  if (!part.spread) return [1, 0];
  const prior = (part.lasts / part.spread) ** 2;
  if (anchor.offset <= 0 || anchor.cueHeard === null || anchor.at <= anchor.cueHeard) return [1, prior];
  const heard = (anchor.offset / HEARD_ERROR_S) ** 2, heardPace = (anchor.at - anchor.cueHeard) / anchor.offset;
  return [(prior + heard * heardPace) / (prior + heard), prior + heard];
}

// How far the other notes of the anchor's part lie from where the anchor puts them.
function apartS(part, anchor, pace, heard) {
  const others = [[part.cue, 0], ...part.marks].filter(([name, offset]) => heard.has(name) && offset !== anchor.offset);
  const off = others.map(([name, offset]) => heard.get(name) - anchor.at - (offset - anchor.offset) * pace);
  return off.length ? Math.sqrt(sum(off.map((s) => s * s)) / off.length) : 0;
}

// [[cue or mark, when]] of everything after the anchor; of the first cue too when nothing was heard.
function expectedOf(parts, anchor, target, pace) {
  const part = parts[anchor.part], own = anchor.heard ? [] : [[part.cue, anchor.at]];
  for (const [mark, offset] of marksOf(part)) if (offset > anchor.offset) own.push([mark, anchor.at + (offset - anchor.offset) * pace]);
  parts.slice(anchor.part + 1).forEach((later, k) => {
    const begins = target - sum(parts.slice(anchor.part + 1 + k).map((p) => p.lasts));
    own.push([later.cue, begins], ...marksOf(later).map(([mark, offset]) => [mark, begins + offset]));
  });
  return own;
}

const marksOf = (part) => [...part.marks].sort((a, b) => a[1] - b[1]);

// [[cue still to come, one standard deviation of when it begins]].
function cueDeviations(parts, anchor, own) {
  const found = anchor.heard ? [] : [[parts[0].cue, parts[0].spread || 0]], spreads = [own];
  for (const part of parts.slice(anchor.part + 1)) {
    found.push([part.cue, rootSum(spreads)]);
    spreads.push(part.spread || 0);
  }
  return found;
}

// [[mark still to come of the part that is heard, one standard deviation of when it sounds]].
function markDeviations(part, anchor, own) {
  const coming = anchor.heard ? marksOf(part).filter(([, offset]) => offset > anchor.offset) : [];
  return coming.map(([mark, offset]) => [mark, own * (offset - anchor.offset) / (part.lasts - anchor.offset)]);
}

// ---------------------------------------------------------------- judge.py. Flying: {track, wait, way, window, leave, longest, abortOnly, deadband, since, apart, tolerance, speedsKnown, flyable}.

const SAME_SECOND_S = 0.5, SAME_INSTANT_S = 1e-3;
const ASK_REASON = "a change by speed was told already, and only the flight knows how it flies it";
const TOO_MUCH_REASON = "more than speed can do from here";
const UNKNOWN_REASON = "the mission lacks an acceleration, a minimum or a maximum speed, so what speed can do isn't known";
const beginsOf = (now) => now.since === null ? now.leave : now.since;
const targetOf = (now) => beginsOf(now) + totalS(now.way) + now.apart;
const OWN_SILENCE_REASON = "read back after the abort-only time of the new T";
const closesS = (now, change) => now.abortOnly === null ? null : targetOf(now) + now.abortOnly + Math.min(change, 0);
const abortOnlyAt = (now) => closesS(now, 0);
const ruling = (kind, rest) => ({ kind, until: null, reason: "", wait: null, row: false, rowUntil: null, oneMoreLap: null, early: null, late: null, short: 0, added: "", soonest: null, closed: false, once: "", ...rest });
const isClosed = (now, told, change = 0) => now.abortOnly !== null && told > closesS(now, change) + SAME_INSTANT_S;
const tooLong = (now, change) => now.longest !== null && now.leave + change > now.longest + SAME_SECOND_S;

function judge(now, change, told) {
  const closed = isClosed(now, told);
  if (Math.abs(change) < now.deadband || Math.abs(change) < SAME_SECOND_S) return ruling("no call", { closed });
  if (closed) return ruling("abort only", { until: abortOnlyAt(now) });
  return beforeItCloses(now, byItsMeans(now, change, told), change, told);
}

function byItsMeans(now, change, told) {
  if (!now.flyable) return ruling("unable", { reason: "the hold as planned can't be flown" });
  if (now.track === null || told > now.leave + SAME_S) return bySpeed(now, change, told);
  const hold = byHold(now, change, told);
  if (hold.kind === "new time") return hold;
  const speed = bySpeed(now, change, now.leave);
  if (speed.kind === "fast" || speed.kind === "slow") return { ...speed, reason: "speed after leave-hold gives it, the hold can't" };
  return speed.kind === "ask" && now.since !== null ? speed : hold;
}

// The ruling with no moment after the change is told no more; UNABLE once that is past.
function beforeItCloses(now, found, change, told) {
  const closes = closesS(now, change), clipped = (at) => at === null ? null : Math.min(at, closes);
  if (closes === null) return found;
  const until = clipped(found.until);
  if (found.kind === "unable" || !isClosed(now, told, change)) return { ...found, until, rowUntil: clipped(found.rowUntil) };
  return ruling("unable", { until, reason: OWN_SILENCE_REASON, early: found.early, late: found.late });
}

// While a cue is overdue: only the fact is ruled on. late: by how much T is later than the one held, or more.
const isCommitted = (now, told) => told > now.leave + SAME_S;
function judgeSilence(now, late, told, sure) {
  if (isClosed(now, told)) return ruling("abort only", { until: abortOnlyAt(now) });
  const left = leftBySpeed(now, told), lost = left.late !== null && late > left.late;
  if (isCommitted(now, told)) return ruling("not started", { added: lost || (left.late === null && sure) ? "no cue" : "", soonest: soonestBack(now, told), ...left });
  const soonest = soonestS(now, now.leave + late, told), holds = now.track !== null && lost;
  return ruling("not started", { until: now.leave, added: !holds ? "" : soonest !== null ? "hold" : "intentions", soonest, ...left });
}

// A flight that was told to hold is asked, but for a T that it can no longer reach.
const HOLDING_REASON = "it was told to hold, so only the flight knows which laps it flies";
const LEFT_REASON = "it left the hold without a true time, so only the flight knows which one it flies";
const STILL_HOLDING_REASON = "told to hold, it leaves the hold too late for it";
function judgeHolding(now, change, told) {
  const soonest = soonestS(now, told, told), early = leftBySpeed(now, now.leave).early ?? 0;
  if (soonest === null || targetOf(now) + change >= soonest - early - SAME_SECOND_S) return ruling("ask", { reason: HOLDING_REASON });
  return ruling("unable", { reason: STILL_HOLDING_REASON, soonest: soonest - early });
}
// A flight that was told to hold and has left the hold all the same; silent: a cue is overdue.
function judgeLeft(now, told, silent) {
  if (isClosed(now, told)) return ruling("abort only", { until: abortOnlyAt(now) });
  return silent ? ruling("not started", { added: "no cue", soonest: soonestBack(now, told) }) : ruling("ask", { reason: LEFT_REASON });
}

const toldToHold = (now, told) => isCommitted(now, told) ? { ...now, wait: null, back: backS(now, told) } : now;

// When a flight that turns back, having left the hold, can leave it again at the earliest; null without a hold.
function backS(now, told) {
  if (now.track === null) return null;
  const { way, track } = now, { toGo } = stateAt(way, Math.min(Math.max(told - beginsOf(now), 0), totalS(way)));
  return told + 360 / track.rate + 3600 * (way.legNm + way.distanceNm - toGo) / (track.gs - 2 * track.alongKt);
}

// The earliest T of a flight that returns to its hold.
function soonestBack(now, told) {
  const back = backS(now, told), early = leftBySpeed(now, now.leave).early ?? 0;
  return back === null ? null : targetOf(now) + back - now.leave - early;
}

// The earliest T of a flight that stays in the hold for at least so long; null: the hold can't be so long, or there is none.
function soonestS(now, atLeast, told) {
  if (now.track === null) return null;
  const wait = Math.max(atLeast, now.back ?? -Infinity); // sent back, it can't leave before it is there again
  const held = now.wait === null ? null : heldOn(now.track, now.wait, told), leaves = held === null ? wait : nextWait(now.track, held, wait, told);
  const past = leaves === null || (now.longest !== null && leaves > now.longest + SAME_SECOND_S);
  return past ? null : targetOf(now) + leaves - now.leave;
}

// While cue, the one that T hangs on, is not heard: a change by speed waits for it, or is UNABLE at once where speed no longer gives it then; known: read back if told then.
const BY_SPEED = ["fast", "slow", "ask"];
function judgeUnheard(now, change, told, cue, known) {
  const found = judge(now, change, told);
  if (!BY_SPEED.includes(found.kind)) return found;
  const then = onceHeard(now, change, Math.max(known, told)), left = { early: then.early, late: then.late, short: then.short, once: cue };
  if (BY_SPEED.includes(then.kind)) return ruling("wait", { ...left, reason: `a change by speed is told once ${cue} is heard` });
  const tooLate = `${cue} is heard too late for speed to give it`;
  if (now.track === null) return ruling("unable", { ...left, reason: tooLate });
  const hold = beforeItCloses(now, byHold(now, change, told), change, told);
  return ruling("unable", { ...left, until: hold.until, reason: `${hold.reason}, and ${tooLate}`, oneMoreLap: hold.oneMoreLap });
}

// A change by speed that is read back at that moment, or at leave-hold if that is later.
function onceHeard(now, change, known) {
  const told = Math.max(known, now.leave);
  return beforeItCloses(now, bySpeed(now, change, told), change, told);
}

// What speed still gives, told at a moment; null where that isn't known.
function leftBySpeed(now, told) {
  if (now.apart || !now.speedsKnown) return { early: null, late: null };
  return authorityAt(now.way, Math.min(Math.max(told - beginsOf(now), 0), totalS(now.way)), now.window);
}

function byHold(now, change, told) {
  if (now.wait === null) return ruling("unable", { reason: HOLDING_REASON });
  if (tooLong(now, change)) return ruling("unable", { reason: "the hold would be too long" });
  const until = metUntil(now.track, now.wait, change), found = replan(now.track, now.wait, change, told);
  if (found === null) {
    const reason = until !== null ? "told too late for the hold" : now.leave + change < 0 ? "the flight is not there in time" : "no whole number of laps gives it";
    const oneMoreLap = told > 0 && currentLap(now.wait, told) === null ? null : oneMoreLapS(now.track, now.wait.leg);
    return ruling("unable", { until, reason, oneMoreLap });
  }
  const row = slipAnswer(now.track, now.wait, change, until);
  if (row !== null && told <= row.rowUntil) return ruling("new time", { until, wait: row.plan, row: true, rowUntil: row.rowUntil });
  return ruling("new time", { until, wait: found });
}

// A change that neither laps nor speed give alone, in two calls (in_two.py): the part that the laps give first, so that the rest is one that is called
// and that speed gives. The one that leaves the smallest rest; null: none.
const LEAST_REST_S = 1;
function firstByLaps(now, change, told, { early, late }) {
  if (now.track === null || now.wait === null || !now.flyable || now.since !== null || isCommitted(now, told)) return null;
  for (let size = Math.ceil(Math.max(now.deadband, LEAST_REST_S)); size <= Math.max(early, late); size += 1) {
    for (const rest of [-size, size]) {
      if (-early <= rest && rest <= late && lapsGive(now, change - rest, told)) return change - rest;
    }
  }
  return null;
}

function lapsGive(now, first, told) {
  if (Math.abs(first) < Math.max(now.deadband, SAME_SECOND_S) || tooLong(now, first)) return false;
  return replan(now.track, now.wait, first, told) !== null;
}

function bySpeed(now, change, told) {
  if (told >= targetOf(now)) return ruling("unable", { reason: "the flight is over the centre" });
  const { early, late } = leftBySpeed(now, told);
  if (now.since !== null && now.speedsKnown && Math.abs(change) > mostBySpeed(now, told) + now.tolerance) {
    return ruling("unable", { reason: `${TOO_MUCH_REASON}, however it flies what was told` });
  }
  if (now.since !== null) return ruling("ask", { reason: ASK_REASON, early, late });
  if (early === null) return ruling("ask", { reason: UNKNOWN_REASON });
  const short = Math.max(Math.abs(change) - (change < 0 ? early : late), 0), until = speedUntil(now, change);
  if (!isWithin(now, short)) return ruling("unable", { until, reason: TOO_MUCH_REASON, early, late });
  return ruling(change < 0 ? "fast" : "slow", { until, early, late, short });
}

// At most until T, whatever the flight flies now.
function mostBySpeed(now, told) {
  const left = targetOf(now) - told, { way, window } = now;
  const slowest = Math.min(window.minimum, way.holdKt, way.speedKt), fastest = Math.max(window.maximum, way.holdKt, way.speedKt);
  return Math.min((way.rates.up + way.rates.down) * left ** 2 / 2, (fastest - slowest) * left) / slowest;
}

// What the roots of speed are worked out to, and more: a whole second at the end counts.
const HAIR_S = 1e-5;
const isWithin = (now, short) => short <= now.tolerance + HAIR_S;

// The last moment at which the change is met but for the tolerance.
function speedUntil(now, change) {
  const authority = (t) => { const left = authorityAt(now.way, t, now.window); return change < 0 ? left.early : left.late; };
  const after = lastMoment(authority, Math.max(Math.abs(change) - now.tolerance, 0), totalS(now.way));
  if (after === null) return now.track === null || now.wait === null || tooLong(now, change) ? null : metUntil(now.track, now.wait, change);
  return now.leave + after;
}

function afterCall(now, found, change, told) {
  if (found.kind === "new time") {
    return { ...now, wait: found.wait, leave: now.leave + change, since: now.since === null ? null : now.since + change };
  }
  return ["fast", "slow", "ask"].includes(found.kind) ? withSpeed(now, change, told) : now;
}

// The end of the window where it is off the change by no more than the tolerance; null: it is off by more.
function limitWithin(now, after, change) {
  const { way, window } = now, { early, late } = authorityAt(way, after, window);
  return isWithin(now, Math.abs(change) - (change < 0 ? early : late)) ? (change < 0 ? window.maximum : window.minimum) : null;
}

function withSpeed(now, change, told) {
  const { way } = now, after = Math.max(told - beginsOf(now), 0), { toGo, speed } = stateAt(way, after);
  const to = now.apart ? null : speedToFly(way, after, change, now.window) ?? limitWithin(now, after, change);
  if (to === null) return { ...now, since: beginsOf(now), apart: now.apart + change };
  const legNm = Math.max(toGo - way.distanceNm, 0);
  const chained = { legNm, holdKt: speed, distanceNm: toGo - legNm, speedKt: to, pushToKt: to, pushNm: 0, rates: way.rates };
  return { ...now, way: chained, since: beginsOf(now) + after };
}
