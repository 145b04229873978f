// The page itself: shows what clock_state.js finds, writes the log, keeps the clock.
"use strict";

const $ = (id) => document.getElementById(id);
// Of several passes over the event the page shows one at a time, which the address names; each keeps a log of its own, apart from those of another
// event of the same sortie, whose page may lie on the same phone.
const passes = JSON.parse($("data").textContent), place = Math.min(Math.max(Number(location.hash.slice(1)) || 1, 1), passes.length) - 1;
const storeOf = (i) => `briefgen-clock-${passes[i].fingerprint}-${passes[i].name}`;
const STORE = storeOf(place), shift = shiftBefore(place), data = prepared(followed(passes[place], shift));

// By how much the pass before was moved, as its log on this phone has it, where the T of this one follows it.
function shiftBefore(i) {
  if (i === 0 || !passes[i].follows) return 0;
  try {
    const earlier = shiftBefore(i - 1), before = prepared(followed(passes[i - 1], earlier));
    return replay(before, storedLog(i - 1)).held - before.true_time + earlier;
  } catch { return 0; }
}

// What ended this pass before it, as the logs of the passes before it on this phone have it: going home, or an abort after which the mission goes home.
// {name, home, t}; null: nothing did, or it is flown all the same.
function stoppedBefore() {
  if (liveEntries(log).some((entry) => entry.k === "flown")) return null;
  for (const [i, pass] of passes.slice(0, place).entries()) {
    const { sent, aborted } = replay(prepared(followed(pass, shiftBefore(i))), storedLog(i));
    const home = sent?.then === "go home", entry = home ? sent : pass.then === "home" ? aborted : null;
    if (entry !== null) return { name: pass.name, home, t: entry.t };
  }
  return null;
}

// T of the pass after this one, as the logs on this phone have it; null where this page does not have that pass, or it has no T.
function nextMs() {
  const next = passes[place + 1];
  if (next?.name !== data.later[0].name) return null;
  const later = prepared(followed(next, shiftBefore(place + 1))), now = replay(later, storedLog(place + 1));
  return now.holding ? null : instantOf(later, now.held);
}

// Whether the pass whose T this one follows was stopped, as its log on this phone has it: moving that moves nothing any more.
function leaderStopped() {
  if (place === 0 || !data.follows) return false;
  const { sent, aborted } = replay(prepared(followed(passes[place - 1], shiftBefore(place - 1))), storedLog(place - 1));
  return sent !== null || aborted !== null;
}
const seen = () => ({ ...viewAt(data, log, trueNow()), stopped: stoppedBefore() });
const unheardCell = document.querySelectorAll(".unheard")[place], unheardAsPlanned = unheardCell.textContent;
const TWICE_MS = 2000; // a second tap on the same button within this is the same tap
const HOLD_MS = 1000, TAKE_BACK_MS = 10000;
const HAND_S = [-60, -10, -1, 1, 10, 60];

let log = [], lastTaps = {}, stored = true, clearing = false, shownSecond = null, announced = "", takingBack = false;

function zoneWarning() {
  const phone = -new Date(instantOf(data, data.true_time)).getTimezoneOffset() * 60;
  return phone === data.zone.offset_s ? "" : `Phone's zone ${offsetText(phone)}, not the event's. Go by the times here.`;
}
const offsetText = (s) => `${s < 0 ? "-" : "+"}${two(Math.floor(Math.abs(s) / 3600))}:${two(Math.floor(Math.abs(s) % 3600 / 60))}`;

// ---------------------------------------------------------------- log and storage

// [] where none is kept, or what is kept is damaged.
function storedLog(i) {
  try {
    const kept = JSON.parse(localStorage.getItem(storeOf(i)) ?? "[]");
    if (!Array.isArray(kept) || kept.some((e) => typeof e.t !== "number" || !ENTRY_WORDS[e.k])) return [];
    logLines(kept);
    return kept;
  } catch { return []; }
}

function keep() {
  try {
    const text = JSON.stringify(log);
    localStorage.setItem(STORE, text);
    stored = localStorage.getItem(STORE) === text;
  } catch { stored = false; }
}

function write(entry) { asksAgain = false; log.push({ t: trueNow(), ...entry }); keep(); show(); }

