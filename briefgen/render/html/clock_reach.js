// The fold-out "If you can't reach them": its lines stand in the page already; here what moves with the hold, and telephones that can be tapped.
"use strict";

// The moment counts from leave-hold, so it moves with every change that the hold takes in.
function unheardText(view) {
  const moved = view.now.flying.leave - data.flying.leave;
  if (data.unheard === null || Math.abs(moved) < SAME_SECOND_S) return unheardAsPlanned;
  return `heard nothing by ${limitClock(instantOf(data, data.unheard.at + moved), "latest")}: ${data.unheard.does}`;
}

function linkPhones() {
  for (const cell of document.querySelectorAll(".reached")) {
    const found = /\+?\d[\d\s()-]{4,}\d/.exec(cell.textContent);
    if (found === null) continue;
    const [number] = found, words = cell.textContent, link = element("a", "", number);
    link.setAttribute("href", `tel:${number.replace(/[^+\d]/g, "")}`);
    cell.replaceChildren(words.slice(0, found.index), link, words.slice(found.index + number.length));
  }
}
