// What the page knows at a moment: everything follows from the log, which only grows (undo adds an entry), so a reload loses nothing. No page
// elements here. Entries are {k, t, ...}: t is the true time in milliseconds, by the clock as set when it was written.
"use strict";

const STATION_SLACK_S = 30, LEFT_SLACK_S = 10; // further from the plan than this, the plan's figures are not taken as flown

// The data of the page with the laps worked out once.
function prepared(data) {
  const flying = { ...data.flying };
  if (flying.wait !== null) flying.wait = planWait(flying.track, flying.wait.wait, flying.wait.arrival, flying.wait.leg);
  return { ...data, flying };
}

// The data of a pass that is flown so much later, since the pass whose T it follows was moved: what others fix by the clock stays.
function followed(data, shift) {
  if (shift === 0) return data;
  const fixed = (entry) => entry === null ? null : { ...entry, at: entry.at - shift }, moved = (time) => time === null || time.moves ? time : fixed(time);
  const stretch = (hole) => ({ ...fixed(hole), to: hole.to - shift, first: hole.first - shift, last: hole.last - shift });
  const waits = { ...data.waits, limits: data.waits.limits.map(fixed), earliest: data.waits.earliest.map(fixed), between: data.waits.between.map(stretch), latest: fixed(data.waits.latest) };
  const parties = data.parties.map((party) => ({ ...party, start: moved(party.start), end: moved(party.end), held: party.held === null ? null : party.held - shift }));
  const accept = data.accept === null ? null : { early: Math.max(data.accept.early + shift, 0), late: Math.max(data.accept.late - shift, 0) };
  const home = data.home === null ? null : data.home - shift;
  return { ...data, origin_ms: data.origin_ms + shift * 1000, home, waits, parties, accept };
}

const secondsOf = (data, ms) => (ms - data.origin_ms) / 1000;
const instantOf = (data, seconds) => data.origin_ms + seconds * 1000;

// The places of the entries that were taken back.
const undoneIn = (log) => new Set(log.filter((e) => e.k === "undo").map((e) => e.of));

function liveEntries(log) {
  const gone = undoneIn(log);
  return log.filter((e, i) => e.k !== "undo" && !gone.has(i));
}

// The entry that UNDO would take back: the last tap that is not taken back yet. null: none.
function undoable(log) {
  const gone = undoneIn(log);
  for (let i = log.length - 1; i >= 0; i--) if (log[i].k !== "undo" && log[i].k !== "note" && !gone.has(i)) return i;
  return null;
}

// Reads the log from the start: what was heard, where the flight is, what it holds, what it was told.
function replay(data, log) {
  const now = { flying: data.flying, held: data.true_time, heard: [], missing: [], hack: null, stationAt: null, leftAt: null, hand: null, aborted: null, abortHeard: null, holding: false, leftFor: null, sent: null, pending: null, told: null, late: null, asking: null, answers: [], parties: new Map() };
  for (const entry of liveEntries(log)) {
    if (entry.k === "hack") now.hack = entry;
    else if (entry.k === "station") now.stationAt = secondsOf(data, entry.t);
    else if (entry.k === "left") leftNow(data, now, secondsOf(data, entry.t));
    else if (entry.k === "heard") now.heard.push([entry.id, secondsOf(data, entry.t)]);
    else if (entry.k === "unheard") now.missing.push(entry.id);
    else if (entry.k === "hand") now.hand = entry.slip;
    else if (entry.k === "abort") now.aborted = entry;
    else if (entry.k === "abortheard") now.abortHeard = entry;
    else if (entry.k === "party") now.parties.set(entry.who, entry.held);
    else if (entry.k === "asked") now.asking = entry;
    else if (entry.k === "agreed" || entry.k === "refused") answeredNow(now, entry);
    else if (entry.k === "said") saidNow(now, entry);
    else if (entry.k === "readback" && now.pending !== null) readBackNow(data, now, entry);
    else if (entry.k === "notread" && now.pending !== null) { now.told = { said: now.pending, readAt: null, refused: true, late: false }; now.pending = now.late = null; }
  }
  return now;
}

// Told to hold it has no T: leftFor is then the one that its leaving would make, flown as planned, and only asked about.
function leftNow(data, now, at) {
  now.leftAt = at;
  if (!now.holding) return;
  now.flying = heldUntil(data, data.true_time + at - data.flying.leave);
  now.leftFor = secondsOf(data, wholeSecond(instantOf(data, targetOf(now.flying))));
}

const inHold = (now) => now.holding && now.leftFor === null;

