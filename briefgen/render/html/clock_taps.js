// Which cue is expected when, which one lies under the thumb, and which taps are doubted. No page elements here.
"use strict";

const EARLY_S = 5; // a tap is early by more than this and twice the spread of what goes before it: our default, no source
const OFF_PACE = 1 / 4, OFF_PACE_S = 3; // a mark is off the pace by more than both, and twice its part's spread in proportion: our default, no source

const cueIds = (data) => new Set(data.cues.map((cue) => cue.id));
const inOrder = (data) => data.cues.flatMap((cue) => [[cue.id, cue.at], ...cue.marks.map((mark) => [mark.id, mark.at])]);

// [[cue or mark, when]] of everything after what was heard furthest along: by the script, else as planned and moved by hand.
function expectedNow(data, view) {
  const { predicted } = view, moved = predicted.target - data.true_time, all = inOrder(data), heard = new Set(view.now.heard.map(([id]) => id));
  const furthest = all.reduce((last, [id], i) => heard.has(id) ? i : last, -1);
  const byScript = new Map(predicted.expected);
  return all.slice(furthest + 1).map(([id, at]) => [id, byScript.has(id) ? byScript.get(id) : at + moved]);
}

// The next to be tapped. The window of a mark ends half-way to what comes next, that of a cue half-way to the next cue: T hangs on cues, and the marks
// of one that has not been heard are not offered in its place. null: nothing is left.
function nextTap(data, view) {
  const list = expectedNow(data, view), cues = cueIds(data);
  let awaited = false; // a cue before it has not been heard
  for (const [i, [id, at]] of list.entries()) {
    const isCue = cues.has(id), after = list.slice(i + 1).find(([other]) => !isCue || cues.has(other));
    if (isCue) awaited = true;
    if ((isCue || !awaited) && !(after && view.at > (at + after[1]) / 2)) return id;
  }
  return null;
}

// What a tap may have meant instead, [] where it is believed. A late tap is believed; one that is early, out of the script's order or
// behind a cue that nobody has heard is asked about, and a mark that is off the pace.
function doubtsOf(data, view, id) {
  const list = expectedNow(data, view), cues = cueIds(data), place = list.findIndex(([other]) => other === id), next = nextTap(data, view);
  if (place < 0) return next === null ? [] : [next]; // before what was heard already, or that once more
  if (cues.has(next) && list.findIndex(([other]) => other === next) < place) return [next];
  const skipped = skippedBy(data, view, id);
  if (skipped.length) return skipped;
  if (view.at >= list[place][1] - earlyS(data, id) - SAME_INSTANT_S) return offPace(data, view, id) === null ? [] : [null];
  const nearest = list.slice(0, place).sort((a, b) => Math.abs(a[1] - view.at) - Math.abs(b[1] - view.at))[0];
  return [nearest ? nearest[0] : null];
}

// The cues before it that nobody has heard, each of which may sound late instead.
function skippedBy(data, view, id) {
  const ids = expectedNow(data, view).map(([other]) => other), cues = cueIds(data);
  return ids.slice(0, Math.max(ids.indexOf(id), 0)).filter((other) => cues.has(other));
}

// A mark that would change the pace so much that its tap, or that of its cue, may be a slip of the thumb: {cue, after, planned}; null: it would not.
function offPace(data, view, id) {
  const part = data.script === null ? undefined : data.script.parts.find((p) => p.marks.some(([mark]) => mark === id)), heard = new Map(view.now.heard);
  if (part === undefined || !heard.has(part.cue)) return null;
  const planned = new Map(part.marks).get(id), after = view.at - heard.get(part.cue), share = Math.max(OFF_PACE, 2 * (part.spread || 0) / part.lasts);
  const off = Math.abs(after - planned * view.predicted.pace) - Math.max(OFF_PACE_S, share * planned);
  return off > SAME_INSTANT_S ? { cue: part.cue, after: Math.round(after), planned: Math.round(planned) } : null;
}

// What is asked about a doubted tap.
function doubtWords({ id, others, off }) {
  if (others.length) return `${eitherOf([...others, id])}?`;
  return off ? `${id} ${durationText(off.after)} after ${off.cue}? By the script ${durationText(off.planned)}` : `${id} already?`;
}

// `SPEECH, PARADE or ANTHEM`.
const eitherOf = (ids) => [ids.slice(0, -1).join(", "), ids.at(-1)].filter((part) => part).join(" or ");

// A cue is as uncertain as the part before it, a mark as its own.
function earlyS(data, id) {
  const parts = data.script === null ? [] : data.script.parts, i = parts.findIndex((p) => p.cue === id);
  const part = i < 0 ? parts.find((p) => p.marks.some(([mark]) => mark === id)) : parts[Math.max(i - 1, 0)];
  return Math.max(EARLY_S, 2 * ((part && part.spread) || 0));
}

// The doubted tap that nobody has answered yet: {entry, index}; null: none.
function openDoubt(log) {
  const gone = undoneIn(log);
  for (let i = log.length - 1; i >= 0; i--) {
    if (gone.has(i) || !["tap", "heard", "mistake"].includes(log[i].k)) continue;
    return log[i].k === "tap" ? { entry: log[i], index: i } : null;
  }
  return null;
}

// Why a T by hand is not taken: sooner than the one held by no less than the dead-band it is past before it is told, or a flight still in the hold can't be there so soon and a cue
// that is not due yet would be called missing for it; "" where it is. As briefgen/retime/by_hand.py has it.
function handRefused(data, view, slip) {
  const { now, at } = view, told = at + data.relay_s, t = data.true_time + slip, z = (seconds, side) => limitClock(instantOf(data, seconds), side);
  if (!inHold(now) && at >= (now.leftFor ?? now.held) - SAME_INSTANT_S) return ""; // T has passed: none is taken
  const off = inHold(now) ? Math.abs(t - now.held) : now.held - t;
  if (off < Math.max(now.flying.deadband, SAME_SECOND_S)) return "";
  if (t <= told + SAME_INSTANT_S) return `No T up to ${z(told, "latest")} is taken: it is past before it can be told.`;
  const { early } = leftBySpeed(now.flying, now.flying.leave), isOverdue = (hand) => predictedNow(data, { ...now, hand }, at).overdue.length > 0;
  if (early === null || isCommitted(now.flying, inFlight(now, told)) || !isOverdue(slip) || isOverdue(null)) return "";
  const soonest = told + targetOf(now.flying) - now.flying.leave - early;
  return t < soonest - SAME_SECOND_S ? `No T before ${z(soonest, "earliest")} is taken: the flight can't be there sooner.` : "";
}

// What stands on a button that has not been tapped: when it is expected, or, behind a cue that is overdue, how long after it.
function expectedText(data, view, id) {
  const list = expectedNow(data, view), found = list.find(([other]) => other === id), [overdue] = view.predicted.overdue;
  if (found === undefined) return "not heard";
  const words = `${found[1] < view.at ? "was expected" : "expected"} ${clockText(instantOf(data, found[1]))} Z`;
  if (!overdue) return words;
  if (view.predicted.overdue.includes(id)) return `${words}, OVERDUE`;
  return `${durationText(found[1] - list.find(([other]) => other === overdue)[1])} after ${overdue}`;
}