function tapped(name, action) {
  const at = steadyNow();
  if (name in lastTaps && at - lastTaps[name] < TWICE_MS) return;
  lastTaps = { ...lastTaps, [name]: at };
  action();
}

// ---------------------------------------------------------------- what is shown

const z = (ms) => `${clockText(ms)} Z`;

function show() {
  const nowMs = trueNow(), view = seen();
  const second = Math.floor(nowMs / 1000);
  shownSecond = second;
  document.body.classList.toggle("unset", view.now.hack === null); // nothing is green by a clock that nobody has set
  text("zulu", runningText(nowMs));
  text("local", runningText(nowMs, zoneAt(data.zone, nowMs).offset_s));
  text("zone", zoneAt(data.zone, nowMs).words);
  text("goes", goesText(view));
  showWarnings(view);
  showHeadline(view);
  showVerdict(view);
  showOthers(view);
  unheardCell.textContent = unheardText(view);
  showCues(view);
  showNext(view);
  showDoubt();
  showFlight(view);
  showHack(view, nowMs);
  showHand(view);
  showLog();
  announce(view);
}

// A number and its unit stay on one line; the log, which is copied out, keeps plain spaces.
const bound = (words) => words.replace(/(\d) (?=(?:Z|d|h|min|s|MHz)\b)/g, "$1\u00a0");
function text(id, words) { const el = $(id), shown = bound(words); if (el.textContent !== shown) el.textContent = shown; }
// A phrase is not parted at the end of a line while it has room on one.
function phrases(id, words) {
  if ($(id).textContent === words) return;
  $(id).replaceChildren(...words.split(/(?<=[:.]) /).flatMap((part, i) => [...(i ? [" "] : []), element("span", "phrase", part)]));
}
function visible(id, yes) { $(id).hidden = !yes; }

const DAY_S = 86400; // longer before T its date is said, and no seconds are counted

// `T−1:02:03`, of whole seconds to T.
function countText(left) {
  const whole = Math.abs(left), h = Math.floor(whole / 3600), m = Math.floor(whole % 3600 / 60);
  return `${left >= 0 ? "T\u2212" : "T+"}${h ? `${h}:${two(m)}` : m}:${two(whole % 60)}`;
}

function goesText(view) {
  const left = Math.ceil(view.now.held - view.at - SAME_INSTANT_S);
  if (isOver(view)) return "";
  if (left > DAY_S) return `T on ${new Date(view.heldMs).toISOString().slice(0, 10)} at ${clockText(view.heldMs)}\u00a0Z, in\u00a0${Math.floor(left / DAY_S)} d\u00a0${Math.floor(left % DAY_S / 3600)} h`;
  return view.now.holding ? `no T: ${inHold(view.now) ? "HOLDING" : "LEFT THE HOLD"}` : `${countText(left)} to ${clockText(view.heldMs)}\u00a0Z`;
}

function showWarnings(view) {
  const words = [];
  if (view.now.hack === null) words.push("CLOCK NOT SET: hack it first. Until then every time here is the phone's.");
  if (jump) words.push(jump);
  if (!stored) words.push("This phone does not keep the log for this page: a reload loses it. Copy it out.");
  const zone = zoneWarning();
  if (zone) words.push(zone);
  if (shift !== 0) words.push(`${passes[place - 1].name} was moved by ${durationText(Math.abs(shift))} ${shift > 0 ? "later" : "sooner"}, and this T with it.`);
  if (view.now.late !== null) words.push("Read back after the last moment: ask the flight whether it can still meet it.");
  if (view.now.lapsed !== null) words.push(`Not read back by ${limitClock(instantOf(data, view.now.by), "latest")}: it counts as not told. If it is read back all the same, tap so.`);
  const box = $("warnings"), key = words.join("\n");
  if (box.dataset.key === key) return;
  box.dataset.key = key;
  box.replaceChildren(...words.map(warning));
  if (view.now.hack === null) box.firstChild.append(" ", wayToHack());
}

// On the smallest phone only the first clause of a warning stands above the verdict.
function warning(words) {
  const [head, rest] = words.split(/(?<=[:.]) (.*)/), line = element("p", "warn", head);
  if (rest) line.append(element("span", "more", ` ${rest}`));
  return line;
}

