// The clock of the phone: set by a hack, watched for jumps, and the same for every pass of the page, though each keeps a log of its own.
"use strict";

const JUMP_MS = 2000, STALE_MS = 120000;
const FAR_MS = 30000; // a hack that moves the phone's clock by so much is asked about, since a minute too many may have been chosen: our default, no source
let hackMs = null, farHack = null, jump = "", lastSeen = null, chosenAt = -Infinity;

const phoneNow = () => Date.now();
const steadyNow = () => performance.now();

// What the clock goes by: hacks, and jumps of the phone's clock. n counts them over all passes, so that one which was taken over is known again.
const setsClock = (e) => e.k === "hack" || (e.k === "note" && e.shift !== 0);
const lastSet = (logs) => Math.max(0, ...logs.flat().filter(setsClock).map((e) => e.n ?? 0));
const undoneSets = (entries) => entries.filter((e) => e.k === "undo" && setsClock(entries[e.of])).map((e) => entries[e.of].n);

function correctionMs() {
  let correction = 0;
  for (const e of liveEntries(log)) {
    if (e.k === "hack") correction = e.error;
    else if (e.shift) correction += e.shift;
  }
  return correction;
}
const trueNow = () => phoneNow() + correctionMs();

// Takes over what the other passes' logs have of the clock, and what they have undone of it. True: there was something, so the clock goes by the
// phone's as it is now, and no jump of it before counts again.
function sameClock() {
  const others = passes.map((_, i) => i).filter((i) => i !== place).map(storedLog), mine = lastSet([log]);
  const undone = new Set([log, ...others].flatMap(undoneSets));
  const newer = others.flatMap((other) => liveEntries(other).filter((e) => setsClock(e) && e.n > mine && !undone.has(e.n)));
  log.push(...[...new Map(newer.map((e) => [e.n, e])).values()].sort((a, b) => a.n - b.n));
  const gone = undoneIn(log), at = trueNow();
  log.push(...log.flatMap((e, i) => setsClock(e) && undone.has(e.n) && !gone.has(i) ? [{ k: "undo", t: at, of: i }] : []));
  keep();
  if (newer.length) lastSeen = null;
  return newer.length > 0;
}

function setClock(entry) {
  sameClock();
  log.push({ ...entry, n: lastSet([log]) + 1 });
  keep();
}

// The phone's clock against a steady one. Put back: the page keeps its own time. Put on: it may have slept, which is the same to a page.
function watchClock() {
  const seen = { wall: phoneNow(), steady: steadyNow() };
  const gap = lastSeen === null ? 0 : (seen.wall - lastSeen.wall) - (seen.steady - lastSeen.steady);
  if (Math.abs(gap) > JUMP_MS && !sameClock()) jumped(gap);
  lastSeen = seen;
}

function jumped(gap) {
  farHack = null; // it was measured by the clock before
  if (gap < 0) {
    note(`The phone's clock went back by ${durationText(-gap / 1000)}; this clock was kept`, -gap);
    jump = "The phone's clock was put back. This clock kept its time: check it with a hack.";
  } else {
    note(`The phone slept for ${durationText(gap / 1000)}, or its clock was put on`, 0);
    jump = `The phone slept for ${durationText(gap / 1000)}, or its clock was put on: check this clock with a hack.`;
  }
}

function note(words, shift) { setClock({ k: "note", t: trueNow() + shift, words, shift }); } // by the clock that was kept

function hackNow() {
  const phone = phoneNow(), hack = { k: "hack", t: hackMs, stated: hackMs, error: hackMs - phone };
  if (Math.abs(hack.error) < FAR_MS) { takeHack(hack); return; }
  farHack = hack;
  show();
  $("hack-doubt").scrollIntoView({ block: "center" });
}

function takeHack(hack) {
  jump = "";
  farHack = null;
  lastSeen = { wall: phoneNow(), steady: steadyNow() };
  hackMs = null;
  setClock(hack);
  show();
}

function hackAgain() { farHack = null; show(); }

function chooseHack(change) { farHack = null; hackMs += change; chosenAt = steadyNow(); show(); }

function showHack(view, nowMs) {
  const past = hackMs < nowMs - STALE_MS && steadyNow() - chosenAt > STALE_MS; // a phone that is fast has what was just chosen in its past
  if (hackMs === null || (farHack === null && past)) hackMs = Math.ceil((nowMs + 20000) / 60000) * 60000;
  text("hack-time", `${clockText(hackMs)} Z`);
  const hack = view.now.hack;
  text("hack-state", hack === null ? "Not set yet." : `${ENTRY_WORDS.hack(hack)}. It can be done again at any time.`);
  visible("hack-doubt", farHack !== null);
  $("hack-now").disabled = farHack !== null;
  if (farHack === null) return;
  text("hack-doubt-words", farWords(farHack));
  text("hack-take", `TAKE ${clockText(farHack.stated)} Z`);
}

function farWords({ stated, error }) {
  const far = durationText(Math.abs(error) / 1000), minutes = durationText(Math.round(Math.abs(error) / 60000) * 60), ahead = error > 0;
  return `${clockText(stated)} Z is ${far} ${ahead ? "ahead of" : "behind"} the phone's clock: ${minutes} too ${ahead ? "many" : "few"}? Phones are seldom off by half a minute.`;
}
