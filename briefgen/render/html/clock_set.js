// The clock of the phone: set by a hack, watched for jumps, and the same for every pass of the page, though each keeps a log of its own.
"use strict";

const JUMP_MS = 2000;
let hackMs = null, jump = "", lastSeen = null;

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
  const gone = new Set(log.filter((e) => e.k === "undo").map((e) => e.of)), at = trueNow();
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
  const phone = phoneNow();
  jump = "";
  lastSeen = { wall: phone, steady: steadyNow() };
  setClock({ k: "hack", t: hackMs, stated: hackMs, error: hackMs - phone });
  hackMs = null;
  show(true);
}
