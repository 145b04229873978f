// What is said and how times are worded: briefgen/brief/wording/spoken.py and briefgen/brief/wording/format.py. Instants are milliseconds of Unix time.
"use strict";

const SPOKEN = { 0: "zero", 1: "one", 2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight", 9: "nine", ".": "decimal" };
const spokenDigits = (text) => [...text].filter((c) => c !== ":" && c !== " ").map((c) => SPOKEN[c] || c).join(" ");
const two = (n) => String(n).padStart(2, "0");

// The nearest whole second, halves up.
const wholeSecond = (ms) => Math.floor(ms / 1000 + 0.5) * 1000;
// The one rounding of every time limit: a latest moment down, an earliest moment up (time_limit of briefgen/brief/wording/format.py); a microsecond off a
// whole second is that second.
const timeLimit = (ms, side) => (side === "latest" ? Math.floor(ms / 1000 + 1e-6) : Math.ceil(ms / 1000 - 1e-6)) * 1000;

function clockText(ms, offsetS = 0) {
  const day = new Date(wholeSecond(ms) + offsetS * 1000);
  return `${two(day.getUTCHours())}:${two(day.getUTCMinutes())}:${two(day.getUTCSeconds())}`;
}
// A clock that runs, and what was pressed on it; a microsecond below a whole second is that second.
const runningText = (ms, offsetS = 0) => clockText(Math.floor(ms / 1000 + 1e-6) * 1000, offsetS);
const limitClock = (ms, side) => `${clockText(timeLimit(ms, side))} Z`;
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
// 5 Jun 23:59:00 Z: a limit of T with its date where that is another than nearMs has, as the cards have it.
function limitDated(ms, side, nearMs) {
  const at = timeLimit(ms, side), day = new Date(at);
  return `${dateText(at) === dateText(wholeSecond(nearMs)) ? "" : `${day.getUTCDate()} ${MONTHS[day.getUTCMonth()]} `}${limitClock(ms, side)}`;
}
const dateText = (ms, offsetS = 0) => new Date(ms + offsetS * 1000).toISOString().slice(0, 10);
// The event's clock at an instant: on a night on which it changes, another offset before than after.
const zoneAt = (zone, ms) => zone.spans.reduce((found, span) => (span.from_ms <= ms ? span : found));
const localText = (zone, ms) => clockText(ms, zoneAt(zone, ms).offset_s) + (zone.spans.length > 1 ? ` ${zoneAt(zone, ms).letters}` : "");
const spokenClock = (ms) => spokenDigits(clockText(ms));

function durationText(seconds) {
  const whole = Math.floor(Math.abs(seconds) + 0.5), h = Math.floor(whole / 3600), m = Math.floor(whole % 3600 / 60), s = whole % 60;
  const parts = [[h, "h"], [m, "min"], [s, "s"]].filter(([n]) => n).map(([n, unit]) => `${n} ${unit}`);
  if (h && s && !m) parts.splice(1, 0, "0 min");
  return (seconds < 0 && whole ? "-" : "") + (parts.join(" ") || "0 s");
}

function spokenLength(seconds) {
  const whole = Math.floor(Math.abs(seconds) + 0.5);
  const parts = [[Math.floor(whole / 60), "minute"], [whole % 60, "second"]].filter(([n]) => n).map(([n, unit]) => `${spokenDigits(String(n))} ${unit}${n === 1 ? "" : "s"}`);
  return parts.join(" ") || "zero seconds";
}

const spokenSeconds = (change) => { const n = Math.floor(Math.abs(change) + 0.5); return `${spokenDigits(String(n))} second${n === 1 ? "" : "s"}`; };
const fastOrSlow = (change) => change < 0 ? "fast" : "slow";
const capital = (text) => text[0].toUpperCase() + text.slice(1);

// {say, readBack}: what is said, and what must come back ("": nothing).
function callNewTime(who, oldMs, newMs) {
  const say = `${who.flight}, ${who.ground}. Change of true time. Old true time: ${spokenClock(oldMs)} Zulu. `
    + `New true time: ${spokenClock(newMs)} Zulu. Read back true time.`;
  return { say, readBack: `${who.flight}, true time ${spokenClock(newMs)} Zulu.` };
}

function callSeconds(who, change) {
  const words = `${fastOrSlow(change)} ${spokenSeconds(change)}`;
  return { say: `${who.flight}, ${who.ground}. ${capital(words)}. I say again: ${words}. Read back.`, readBack: `${who.flight}, ${words}.` };
}

const howLate = (change) => Math.abs(change) < SAME_SECOND_S ? "on time" : `${spokenLength(change)} ${change > 0 ? "late" : "early"}`;
function callUnable(who, change, price) {
  const lap = price === null ? "" : ` One more lap costs ${spokenLength(price)}.`;
  return { say: `${who.flight}, ${who.ground}. Ceremony ${howLate(change)}. UNABLE to meet it as planned.${lap} Say intentions.`, readBack: "" };
}

// Of a flight that was told to hold: only it knows what its laps can give. The time that it held before is no change.
function callAskTime(who, oldMs, newMs) {
  const asked = spokenClock(oldMs) === spokenClock(newMs) ? `Can you accept true time ${spokenClock(newMs)} Zulu?`
    : `Can you accept a change of true time? Old true time: ${spokenClock(oldMs)} Zulu. New true time: ${spokenClock(newMs)} Zulu.`;
  const say = `${who.flight}, ${who.ground}. ${asked} Read back true time, or say unable.`;
  return { say, readBack: `${who.flight}, true time ${spokenClock(newMs)} Zulu, or unable.` };
}

// Of a flight that left the hold in which it was told to stay: the time that its leaving would make is no more than a question.
function callAskWhich(who, madeMs) {
  const said = spokenClock(madeMs);
  return {
    say: `${who.flight}, ${who.ground}. Which true time do you fly? Question only: true time ${said} Zulu?`,
    readBack: `${who.flight}, true time ${said} Zulu, or the one that it flies.`,
  };
}

const GIVEN_UP = ["go home", "next pass"]; // no T can follow: on as the mission has it
const THEN = {
  "hold lap": ["HOLD.", "HOLD."], hold: ["Return to the hold.", "returning to the hold."], "go home": ["Go home.", "going home."],
  "next pass": ["Go on to {to}.", "going on to {to}."],
};

// A cue that has not begun; a mark inside a part that has.
const silentFact = (name, mark) => `${name} ${mark ? "NOT HEARD" : "NOT STARTED"}`;

// The fact alone, a lap with it, what the unit has briefed for it (then; null: nothing; to: the next pass), or the wish for intentions where no lap can be had; no time in it, since nobody has heard the cue.
function callNotStarted(who, cue, added, briefed, mark = false) {
  const say = `${who.flight}, ${silentFact(cue, mark)}.`, then = added === "hold" ? "hold lap" : added === "no cue" ? briefed.then : added === "" ? null : added;
  if (added === "intentions") return { say: `${say} Say intentions.`, readBack: "" };
  if (then === null) return { say, readBack: "" };
  const [order, answer] = THEN[then].map((words) => words.replace("{to}", briefed.to));
  return { say: `${say} ${order}`, readBack: `${who.flight}, ${answer}` };
}

function callAsk(who, change, further) {
  const words = `${fastOrSlow(change)} ${further ? "a further " : ""}${spokenSeconds(change)}`;
  return { say: `${who.flight}, ${who.ground}. Can you accept ${words}?`, readBack: `${who.flight}, ${words}, or unable.` };
}