function answeredNow(now, entry) {
  if (now.asking !== null) now.answers.push({ t: entry.t, target: now.asking.target, side: now.asking.side, agreed: entry.k === "agreed" });
  now.asking = null;
}

function saidNow(now, entry) {
  const wantsReadBack = entry.readBack !== "";
  now.pending = wantsReadBack ? entry : null;
  now.told = { said: entry, readAt: null, refused: false, late: false };
}

// NOT STARTED with what is added, read back: in the hold with laps that nobody here knows, until a time is accepted; or on its way home, or to the next pass.
function silenceReadBack(data, now, entry) {
  const said = now.pending;
  if (GIVEN_UP.includes(said.then)) now.sent = { t: entry.t, then: said.then };
  else Object.assign(now, { holding: true, flying: toldToHold(now.flying, inFlight(now, secondsOf(data, entry.t))), leftAt: null, leftFor: null });
  now.told = { said, readAt: entry.t, refused: false, late: false };
  now.pending = now.late = null;
}

// A flight that was told to hold flies as planned from leave-hold on for this T, after laps that nobody here knows.
function heldUntil(data, target) {
  return { ...data.flying, leave: data.flying.leave + target - data.true_time, wait: null, flyable: true };
}

// What a flight that was told to hold flies for the T that it has accepted; having left, in a way that only it knows where that is not the plan's.
function acceptedFlying(data, { flying, leftFor }, target) {
  if (leftFor === null || Math.abs(target - leftFor) < SAME_SECOND_S) return heldUntil(data, target);
  return { ...flying, since: flying.leave, apart: target - targetOf(flying) };
}

// Read back: from then on the flight flies it. Read back after its last moment it holds no new time until it has said that it flies it; how it does
// is not known then.
function readBackNow(data, now, entry) {
  const said = now.pending, at = inFlight(now, secondsOf(data, entry.t));
  if (said.kind === "not started") { silenceReadBack(data, now, entry); return; }
  const found = said.kind === "ask" ? ruling("ask") : judge(now.flying, said.change, at);
  const met = ["new time", "fast", "slow", "ask"].includes(found.kind);
  now.pending = null;
  now.told = { said, readAt: entry.t, refused: false, late: !met };
  if (!met) { now.late = said; return; }
  if (now.holding) now.flying = acceptedFlying(data, now, now.held + said.change);
  else if (now.late === null) now.flying = afterCall(now.flying, found, said.change, at);
  else if (now.late.kind === "new time") now.flying = { ...afterCall(now.flying, ruling("new time"), said.change, at), wait: null };
  else now.flying = { ...now.flying, since: beginsOf(now.flying), apart: now.flying.apart + said.change };
  now.held += said.change;
  now.holding = false;
  now.leftFor = null;
  now.late = null;
}

// The last moment of the read-back that is waited for: of the ruling that the words were said on, else the abort-only moment, or T.
function readBackBy(data, now) {
  const said = now.pending, told = inFlight(now, secondsOf(data, Math.floor(said.t / 1000) * 1000) + data.relay_s), end = abortOnlyAt(now.flying) ?? now.leftFor ?? now.held;
  if (said.kind === "ask") return inHold(now) ? end + said.change : now.leftFor !== null ? end : closesS(now.flying, said.change) ?? end;
  if (said.kind === "not started") return now.holding || isCommitted(now.flying, told) ? end : now.flying.leave;
  return judge(now.flying, said.change, told).until ?? end;
}

// What was not read back in time counts as not told, and is said again or not as the moment has it; a read-back that still comes is taken.
function nowAt(data, log, at) {
  const now = replay(data, log), by = now.pending === null ? null : readBackBy(data, now);
  return by === null || at <= by + SAME_INSTANT_S ? { ...now, by, lapsed: null } : { ...now, pending: null, by, lapsed: now.pending };
}

// Once it was seen to leave the hold, nothing is told to a flight in the hold.
function inFlight(now, told) {
  return now.leftAt === null ? told : Math.max(told, now.flying.leave + 2 * SAME_S);
}

// T as the ceremony now gives it: by hand when it was moved by hand, else by the script, else as planned. A hand moves the cues with it, but hides none.
function predictedNow(data, now, at) {
  const own = now.hand === null ? null : data.true_time + now.hand, by = own === null ? "script" : "hand";
  if (data.script === null) return { target: own ?? data.true_time, deviation: null, expected: [], overdue: [], late: 0, awaited: [], sure: false, asked: [], by: own === null ? "plan" : by };
  const committed = !inHold(now) && isCommitted(now.flying, inFlight(now, at + data.relay_s));
  const withOwn = (t) => predict(data.script.parts, data.script.begins, now.heard, at, data.flying.deadband, t, committed, now.missing), found = withOwn(own);
  return { ...(committed && own !== null && !found.overdue.length ? notPutOff(now, found, withOwn) : found), by };
}

