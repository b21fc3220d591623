// The keys of a laptop: space for the mark expected next, a letter for each moment.
import { bench } from "./burn.js";
import { choose } from "./bay.js";
import { act } from "./press.js";

let byKeys = false; // what has the focus was reached by keyboard, not pressed
export function byHand() { byKeys = false; }

export function keys(e) {
  if (e.key === "Tab") { byKeys = true; }
  if (e.ctrlKey || e.metaKey || e.altKey || e.repeat) { return; }
  const at = e.target.closest ? e.target : document.body;
  if (at.closest("select, textarea, input:not([type=radio])")) { return; }
  if (e.key === "ArrowDown" || e.key === "ArrowUp") {
    if (at.type === "radio") { return; }
    e.preventDefault();
    choose(bench.active + (e.key === "ArrowDown" ? 1 : -1));
    bench.bays[bench.active].el.querySelector(".strip").scrollIntoView({ block: "nearest" });
    return;
  }
  const bay = bench.bays[bench.active], to = bay && bay.burn && meant(bay, e, at);
  if (!to) { return; }
  e.preventDefault();
  act(bay, to);
}

function meant(bay, e, at) {
  // A keyboard of another script has the letters where they are on a Latin one.
  const letter = /^[ -~]$/.test(e.key) ? e.key.toLowerCase() : (e.code || "").replace(/^(Key|Digit)/, "").toLowerCase();
  if (e.key === " ") {
    return byKeys && at.closest("button, a, summary, input") ? undefined : offers(bay, ".next"); // it presses what has the focus
  }
  if (letter === "u") { return offers(bay, ".undo"); }
  const named = Object.values(bench.moments).find(m => m.key === letter && !m.test);
  return named && offers(bay, ':is(.marks, .faults) button[value="' + named.name + '"]');
}

function offers(bay, selector) {
  return [...bay.el.querySelectorAll(selector)].find(b => b.offsetParent && !b.disabled);
}