function wayToHack() { const way = element("a", "", "Set the clock"); way.setAttribute("href", "#hack"); return way; }
function element(tag, cls, words) { const el = document.createElement(tag); if (cls) el.className = cls; el.textContent = words; return el; }

function showCues(view) {
  const heard = new Map(view.now.heard);
  for (const button of $("cues").children) {
    const at = heard.get(button.dataset.id);
    button.classList.toggle("done", at !== undefined);
    const words = bound(at === undefined ? (isOver(view) ? "" : expectedText(data, view, button.dataset.id)) : `HEARD ${runningText(instantOf(data, at))} Z`);
    const line = button.querySelector(".at");
    if (line.textContent !== words) line.textContent = words;
  }
}

function showFlight(view) {
  const { now } = view;
  for (const [id, at, name] of [["station", now.stationAt, "FLIGHT ON STATION"], ["left", now.leftAt, "LEFT HOLD"]]) {
    $(id).classList.toggle("done", at !== null);
    text(id, at === null ? name : `${name} ${runningText(instantOf(data, at))} Z`);
    $(id).disabled = at !== null;
  }
  text("told", toldText(now));
  text("stop", isOver(view) ? "" : stopText());
}

// The same as the card's "cannot wait later than"; when a flight still in the hold goes home stands under "If you can't reach them".
function stopText() {
  const { latest, holes, between } = data.waits, parts = [], at = (t) => clockText(instantOf(data, t));
  if (latest) parts.push(`T cannot be later than ${limitDated(instantOf(data, latest.at), "latest", instantOf(data, data.true_time))}: ${latest.because}.`);
  const stretches = holes.map(([from, to]) => `${at(from)} to ${at(to)}`).join(", "), byLaps = data.flying.hasHold && data.flying.speedsKnown;
  if (holes.length) parts.push(byLaps ? `T ${stretches}: in two calls, laps then speed, or UNABLE.` : `UNABLE to fly T ${stretches}.`);
  parts.push(...between.map((hole) => holeWords(data, hole)));
  if (data.waits.unknown) parts.push(`Latest T by ${data.waits.unknown}: NOT CHECKED.`);
  return parts.join(" ");
}

function toldText(now) {
  if (now.told === null) return `The flight holds ${z(instantOf(data, now.held))}, ${shift === 0 ? "as planned. Nothing was told" : "moved with the pass before. Nothing was told for this pass"} yet.`;
  const { said, readAt, refused, late } = now.told;
  const state = readAt !== null ? `read back ${runningText(readAt)} Z${late ? ", after the last moment" : ""}` : refused ? "NOT READ BACK" : said.readBack === "" ? "no read-back wanted" : "read-back not heard yet";
  const holds = now.holding ? `The flight was told to hold${inHold(now) ? "" : ", left all the same,"} and has no T` : now.sent ? sentText(now.sent) : `The flight holds ${z(instantOf(data, now.held))}`;
  return `${holds}. Last told ${runningText(said.t)} Z: \u201c${said.short}\u201d, ${state}.`;
}

function showHand(view) {
  const hand = view.now.hand, refused = HAND_S.map((s) => handRefused(data, view, slipBy(view, s))), closed = data.follows && !view.stopped ? "" : handClosed(view);
  const moved = hand === null ? "Not moved." : `Moved to ${ofPlan(hand)}: ${z(instantOf(data, data.true_time + hand))}.${data.script === null ? "" : " The script is not followed."}`;
  text("hand-state", view.stopped ? closed : data.follows ? (leaderStopped() || view.at >= data.true_time - data.follows.after ? data.follows.flown : data.follows.words) : [moved, closed || (refused.filter((words) => words).pop() ?? "")].filter((words) => words).join(" "));
  for (const [i, button] of [...$("hand").children].entries()) button.disabled = closed !== "" || refused[i] !== "";
  $("hand-off").disabled = hand === null || closed !== "";
}

// Why nothing would come of a move by hand; "" where it is taken.
function handClosed(view) {
  if (view.stopped) return `${stoppedText(view.stopped)} T is moved no more.`;
  if (isOver(view)) return `${view.now.aborted !== null ? "ABORT was said" : sentText(view.now.sent)}: T is moved no more.`;
  const over = view.now.leftFor ?? view.now.held;
  return !inHold(view.now) && view.at >= over - SAME_INSTANT_S ? `T ${z(instantOf(data, over))} has passed: it is moved no more.` : "";
}