// As briefgen/retime/heard.py has it: of a flight that has left the hold a later T by hand puts off no cue that is overdue by the script and by the T held.
function notPutOff(now, byOwn, withOwn) {
  const script = withOwn(null), found = script.target < now.held ? withOwn(now.held) : script;
  return found.overdue.length && found.target < byOwn.target ? found : byOwn;
}

// The change that would be called: inside the dead-band as predicted, else to the whole second that is read out.
function askedChange(data, now, target) {
  const exact = target - now.held;
  if (Math.abs(exact) < now.flying.deadband) return exact;
  return (wholeSecond(instantOf(data, target)) - instantOf(data, now.held)) / 1000;
}

const LATE_REASON = "it read that back after the last moment, so only the flight knows whether it flies it";

// No time and no speed is proposed on a cue that nobody has heard, nor while a tap is doubted. Parts: [] without a script.
function rulingNow(data, now, at, predicted, change) {
  const parts = data.script === null ? [] : data.script.parts, heard = lastIsHeard(parts, now.heard.map(([id]) => id));
  const silent = predicted.overdue.length > 0, told = inFlight(now, at + data.relay_s);
  if (now.leftFor !== null) return at >= now.leftFor - SAME_INSTANT_S ? ruling("over") : withinLimits(data, judgeLeft(now.flying, told, silent), now.held);
  if (now.holding) return silent ? whileHolding(data, predicted.target + predicted.late, told) : judgeHolding(now.flying, change, told);
  if (at >= now.held - SAME_INSTANT_S) return ruling("over");
  if (silent) {
    const target = predicted.target + predicted.late, late = target - now.held;
    return withinLimits(data, judgeSilence(now.flying, late, told, predicted.sure), target);
  }
  if (now.late !== null) return isClosed(now.flying, told, now.late.change) ? ruling("abort only", { until: closesS(now.flying, now.late.change) }) : ruling("ask", { reason: LATE_REASON });
  if (heard) return judge(now.flying, change, told);
  const { cue } = parts.at(-1);
  return judgeUnheard(now.flying, change, told, cue, new Map(predicted.expected).get(cue) + data.relay_s);
}

// What of a change the laps give first, as briefgen/retime/answer.py has it; null: none.
function lapsFirst(data, now, at, change) {
  if (now.holding || now.late !== null || !data.flying.speedsKnown) return null;
  const parts = data.script === null ? [] : data.script.parts, heard = lastIsHeard(parts, now.heard.map(([id]) => id));
  const left = heard ? authorityAt(now.flying.way, 0, now.flying.window) : data.flying.onceHeard;
  const first = firstByLaps(now.flying, change, inFlight(now, at + data.relay_s), left);
  return first === null || [first, change].some((c) => beyondLimit(data, now.held + c) !== null) ? null : first;
}

// Everything the page shows at a moment. It is judged at the whole second that the clock shows, as everything that is printed is.
function viewAt(data, log, nowMs) {
  const at = secondsOf(data, Math.floor(nowMs / 1000) * 1000), now = nowAt(data, log, at), predicted = predictedNow(data, now, at);
  const whole = predicted.overdue.length ? 0 : now.leftFor !== null ? now.leftFor - now.held : now.late !== null ? now.late.change : askedChange(data, now, predicted.target);
  const doubt = openDoubt(log), asIs = doubt !== null && now.pending === null ? ruling("doubt") : rulingNow(data, now, at, predicted, whole);
  const part = asIs.kind === "unable" && asIs.until === null ? lapsFirst(data, now, at, whole) : null, change = part ?? whole;
  const found = part === null ? asIs : rulingNow(data, now, at, predicted, change);
  const newMs = instantOf(data, now.held + change), heldMs = instantOf(data, now.held), barrier = barrierOf(data, now, found, { change, predicted });
  const first = mustAsk(barrier) ? barrier : null, lap = lapLimit(data, now, found); // first: what is asked before anything is told
  const asked = first !== null && first.state !== "question" ? callAskFirst(data, first, heldMs, change) : null;
  return {
    now, at, predicted, change, rest: whole - change, doubt, ruling: found, newMs, heldMs, barrier, first, lapLimit: lap, question: asked !== null,
    call: asked || callFor(data, now, found, { change, newMs, price: lap === null ? found.oneMoreLap : null, cue: predicted.overdue[0] }),
    condition: conditionOf(data, now, at), outside: outsideAccepted(data, now, change),
  };
}

