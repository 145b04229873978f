// The verdict as it is shown: its title and colour, what is said or asked, its limits, and which button is under it.
"use strict";

const KINDS = {
  "no call": ["NO CALL NEEDED", "good"], "new time": ["CALL: NEW TRUE TIME", "call"], fast: ["CALL: FAST", "call"], slow: ["CALL: SLOW", "call"],
  ask: ["ASK THE FLIGHT", "call"], unable: ["UNABLE", "bad"], "abort only": ["TOO LATE TO TELL A TIME", "bad"], over: ["THE TRUE TIME HAS PASSED", "good"], "not started": ["OVERDUE", "bad"],
  wait: ["WAIT", ""], doubt: ["ANSWER THE QUESTION BELOW", "call"],
};

// An answer is waited for until the flight takes in nothing else any more.
const waitsForAnswer = (view) => view.now.asking !== null && view.now.pending === null && !view.ruling.closed && !["abort only", "over"].includes(view.ruling.kind);

function titleOf(view) {
  const { now, ruling: found, barrier } = view;
  if (now.aborted) return ["ABORT WAS SAID", "bad"];
  if (now.pending) return ["WAIT FOR READ-BACK", "call"];
  if (waitsForAnswer(view)) return ["WAIT FOR THE ANSWER", "call"];
  if (now.sent) return [now.sent.then === "go home" ? "SENT HOME" : `SENT ON TO ${data.no_cue.to}`, "bad"];
  if (view.stopped) return [`NOT FLOWN: ${view.stopped.home ? "SENT HOME" : "ABORT"} BEFORE`, "bad"];
  if (found.kind === "doubt") return KINDS.doubt;
  if (found.kind === "not started") return [`OVERDUE: ${view.predicted.overdue[0]}${barrier ? ". T CANNOT BE HELD" : ""}`, "bad"];
  if (found.kind === "over" && (view.predicted.overdue.length || now.leftFor !== null)) return [KINDS.over[0], "bad"]; // nobody has heard what it was flown for
  if (view.first) return [askTitle(view.first), "bad"]; // it could be flown, but a limit of the event or of the fuel lies before it
  if (found.kind === "unable" && barrier) return [unableTitle(barrier), "bad"];
  if (found.kind === "wait") return [`WAIT FOR ${lastCue()}`, ""];
  if (found.kind === "no call" && view.predicted.awaited.length) return [`NO CALL YET: ${view.predicted.awaited[0]} IS LATE`, ""]; // not green while it is awaited
  if (asksForMark(view)) return [`NO CALL YET: WAS ${view.predicted.asked[0]} HEARD?`, ""];
  if (found.kind === "no call" && now.hack === null) return ["SET THE CLOCK FIRST", ""]; // by the phone's time nobody knows it
  return barrier && found.kind === "no call" ? [KINDS[found.kind][0], ""] : KINDS[found.kind]; // beyond a limit never green
}

// As the card's row has it, which is beyond a limit of the event.
const unableTitle = ({ limit: { side } }) => side === "between" ? "UNABLE" : `TOO ${side === "later" ? "LATE" : "EARLY"}, UNABLE`;

// No mark was ever tapped, and one is late: no cue comes after it that would tell of a ceremony that stopped.
const asksForMark = ({ predicted, ruling: found }) => found.kind === "no call" && predicted.asked.length > 0;

const lastCue = () => data.script.parts.at(-1).cue;

function sayText(view, only) {
  const { pending, asking, aborted } = view.now;
  if (isOver(view)) return aborted ? aborted.words : "";
  if (pending) return pending.say;
  if (waitsForAnswer(view)) return `Ask: ${asking.say}`;
  return only || view.ruling.kind === "over" ? "" : (view.question ? "Ask: " : "") + view.call.say;
}

// Nothing is proposed any more: the pass was stopped, or the flight was sent home or on, on this pass or before it.
const isOver = (view) => view.now.aborted !== null || view.now.sent !== null || Boolean(view.stopped);

// What becomes of the later passes, and who is told: going home ends them all, an abort as the mission has it.
function laterText({ now }) {
  if (data.later.length === 0) return "No later pass is planned.";
  if (now.sent === null ? now.aborted !== null && data.then === "next pass" : now.sent.then === "next pass") return `Next, unless the flight says otherwise: ${data.later[0].name}${nextText()}.`;
  return data.later.map(({ name, tell }) => `${name} is not flown either, unless the flight says otherwise.${tell ? ` Tell ${tell}.` : ""}`).join(" ");
}