const slipBy = ({ now }, s) => (now.hand ?? Math.round(now.held - data.true_time)) + s;
function moveByHand(s) {
  const view = seen(), slip = slipBy(view, s);
  if (handRefused(data, view, slip) === "") writeHand(slip); else show();
}
const writeHand = (slip) => write({ k: "hand", slip, ...(slip === null && data.script === null && { by: "plan" }) });

function showLog() {
  const lines = logLines(log), list = $("log");
  if (list.dataset.key === lines.join("\n")) return;
  list.dataset.key = lines.join("\n");
  const gone = undoneIn(log);
  list.replaceChildren(...lines.map((line, i) => element("li", gone.has(i) ? "gone" : "", line)).reverse());
  $("logtext").value = logText(data, log);
  const last = undoable(log);
  $("undo").disabled = last === null;
  text("undo", last === null ? "UNDO" : `UNDO: ${UNDO_WORDS[log[last].k] || ENTRY_WORDS[log[last].k](log[last])}`);
}

const UNDO_WORDS = { party: "party's answer", tap: "tap", unheard: "not heard", flown: "flown all the same", mistake: "mistake", hack: "clock set", asked: "what was asked", agreed: "accepted", refused: "not accepted", said: "what was said", readback: "read back", notread: "not read back", abort: "ABORT SAID", abortheard: "heard", hand: "move by hand", station: "on station", left: "left hold" };

// The next cue is always under the thumb, wherever the page is scrolled to.
function showNext(view) {
  const next = isOver(view) ? null : nextTap(data, view);
  $("next").hidden = next === null;
  $("next").dataset.id = next ?? "";
  const skipped = next === null ? [] : skippedBy(data, view, next); // each may still come, so the button is for all, and asks which
  text("next", next === null ? "" : `HEARD: ${eitherOf([...skipped, next])}`);
}

function spokenVerdict(view) {
  const { kind } = view.ruling;
  if (kind === "abort only") return `${KINDS[kind][0]}. ${onlyAbortText(view)}${data.abort ? ` ${data.abort.words}` : ""}`;
  return [`${titleOf(view)[0]}.`, limitText(view), sayText(view, false)].filter((words) => words).join(" ");
}

// A screen reader hears a new verdict once, and again when its words or its limit change; not the running figures.
function announce(view) {
  const words = view.now.pending ? `Wait for the read-back. Expect ${view.now.pending.readBack}` : spokenVerdict(view);
  const key = [titleOf(view)[0], view.now.pending ? words : [limitText(view), sayText(view, false)]].join();
  if (announced === key) return;
  announced = key;
  text("announce", words);
}

// ---------------------------------------------------------------- what is tapped

const SHORT = {
  "not started": (v) => v.call.say.slice(`${data.flight}, `.length, -1), "new time": (v) => `true time ${clockText(v.newMs)} Zulu`, unable: () => "UNABLE, say intentions",
  which: (v) => `question only: true time ${clockText(v.newMs)} Zulu`,
};

function say() {
  const view = seen(), found = view.ruling;
  if (wordsChanged(view)) { asksAgain = view.call.say !== ""; show(); return; }
  if (view.question) { write({ k: "asked", target: view.first.target, side: view.first.limit.side, say: view.call.say }); return; }
  const asksTime = found.kind === "ask" && asksForTime(view.now), worded = SHORT[!asksTime ? found.kind : view.now.leftFor !== null ? "which" : "new time"];
  const short = worded ? worded(view) : `${fastOrSlow(view.change)} ${Math.round(Math.abs(view.change))} seconds`;
  const then = found.added === "no cue" ? data.no_cue.then : found.added === "intentions" ? "" : found.added;
  write({ k: "said", kind: found.kind, change: view.change, say: view.call.say, readBack: view.call.readBack, short, ...(then && { then }) });
}

// A tap counts at once, unless it is doubted: then it counts from when it was tapped, once somebody has said what it was.
function heardNow(id) {
  const view = seen(), doubts = isOver(view) ? [] : doubtsOf(data, view, id), off = offPace(data, view, id);
  write(doubts.length ? { k: "tap", id, others: doubts.filter((other) => other !== null), ...(off && { off }) } : { k: "heard", id });
}

