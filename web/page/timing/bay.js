// The stations as they are drawn.
import * as clock from "./clock.js";
import { bench, endOf, find, label, mine, newest, next, offered, questions, standing, text, time } from "./burn.js";

export function render() {
  bench.bays.filter(b => b.burn).forEach(draw);
}

function draw(bay) {
  const { burn, el } = bay, list = standing(burn), light = find(list, "light"), end = endOf(list);
  const none = burn.void && !light, unseen = !end && light && find(list, "unseen"), n = none ? "" : next(burn, list);
  Object.assign(bay, { list, light, end });
  el.dataset.stage = end || none ? "ended" : unseen ? "flame not seen" : light ? "burning" : "ready";
  const stage = none ? "Set aside." : end ? (n ? "Flame ended." : "Ended.") : unseen ? "Flame not seen: it may still burn." : light ? "Burning." : "Not lit yet.";
  const last = newest(list);
  text(el.querySelector(".said"), last && !unseen ? stage.slice(0, -1) + " · " + said(bay, last) : stage);
  el.querySelector(".unseen").hidden = !unseen;
  drawNext(bay, unseen ? "" : n);
  el.querySelectorAll(".marks button, .faults button").forEach(b => {
    b.classList.toggle("has", !!find(list, b.value));
    b.setAttribute("aria-pressed", !!find(list, b.value));
  });
  drawUndo(bay, last);
  drawQuestion(bay);
  drawLog(bay);
  tick(bay);
}

// A moment in words, with its time from light.
const said = (bay, m) => label(m.what) + (bay.light ? " " + time(m.at - bay.light.at, true) : "");

function drawNext(bay, n) {
  const big = bay.el.querySelector(".next:not(.unsure)"), ago = bay.el.querySelector(".agos input:checked");
  big.hidden = !n || n === "out";
  bay.el.querySelector(".next.unsure").hidden = n !== "out";
  if (big.hidden) { return; }
  big.value = n;
  text(big.querySelector(".what"), label(n));
  text(big.querySelector("small"), (ago && ago.value > 0 ? ago.value + " s ago: " : "") + (bench.moments[n] ? bench.moments[n].means : ""));
}

function drawUndo(bay, last) {
  const undo = bay.el.querySelector(".undo"), back = bay.el.querySelector(".back"), was = offered(bay);
  undo.disabled = !last;
  text(undo, last ? "Undo: " + said(bay, last) : "Undo the last");
  back.hidden = !was;
  if (was) { text(back, "Put back: " + said(bay, was)); }
}

function drawQuestion(bay) {
  const q = questions.get(bay.burn.id), box = bay.el.querySelector(".again"), before = q && mine(bay.list, q.what);
  if (q && !before) { questions.delete(bay.burn.id); }
  box.hidden = !before;
  if (!before) { return; }
  text(box.querySelector(".was"), said(bay, before));
  text(box.querySelector(".by"), bay.light ? time(q.at - bay.light.at, true) : "the time of the press");
}

function drawLog(bay) {
  const log = bay.el.querySelector(".log");
  log.replaceChildren(...bay.list.map(m => {
    const li = document.createElement("li"), t = document.createElement("span");
    t.className = "from";
    t.textContent = bay.light ? time(m.at - bay.light.at, true) : "—";
    li.append(t, " " + label(m.what) + (m.state !== "waiting" && m.device ? " · " + m.device : ""));
    if (m.state === "waiting" || m.state === "refused") { li.className = m.state; }
    if (m.state === "refused") { li.append(": not taken, " + m.why); }
    if (m.state === "rival") {
      const s = document.createElement("strong");
      s.textContent = " · marked more than once; settle it on the page of the burn";
      li.append(s);
    }
    return li;
  }));
}

// The clock of a flame that another device lit waits until the clocks are compared.
function tick(bay) {
  const { light, end, el } = bay;
  if (light && light.own === undefined && !clock.known()) { return; }
  text(el.querySelector(".clock"), light ? time((end ? end.at : Math.max(clock.now(), light.at)) - light.at) : "0:00");
}

export function ticking() {
  bench.bays.filter(b => b.burn).forEach(tick);
  document.querySelectorAll("[data-until]").forEach(e => {
    const left = Number(e.dataset.until) - clock.now();
    text(e, left > 0 ? time(left) : e.dataset.past);
  });
}

// Where there is little room the other marks of one station are shown.
export function choose(i) {
  const { bays } = bench;
  if (!bays.length) { return; }
  bench.active = (i + bays.length) % bays.length;
  bays.forEach((b, k) => b.el.classList.toggle("active", k === bench.active));
  const pick = bays[bench.active].el.querySelector(".pick input");
  if (pick) { pick.checked = true; }
}