// `, T−18:59 to 15:43:00 Z`.
function nextText() {
  const ms = nextMs();
  return ms === null ? "" : `, ${countText(Math.ceil((ms - trueNow()) / 1000 - SAME_INSTANT_S))} to ${z(ms)}`;
}

function showEnded(view) {
  const { aborted, abortHeard, sent } = view.now, entry = aborted || sent, before = entry ? null : view.stopped;
  $("verdict").className = "verdict bad ended";
  text("figures", before ? `${stoppedText(before)} ${data.name} is not flown unless the flight says otherwise.` : `${aborted ? "Said at" : "Read back at"} ${runningText(entry.t)} Z.`);
  text("say", aborted ? aborted.words : "");
  text("heard", !aborted ? "" : abortHeard ? `Heard: the flight answered ${runningText(abortHeard.t)} Z.` : `HEARD? Until the flight answers, say it again. Backup: ${data.abort_backup}.`);
  text("until", [laterText(view), ...data.parties.map((party) => `Tell ${party.words}.`)].join(" "));
  for (const id of ["condition", "limit", "back"]) text(id, "");
  for (const id of ["said", "readback", "notread", "agreed", "refused", "unheard", "abort-only"]) visible(id, false);
  visible("flown", before !== null);
  visible("abort-heard", aborted !== null && abortHeard === null);
  visible("take-back", takingBack);
}

const sentText = ({ then }) => `The flight was sent ${then === "go home" ? "home" : `on to ${data.no_cue.to}`}`;
const stoppedText = ({ name, home, t }) => `${name}: ${home ? "sent home, read back" : "ABORT said"} ${runningText(t)} Z.`;

// What to do now stands over the page wherever it is scrolled to.
function showHeadline(view) {
  const [title, cls] = titleOf(view);
  $("now").className = `now ${cls}`;
  phrases("kind", title);
  text("kind-by", headlineBy(view));
}

// By when it is to be said, or who is still to be told.
function headlineBy(view) {
  const { ruling: found, now } = view;
  if (now.pending && !isOver(view)) return `read back by ${limitClock(instantOf(data, now.by), "latest")}`;
  if (isOver(view) || waitsForAnswer(view) || view.first) return "";
  if (["new time", "fast", "slow", "not started"].includes(found.kind) && found.until !== null) return `say by ${limitClock(instantOf(data, found.until) - data.relay_s * 1000, "latest")}`;
  const others = othersToTell(view);
  return found.kind === "no call" && others.length ? `TELL ${others.map((party) => party.who).join(", ")}` : "";
}

// ---------------------------------------------------------------- the words under the thumb

const CHANGED_MS = 700; // a thumb that was on its way when the words changed: our default, no source
let words = { say: "", since: 0, replaced: false }, asksAgain = false;

function keepWords(say) {
  if (say === words.say) return;
  words = { say, since: steadyNow(), replaced: words.say !== "" };
}

// Whether the tap was meant for words that no longer stand there.
const wordsChanged = (view) => view.call.say !== words.say || view.call.say === "" || (words.replaced && steadyNow() - words.since < CHANGED_MS);

function showVerdict(view) {
  if (isOver(view)) { showEnded(view); return; }
  text("heard", "");
  for (const id of ["abort-heard", "take-back", "flown"]) visible(id, false);
  const { now, ruling: found } = view, { pending } = now, waits = waitsForAnswer(view), [, cls] = titleOf(view);
  const only = !pending && found.kind === "abort only", still = pending || waits;
  $("verdict").className = `verdict ${cls}${only ? " only" : ""}${still ? " still" : ""}${!pending && limitText(view) ? " limited" : ""}`;
  text("condition", found.kind === "over" ? "" : view.condition);
  text("figures", figuresText(view));
  text("say", sayText(view, only));
  text("limit", pending ? "" : limitText(view));
  text("until", pending ? `Read back by ${limitClock(instantOf(data, now.by), "latest")}: later it counts as not told.` : waits ? "" : only ? onlyAbortText(view) : untilText(view));
  text("back", pending ? `Expect: ${pending.readBack}` : waits ? "" : view.call.readBack ? `Expect: ${view.call.readBack}` : "");
  keepWords(view.call.say);
  text("said-words", asksAgain ? "THE WORDS CHANGED: READ THEM, TAP AGAIN" : view.question ? "I ASK THIS NOW" : "I SAY THIS NOW");
  visible("said", !still && !only && view.call.say !== "" && found.kind !== "over");
  for (const id of ["readback", "notread"]) visible(id, pending !== null || (now.lapsed !== null && !waits));
  visible("agreed", waits);
  visible("refused", waits);
  visible("unheard", !still && asksForMark(view));
  visible("abort-only", only && data.abort !== null);
  text("abort-words", data.abort ? data.abort.words : "");
}