function meant(id) {
  const doubt = openDoubt(log);
  if (doubt !== null) write({ k: "heard", id, t: doubt.entry.t });
}

function showDoubt() {
  const doubt = openDoubt(log), { id, others } = doubt === null ? { id: "", others: [] } : doubt.entry;
  visible("doubt", doubt !== null);
  text("doubt-words", doubt === null ? "" : `${runningText(doubt.entry.t)} Z: ${doubtWords(doubt.entry)}`);
  offerTap($("doubt-other"), others.at(-1));
  offerTap($("doubt-yes"), id);
  const more = $("doubt-more"), further = others.slice(0, -1);
  while (more.children.length > further.length) more.lastChild.remove();
  while (more.children.length < further.length) more.append(furtherTap());
  further.forEach((other, i) => offerTap(more.children[i], other));
  text("doubt-no", further.length ? "NONE OF THESE" : "NEITHER");
}

function furtherTap() {
  const button = element("button", "main", "");
  button.type = "button";
  button.addEventListener("click", () => meant(button.dataset.id));
  return button;
}

function offerTap(button, id = "") {
  button.hidden = id === "";
  button.dataset.id = id;
  if (button.textContent !== id) button.textContent = id;
}

function undo() {
  const last = undoable(log);
  if (last === null) return;
  if (log[last].k === "abort") askToTakeBack(); else write({ k: "undo", of: last });
}

// An abort is taken back in two steps, on two buttons.
function askToTakeBack() {
  takingBack = true;
  setTimeout(() => { takingBack = false; show(); }, TAKE_BACK_MS);
  show();
  $("take-back").scrollIntoView({ block: "center" });
}

function takeBack() {
  takingBack = false;
  write({ k: "undo", of: undoable(log) });
}

// Held for a second, by finger or key, so that no touch by chance does it; a screen reader, which can't hold, activates it twice.
function onHold(button, action) {
  let timer = null, armed = 0;
  const stop = () => { clearTimeout(timer); timer = null; button.classList.remove("holding"); };
  const start = () => { if (timer === null) { button.classList.add("holding"); timer = setTimeout(() => { stop(); action(); }, HOLD_MS); } };
  const isKey = (event) => event.key === " " || event.key === "Enter";
  button.addEventListener("pointerdown", start);
  for (const name of ["pointerup", "pointerleave", "pointercancel", "blur"]) button.addEventListener(name, stop);
  button.addEventListener("keydown", (event) => { if (isKey(event)) { event.preventDefault(); if (!event.repeat) start(); } });
  button.addEventListener("keyup", (event) => { if (isKey(event)) { event.preventDefault(); stop(); } });
  button.addEventListener("contextmenu", (event) => event.preventDefault());
  button.addEventListener("click", (event) => {
    if (event.detail !== 0) return;
    if (steadyNow() - armed < TAKE_BACK_MS) action(); else { armed = steadyNow(); text("announce", `${button.textContent}: once more`); }
  });
}

async function copyLog() {
  const box = $("logtext");
  let done = false;
  try { await navigator.clipboard.writeText(box.value); done = true; } catch { box.select(); try { done = document.execCommand("copy"); } catch { done = false; } }
  text("copied", done ? "Copied." : "Not copied by itself: mark the text below and copy it.");
}

function clearLog() {
  if (!clearing) { clearing = true; text("clear", "TAP AGAIN: THE LOG GOES"); setTimeout(() => { clearing = false; text("clear", "START A NEW LOG"); }, 5000); return; }
  clearing = false;
  text("clear", "START A NEW LOG");
  log = [];
  sameClock();
  show();
}

function cueButton(cue, isMark, number) {
  const button = element("button", isMark ? "mark-button" : "cue", "");
  button.type = "button";
  button.dataset.id = cue.id;
  button.append(element("span", "", cue.id));
  if (cue.says) button.append(element("small", "", cue.says));
  button.append(element("span", "at", ""));
  if (number <= 9) button.setAttribute("aria-keyshortcuts", String(number));
  button.addEventListener("click", () => tapped(`cue ${cue.id}`, () => heardNow(cue.id)));
  return button;
}

