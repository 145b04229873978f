// The other parties: once the flight holds another T, each is told its new times, and stands as NOT ACKNOWLEDGED until it is ticked.
"use strict";

const heldBy = (view, party) => view.now.parties.has(party.who) ? view.now.parties.get(party.who) : party.held === null ? null : instantOf(data, party.held);
const acknowledges = (view, party) => heldBy(view, party) !== null && Math.abs(heldBy(view, party) - view.heldMs) < SAME_SECOND_S * 1000;

// Who does not hold the T that the flight now holds; nobody is told while it holds the planned one, or none.
function othersToTell(view) {
  if (!othersStand(view)) return [];
  return data.parties.filter((party) => !acknowledges(view, party));
}

const hasMoved = (view) => Math.abs(view.now.held - data.true_time) >= SAME_SECOND_S || view.now.parties.size > 0;
const othersStand = (view) => data.parties.length > 0 && !view.now.holding && !isOver(view) && hasMoved(view);

// Times given from T move with it, clock times stay.
function partyText(view, party) {
  const moved = (time) => z(instantOf(data, time.at + (time.moves ? view.now.held - data.true_time : 0)));
  const [from, until] = [party.start, party.end].map((time) => time === null ? null : moved(time));
  const span = from !== null && until !== null ? `${from} to ${until}` : from !== null ? `from ${from}` : until !== null ? `until ${until}` : "";
  return [party.what, span, `T ${z(view.heldMs)}`, party.contact].filter((words) => words).join(", ");
}

function showOthers(view) {
  visible("others", othersStand(view));
  data.parties.forEach((party, i) => {
    const done = acknowledges(view, party);
    text(`party-${i}`, partyText(view, party));
    text(`party-state-${i}`, done ? "ACKNOWLEDGED" : "NOT ACKNOWLEDGED");
    $(`party-said-${i}`).classList.toggle("done", done);
    $(`party-said-${i}`).disabled = done;
  });
}

function buildOthers() {
  $("party-rows").append(...data.parties.flatMap((party, i) => {
    const words = element("p", "told", `${party.who}: `), line = element("span", "reached", ""), button = element("button", "", `${party.who}: `), state = element("span", "", "");
    [words.id, line.id, button.id, state.id] = [`party-row-${i}`, `party-${i}`, `party-said-${i}`, `party-state-${i}`];
    words.append(line);
    button.type = "button";
    button.append(state, element("small", "", "Tap once it has acknowledged the new T"));
    button.addEventListener("click", () => tapped(button.id, () => acknowledgedNow(party)));
    return [words, button];
  }));
}

function acknowledgedNow(party) {
  const view = seen();
  write({ k: "party", who: party.who, held: view.heldMs });
}