const overText = ({ heldMs, now: { leftFor } }) => leftFor === null ? `The flight held ${z(heldMs)}.` : `The flight had no true time; flown as planned from the hold it was over the centre ${z(instantOf(data, leftFor))}.`;

const asPlanned = () => shift === 0 ? " as planned" : ", moved with the pass before";

function figuresText(view) {
  const { predicted, ruling: found } = view;
  if (found.kind === "doubt") return "";
  if (found.kind === "over") return `${overText(view)}${predicted.overdue.length ? ` ${predicted.overdue[0]} was not heard.` : ""}`;
  if (predicted.overdue.length) return silenceText(view);
  const source = { hand: " moved by hand", plan: asPlanned(), script: view.now.heard.length ? " by the script" : asPlanned() }[predicted.by];
  const spread = predicted.deviation === null || !view.now.heard.length ? "" : `, give or take ${Math.round(Math.max(predicted.deviation, HEARD_ERROR_S))} s`;
  const { pending, leftFor } = view.now, off = predicted.target - (leftFor ?? view.now.held + (pending ? pending.change : 0));
  const than = leftFor !== null ? "leaving the hold would make" : pending ? "you are telling" : view.now.holding ? "it held before HOLD" : "the flight holds";
  const size = Math.abs(off) < 0.05 ? `the time ${than}` : `${sizeText(Math.abs(off))} ${off > 0 ? "later" : "earlier"} than ${than}`;
  return `True time${source}: ${z(instantOf(data, predicted.target))}${spread}; ${size}.${asksForMark(view) ? ` ${markText(predicted)}` : ""}`;
}

function markText({ asked: [mark], expected }) {
  return `${mark} was expected ${z(instantOf(data, new Map(expected).get(mark)))}, and nobody has tapped it. Is ${lastCue()} still running? Tap the next mark as it sounds; if you listened and did not hear ${mark}: NOT HEARD.`;
}

// Which cue nobody has heard, and since when.
function silenceText(view) {
  const [cue] = view.predicted.overdue, due = new Map(view.predicted.expected).get(cue);
  return `${cue} was expected ${z(instantOf(data, due))}, ${durationText(view.predicted.late)} ago. Nobody has heard it, so there is no time and no speed to tell. ${isMark(data.script.parts, cue) ? "If it sounds now, tap it; if it was only missed, and the part runs on, say nothing" : "If it was heard, tap it"}.`;
}

// Never more than there is: to the tenth below.
const reachText = (seconds) => `${(Math.floor(seconds * 10 + 1e-6) / 10).toFixed(1)} s`;

// As briefgen/brief/wording/spoken.py has it.
const offText = (change, short) => `${change < 0 ? "late" : "early"} by ${(Math.ceil(short * 10 - 1e-6) / 10).toFixed(1)} s, inside the tolerance`;

function silenceUntil(view) {
  const { ruling: found } = view, until = instantOf(data, found.until ?? 0), briefed = GIVEN_UP.includes(found.added) ? `${data.no_cue.given_up_words}.` : `briefed for it: ${data.no_cue.words}.`;
  const gives = found.late === null || inHold(view.now) ? "" : ` Speed still gives ${reachText(found.late)} later.`;
  if (found.until !== null) return `Say it by ${limitClock(until - data.relay_s * 1000, "latest")}: it ${data.flying.hasHold ? `leaves the hold ${z(until)} unless told HOLD` : `is at the IP ${z(until)}`}. Once it has ${data.flying.hasHold ? "left" : "passed it"}, ${briefed}${gives}`;
  if (inHold(view.now)) return `${GIVEN_UP.includes(found.added) ? `No T can follow any more: it goes ${found.added === "go home" ? "home" : `on to ${data.no_cue.to}`}. ` : ""}${data.home === null ? "" : `${data.home_then === "go home" ? "HOME" : "ON"} FROM HOLD ${limitClock(instantOf(data, data.home), "latest")}.`}`;
  return ["no cue", ...GIVEN_UP].includes(found.added) || gives === "" ? capital(briefed) + gives : `The fact alone.${gives} Later than that, ${briefed}`;
}