function showPass() {
  document.querySelectorAll(".of-pass").forEach((part, i) => { part.hidden = i !== place; });
  document.querySelectorAll(".passes a").forEach((link, i) => { if (i === place) link.setAttribute("aria-current", "page"); });
  window.addEventListener("hashchange", () => location.reload());
  visible("hand", !data.follows);
  visible("hand-off", !data.follows);
  visible("hand-why", !data.follows && data.script === null);
  text("hand-off", data.script === null ? "BACK TO THE PLANNED T" : "FOLLOW THE SCRIPT");
  $("h-cues").parentElement.hidden = data.cues.length === 0;
}

function build() {
  showPass();
  const all = data.cues.flatMap((cue) => [[cue, false], ...cue.marks.map((mark) => [mark, true])]);
  $("cues").append(...all.map(([cue, isMark], i) => cueButton(cue, isMark, i + 1)));
  $("contacts").append(...data.contacts.map((c) => {
    const row = document.createElement("tr"), at = instantOf(data, c.at);
    row.append(element("td", "", clockText(at)), element("td", "", localText(data.zone, at)), element("td", "", c.say === c.label ? c.label : `${c.label}: ${c.say}`));
    return row;
  }));
  $("hand").append(...HAND_S.map((s) => {
    const button = element("button", "", `${s > 0 ? "+" : "\u2212"}${Math.abs(s)} s`);
    button.type = "button";
    button.addEventListener("click", () => moveByHand(s));
    return button;
  }));
  text("abort-line", data.abort ? `STOP: \u201c${data.abort.words}\u201d` : "STOP: the mission gives no abort words");
  text("radio", `Radio: ${data.radio}`);
  buildOthers();
  $("to-verdict").setAttribute("href", "#verdict");
  linkPhones();
  $("left").closest(".row").hidden = !data.flying.hasHold;
  const abort = () => write({ k: "abort", words: data.abort ? data.abort.words : "ABORT" });
  for (const [id, action] of [["abort-only", abort], ["abort-any", abort], ["take-back", takeBack]]) onHold($(id), action);
  const actions = {
    said: () => tapped("said", say), readback: () => tapped("readback", () => write({ k: "readback" })), notread: () => tapped("notread", () => write({ k: "notread" })),
    agreed: () => tapped("agreed", () => write({ k: "agreed" })), refused: () => tapped("refused", () => write({ k: "refused" })),
    flown: () => tapped("flown", () => write({ k: "flown" })),
    unheard: () => tapped("unheard", () => write({ k: "unheard", id: seen().predicted.asked[0] })),
    station: () => tapped("station", () => write({ k: "station" })), left: () => tapped("left", () => write({ k: "left" })), "abort-heard": () => tapped("abort-heard", () => write({ k: "abortheard" })),
    next: () => tapped(`cue ${$("next").dataset.id}`, () => heardNow($("next").dataset.id)),
    "doubt-yes": () => meant($("doubt-yes").dataset.id), "doubt-other": () => meant($("doubt-other").dataset.id), "doubt-no": () => write({ k: "mistake" }),
    undo, "hack-now": () => tapped("hack", hackNow), "hack-less": () => chooseHack(-60000), "hack-more": () => chooseHack(60000),
    "hack-take": () => tapped("hack-take", () => takeHack(farHack)), "hack-again": hackAgain,
    "hand-off": () => writeHand(null), copy: copyLog, clear: clearLog,
  };
  for (const [id, action] of Object.entries(actions)) $(id).addEventListener("click", action);
  document.addEventListener("keydown", onKey);
}

function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || event.repeat || event.target.tagName === "TEXTAREA") return;
  const id = { s: "said", r: "readback", u: "undo", n: "next" }[event.key.toLowerCase()];
  const button = id ? $(id) : /^[1-9]$/.test(event.key) ? $("cues").children[Number(event.key) - 1] : null;
  if (button && !button.hidden && !button.disabled) button.click();
}

function tick() {
  watchClock();
  if (Math.floor(trueNow() / 1000) !== shownSecond) show();
}

log = storedLog(place);
sameClock();
build();
show();
setInterval(tick, 100);
document.addEventListener("visibilitychange", tick);
window.addEventListener("storage", () => { sameClock(); show(); }); // another pass of this page, open beside it
