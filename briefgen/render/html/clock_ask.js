// A true time beyond a limit of the event, of the fuel or of the accepted slip is asked of the flight before it is told; so is the one that it
// holds. The limits are those of briefgen/brief/wording/wait_limits.py, as the ground contact's card prints them. No page elements here.
"use strict";

// The first limit that this true time lies beyond, as verdict() of briefgen/plan/event/waits.py has it; null: none is known.
function beyondLimit(data, target) {
  const late = data.waits.limits.find((limit) => target > limit.at + SAME_S);
  if (late) return { ...late, side: "later" };
  const early = data.waits.earliest.find((limit) => target < limit.at - SAME_S);
  if (early) return { ...early, side: "earlier" };
  const hole = data.waits.between.find(({ at, to }) => at < target && target < to); // the next pass could not fly its wait
  return hole ? { ...hole, side: "between" } : null;
}

// What stands in the way of a verdict. "hold": of the time held already; "tell": of a change to be told; "question": the call is a question as it is;
// "silence": of the T that an overdue cue leaves, which is no earlier than that; "lost": of one that can't be flown either.
function barrierOf(data, now, found, { change, predicted }) {
  const state = { "no call": "hold", "new time": "tell", fast: "tell", slow: "tell", wait: "tell", ask: "question", "not started": "silence", unable: "lost" }[found.kind];
  if (state === undefined || found.closed) return null; // too late to ask, too
  const target = state === "silence" ? predicted.target + predicted.late : now.held + (state === "hold" ? 0 : change), limit = beyondLimit(data, target);
  return limit === null ? null : { limit, state, target, answer: answerTo(now.answers, limit.side, target) };
}

// The last answer that covers it: who accepted a time accepts one less far out, who refused a time refuses one further out; in a hole of the next
// pass each time is its own.
function answerTo(answers, side, target) {
  if (side === "between") return answers.filter((a) => a.side === side && Math.abs(a.target - target) <= SAME_SECOND_S).pop() || null;
  const out = (t) => side === "later" ? t : -t;
  return answers.filter((a) => a.side === side && (a.agreed ? out(target) <= out(a.target) + SAME_SECOND_S : out(target) >= out(a.target) - SAME_SECOND_S)).pop() || null;
}

// No HOLD where the T that it leads to, at least as late as the cue is, lies beyond a limit: then the flight says what it can. No return to the
// hold where the earliest T after it lies beyond a limit of this pass: it goes home, or on to the next pass.
function withinLimits(data, found, target) {
  if (found.added === "no cue" && data.no_cue.then === "hold" && found.soonest !== null) {
    return isTooLate(data, found.soonest) ? { ...found, added: data.no_cue.given_up } : found;
  }
  if (found.added !== "hold" || beyondLimit(data, found.soonest ?? target) === null) return found;
  return { ...found, added: "intentions" };
}

// The same of a flight that was told to hold: it goes home, or on, once no T can follow, or the call is read back after HOME or ON FROM HOLD.
function whileHolding(data, target, told) {
  if (data.home !== null && told > data.home + SAME_INSTANT_S) return ruling("not started", { added: data.home_then });
  return ruling("not started", { added: isTooLate(data, target) ? data.no_cue.given_up : "" });
}

const isTooLate = (data, target) => data.waits.limits.some((limit) => !limit.loses && target > limit.at + SAME_SECOND_S);

const mustAsk = (barrier) => barrier !== null && !["silence", "lost"].includes(barrier.state) && !(barrier.answer !== null && barrier.answer.agreed);

// The limit that one more lap would pass, where the verdict offers one; null: it offers none, or within the limits.
const lapLimit = (data, now, found) => found.oneMoreLap === null ? null : beyondLimit(data, now.held + found.oneMoreLap);

// No clock time but the one that is held is in a question: nothing in it can be taken for a change.
function callAskFirst(who, barrier, heldMs, change) {
  const asks = barrier.state === "hold" ? `Can you hold true time ${spokenClock(heldMs)} Zulu? Say intentions.`
    : `Question only, true time stands. Ceremony ${howLate(change)}. Can you accept it?`;
  return { say: `${who.flight}, ${who.ground}. ${asks}`, readBack: "" };
}

const ASK_TITLES = { hold: "T CANNOT BE HELD: ASK THE FLIGHT", later: "TOO LATE: ASK FIRST", earlier: "TOO EARLY: ASK FIRST", between: "UNABLE: ASK FIRST" };

function askTitle(barrier) {
  if (barrier.answer !== null) return "NOT ACCEPTED";
  return ASK_TITLES[barrier.state === "hold" ? "hold" : barrier.limit.side];
}

function limitWords(data, limit) {
  const ms = instantOf(data, limit.at), near = instantOf(data, data.true_time);
  if (limit.side === "earlier") return `No T before ${limitDated(ms, "earliest", near)}: ${limit.because}.`;
  if (limit.side === "between") return holeWords(data, limit);
  return `T cannot be later than ${limitDated(ms, "latest", near)}: ${limit.because}.`;
}

// As the ground contact's card has it.
function holeWords(data, hole) {
  const [first, last] = [hole.first, hole.last].map((at) => clockText(instantOf(data, at)));
  return `${hole.unable} for T ${first} to ${last}: ${hole.because}.`;
}

function barrierWords(data, barrier) {
  const { answer } = barrier, parts = [limitWords(data, barrier.limit)];
  if (answer !== null && answer.agreed) parts.push(`Accepted ${runningText(answer.t)} Z.`);
  if (answer !== null && !answer.agreed) parts.push(`Refused at ${runningText(answer.t)} Z: tell the event and the supervisor.`);
  return parts.join(" ");
}

// Instead of the offer of a lap that would pass a limit.
function lapWords(data, view) {
  const made = clockText(instantOf(data, view.now.held + view.ruling.oneMoreLap));
  return `${view.lapLimit.side === "between" ? "UNABLE" : "TOO LATE"} for one more lap: it makes T ${made} Z. ${limitWords(data, view.lapLimit)}`;
}