// To a tenth where a tenth can matter to the dead-band.
const sizeText = (off) => off >= 60 || Math.abs(off - Math.round(off)) < 0.05 ? durationText(off) : `${off.toFixed(1)} s`;

// As briefgen/retime/answer.py has it; null: not by the hold.
function lapsOf({ now, ruling: found, change }) {
  if (found.kind !== "new time") return null;
  if (now.flying.wait !== data.flying.wait) return "worked again"; // the rows are of the plan
  return !data.printed.some((slip) => Math.abs(slip - change) < SAME_INSTANT_S) ? "worked out" : found.row ? "as printed" : "worked again";
}

function untilText(view) {
  const { ruling: found } = view, parts = [];
  if (found.kind === "not started") return silenceUntil(view);
  if (view.rest) parts.push(`In two calls: the laps first; then ${view.rest < 0 ? "fast" : "slow"} ${durationText(Math.abs(view.rest))}${data.script === null ? ", after leave-hold" : `, once ${lastCue()} is heard`}.`);
  if (found.reason) parts.push(capital(found.reason) + ".");
  if (found.short && found.kind !== "wait") parts.push(`${capital(offText(view.change, found.short))}.`);
  if (found.until !== null && found.kind !== "no call") {
    const until = instantOf(data, found.until), say = until - data.relay_s * 1000;
    const printed = lapsOf(view) === "as printed" && found.until - found.rowUntil >= 1;
    if (printed) parts.push(`As printed: say by ${limitClock(instantOf(data, found.rowUntil) - data.relay_s * 1000, "latest")}.`);
    const by = found.kind === "unable" ? "It had to be said by" : view.question ? "After the answer say it by" : printed ? "Worked again: say by" : "Say by";
    parts.push(`${by} ${limitClock(say, "latest")}; read back by ${limitClock(until, "latest")}.`);
  }
  if (found.soonest !== null) parts.push(`No T before ${limitClock(instantOf(data, found.soonest), "earliest")}, by the laps that the hold still allows, then by speed.`);
  if (lapsOf(view) === "worked again") parts.push("The rows of the flight's cards no longer hold for it: the flight works its laps again.");
  if (lapsOf(view) === "worked out") parts.push("The flight's cards have no row for it: the flight works its laps out.");
  const since = found.once ? ` once ${found.once}, so early or late, is heard` : found.kind === "ask" ? ", if it has held one speed since it was told" : "";
  if (found.early !== null) parts.push(`Speed still gives ${reachText(found.early)} earlier, ${reachText(found.late)} later${since}.`);
  else if (found.kind === "ask") parts.push("What speed still gives is not known.");
  return parts.join(" ");
}

function limitText(view) {
  const parts = [];
  if (view.lapLimit) parts.push(lapWords(data, view));
  else if (view.barrier) parts.push(barrierWords(data, view.barrier));
  if (view.outside && !["no call", "abort only", "over", "not started", "doubt"].includes(view.ruling.kind)) parts.push("OUTSIDE WHAT IS ACCEPTED OR APPROVED: the supervisor too.");
  return parts.join(" ");
}

// It must not read as an order to abort: the window has closed, no more.
function onlyAbortText(view) {
  return `${whyOnlyAbort(view)} ${data.abort ? "Say these words only to stop the pass." : "The mission gives no abort words."}`;
}

function whyOnlyAbort(view) {
  const [cue] = view.predicted.overdue;
  if (cue) return `${silentFact(cue, isMark(data.script.parts, cue))}, and that can't be told any more.`;
  if (view.now.leftFor !== null) return "The flight has no true time, and can't be asked for one any more.";
  return `The ceremony is ${durationText(Math.abs(view.change))} ${view.change > 0 ? "later" : "earlier"} than the flight holds, and that can't be told any more.`;
}