// A flight that was told to hold, or read back too late, is asked for the time and not for seconds.
const asksForTime = (now) => now.holding || now.late !== null;

function callFor(data, now, found, { change, newMs, price, cue }) {
  if (found.kind === "not started") return callNotStarted(data, cue, found.added, data.no_cue, isMark(data.script.parts, cue));
  if (found.kind === "new time") return callNewTime(data, instantOf(data, now.held), newMs);
  if (found.kind === "fast" || found.kind === "slow") return callSeconds(data, change);
  if (found.kind === "unable") return callUnable(data, change, price);
  if (found.kind === "ask" && now.leftFor !== null) return callAskWhich(data, newMs);
  if (found.kind === "ask" && asksForTime(now)) return callAskTime(data, instantOf(data, now.held), newMs);
  if (found.kind === "ask") return callAsk(data, change, now.flying.since !== null);
  return { say: "", readBack: "" };
}

// What the verdict stands on while the flight has not been seen to do as planned; "" when it has.
function conditionOf(data, now, at) {
  if (now.leftFor !== null) return `TOLD TO HOLD, LEFT AT ${runningText(instantOf(data, now.leftAt))} Z: it has no true time`;
  if (now.holding) return "TOLD TO HOLD: which laps it flies is not known here";
  if (!now.flying.hasHold) return "";
  const arrived = now.stationAt, left = now.leftAt, leave = now.flying.leave;
  if (left !== null) return Math.abs(left - leave) <= LEFT_SLACK_S ? "" : `It left the hold ${asPlannedText(left - leave)}: these figures are the plan's`;
  if (at >= leave) return "IF IT LEFT THE HOLD AS PLANNED";
  if (at + data.relay_s > leave + SAME_S) return "IT LEAVES THE HOLD BEFORE IT HAS READ BACK";
  if (arrived === null) return "IF HOLDING AS PLANNED";
  return Math.abs(arrived) <= STATION_SLACK_S ? "" : `On station ${asPlannedText(arrived)}: IF HOLDING AS PLANNED`;
}

const asPlannedText = (off) => `${durationText(Math.abs(off))} ${off > 0 ? "later" : "earlier"} than planned`;

function outsideAccepted(data, now, change) {
  const total = now.held - data.true_time + change;
  return data.accept !== null && (total < -data.accept.early || total > data.accept.late);
}

// ---------------------------------------------------------------- the log as text, to be copied out

const phoneText = (slow) => Math.abs(slow) < 0.05 ? "the phone agreed" : `the phone was ${Math.abs(slow).toFixed(1)} s ${slow > 0 ? "slow" : "fast"}`;

const ENTRY_WORDS = {
  hack: (e) => `Clock set by hack at ${runningText(e.stated)} Z; ${phoneText(e.error / 1000)}`,
  station: () => "Flight on station", left: () => "Flight left the hold",
  heard: (e) => `Heard ${e.id}`, unheard: (e) => `NOT heard: ${e.id}`, tap: (e) => `Tapped ${e.id}: doubted`, mistake: () => "That tap was a mistake",
  hand: (e) => e.slip !== null ? `True time moved by hand to ${ofPlan(e.slip)}` : e.by !== "plan" ? "True time follows the script again" : "True time as planned again",
  party: (e) => `${e.who} acknowledges ${runningText(e.held)} Z`,
  asked: (e) => `ASKED: ${e.say}`, agreed: () => "The flight accepts", refused: () => "The flight does NOT accept",
  said: (e) => `SAID: ${e.say}`, readback: () => "Read back correctly", notread: () => "NOT read back", abort: (e) => `ABORT SAID: ${e.words}`,
  abortheard: () => "ABORT HEARD by the flight",
  undo: () => "Undone: the entry before", flown: () => "Told: this pass is flown all the same", note: (e) => e.words,
};

function ofPlan(slip) {
  const off = Math.round(slip);
  return `${off >= 0 ? "+" : ""}${off} s of the plan`;
}

function logLines(log) {
  const gone = undoneIn(log);
  return log.map((entry, i) => {
    const words = entry.k === "undo" ? `Undone: ${ENTRY_WORDS[log[entry.of].k](log[entry.of])}` : ENTRY_WORDS[entry.k](entry);
    return `${runningText(entry.t)} Z  ${gone.has(i) ? "[undone] " : ""}${words}`;
  });
}

function logText(data, log) {
  const head = `${[...new Set([data.mission, data.event])].join(", ")}, ${data.date}. Ground contact's log, times by the clock as set. Plan ${data.fingerprint}, cards read ${data.spoken}.`;
  return [head, ...logLines(log)].join("\n") + "\n";
}
