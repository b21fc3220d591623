// The page beside the flame. A press is first kept in this browser, with a nonce and
// the time on the bench's clock, then sent until the bench has answered that it is
// kept there. Read clock.js, outbox.js, burn.js, press.js, bay.js, follow.js.
import * as clock from "./clock.js";
import { watchLink } from "./ask.js";
import { offerAgain, otherTab, retime, send, watchOutbox } from "./outbox.js";
import { bench } from "./burn.js";
import { choose, render, ticking } from "./bay.js";
import { act, flashed } from "./press.js";
import { followWith, holding, hush, linkChanged, listen, refresh } from "./follow.js";
import { byHand, keys } from "./keys.js";
import { offerSigns, stayAwake } from "./signs.js";
import { line, tell } from "./line.js";

function begin() {
  const root = bench.root = document.getElementById("timing");
  bench.title = root.dataset.title;
  bench.device = root.dataset.device;
  JSON.parse(root.dataset.moments).forEach(m => { bench.moments[m.name] = m; });
  bench.bays = JSON.parse(root.dataset.state).map(b => Object.assign(b, { el: root.querySelector('.bay[data-bay="' + b.number + '"]') }));
  choose(Math.min(bench.active, bench.bays.length - 1));
  draw();
  ticking();
}
function draw() { render(); line(); }

// What the bench has now stands here too, whatever becomes of the next question.
function delivered(presses) {
  for (const p of presses) {
    const bay = p.title === bench.title && bench.bays.find(b => b.burn && b.burn.id === p.burn);
    if (!bay) { continue; }
    const moments = bay.burn.moments.filter(m => !p.takes_back || m.nonce !== p.takes_back);
    if (!p.takes_back && !moments.some(m => m.nonce === p.nonce)) {
      moments.push({ what: p.what, nonce: p.nonce, at: p.at, within: p.within, device: bench.device, state: "holds" });
    }
    bay.burn.moments = moments;
  }
  refresh();
}

// After a sleep, another network or a clock that was set.
let looked = Date.now();
function awake() {
  looked = Date.now();
  clock.compare(5);
  refresh();
  send();
  listen();
  stayAwake();
}
function beat() {
  if (clock.look() || Date.now() - looked > 5000) { awake(); }
  looked = Date.now();
  ticking();
}

const bayOf = e => e.target.closest && bench.bays.find(b => b.el === e.target.closest(".bay"));
function chosen(e) {
  const b = bayOf(e);
  if (b) { choose(bench.bays.indexOf(b)); }
}
function submitted(e) {
  const b = bayOf(e);
  if (!b || !e.target.matches("form.press")) { return; }
  e.preventDefault();
  if (e.submitter && e.submitter.offsetParent && b.burn) { act(b, e.submitter); } // the return key presses what is hidden, too
}
// The other marks of a station that is chosen by hand come into sight.
function picked(e) {
  const b = e.target.matches && e.target.matches(".pick input") && bayOf(e);
  if (b) { b.el.querySelector(".more").scrollIntoView({ block: "nearest" }); }
}

function flashAt() {
  const at = bench.bays[bench.active], burning = b => b && b.burn && !b.end;
  return burning(at) ? at : bench.bays.find(burning) || bench.bays.find(b => b.burn);
}
function mayFlash() {
  if (!flashAt()) { tell("Set up a burn first: the flash is kept with it."); }
  return !!flashAt();
}

function hear() {
  const on = (types, fn) => types.split(" ").forEach(type => document.addEventListener(type, fn));
  on("pointerdown focusin change", chosen);
  on("change", draw);
  on("click", picked);
  on("submit", submitted);
  on("pointerdown pointerup pointercancel keydown keyup", holding);
  on("pointerdown", byHand);
  on("keydown", keys);
  on("visibilitychange", () => {
    if (document.visibilityState === "visible") { awake(); } else { holding({ type: "hidden" }); hush(); }
  });
  window.addEventListener("blur", holding);
  window.addEventListener("pageshow", e => { if (e.persisted) { awake(); } });
  window.addEventListener("online", awake);
  window.addEventListener("storage", e => { if (otherTab(e)) { draw(); } });
}

function start() {
  if (!document.getElementById("timing")) { // a form with a cool-down to wait for
    clock.compare(2);
    setInterval(ticking, 250);
    return;
  }
  const first = document.querySelector(".bay:has(.pick input:checked)");
  bench.active = Math.max(0, [...document.querySelectorAll(".bay")].indexOf(first));
  clock.watchClock(() => { retime(); draw(); send(); });
  watchLink(() => { linkChanged(); line(); });
  watchOutbox(draw, delivered);
  followWith(begin, () => { offerAgain(); awake(); line(); });
  begin();
  offerSigns(mayFlash, () => flashed(flashAt()));
  stayAwake();
  hear();
  clock.compare(5);
  listen();
  setInterval(beat, 100);
  setInterval(send, 2000);
  setInterval(() => clock.compare(1), 20000);
}
start();
