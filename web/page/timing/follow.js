// The page follows the bench: what happens at a burning station is drawn; where none
// burns the station is read anew, with what comes next.
import { get, link, lost } from "./ask.js";
import { bench } from "./burn.js";
import { render } from "./bay.js";

const going = b => b.burn && b.burn.stage !== "ended";
let begin = () => {}, opened = () => {};
export function followWith(onExchange, onOpen) { begin = onExchange; opened = onOpen; }

// One question at a time, so that no older answer comes after a newer one.
let asking = false, more = false;
export async function refresh() {
  more = true;
  if (asking) { return; }
  asking = true;
  try {
    while (more) { more = false; await once(); }
  } catch { /* no answer: the link says so */ }
  asking = false;
}

async function once() {
  const answer = await get("/trial/" + encodeURIComponent(bench.title) + "/bench/state", { headers: { "Accept": "application/json" } });
  if (!answer.ok) { return; }
  const state = JSON.parse(answer.text), { bays } = bench;
  const same = state.length === bays.length && state.every((b, i) => b.number === bays[i].number && going(b) && going(bays[i]) && b.burn.id === bays[i].burn.id);
  if (!same) { await reload(); return; }
  state.forEach((b, i) => { bays[i].burn = b.burn; });
  render();
}

// A station that is exchanged under a finger would lose its press.
let held = false, owed = false;
export function holding(e) {
  held = e.type === "pointerdown" || e.type === "keydown";
  if (!held && owed) { owed = false; setTimeout(refresh, 0); }
}

async function reload() {
  const answer = await get(location.pathname);
  const fresh = answer.ok && new DOMParser().parseFromString(answer.text, "text/html").getElementById("timing");
  if (!fresh) { return; }
  if (held) { owed = true; return; }
  exchange(fresh);
}

function exchange(fresh) {
  const { root, bays } = bench, at = document.activeElement, of = at && at.closest && at.closest(".bay"), number = of && of.dataset.bay;
  const grid = root.querySelector(".bays"), was = new Map(bays.map(b => [b.number, b]));
  let place = null;
  for (const b of JSON.parse(fresh.dataset.state)) {
    const old = was.get(b.number);
    let el = fresh.querySelector('.bay[data-bay="' + b.number + '"]');
    if (old && going(b) && going(old) && b.burn.id === old.burn.id) {
      el = old.el;
    } else if (old) {
      old.el.replaceWith(el);
    } else {
      grid.insertBefore(el, place ? place.nextSibling : grid.firstChild);
    }
    was.delete(b.number);
    place = el;
  }
  was.forEach(b => b.el.remove());
  grid.className = fresh.querySelector(".bays").className;
  root.dataset.state = fresh.dataset.state;
  root.querySelector(".kicker").replaceWith(fresh.querySelector(".kicker"));
  begin();
  if (number && !document.contains(at)) { focusIn(root.querySelector('.bay[data-bay="' + number + '"]'), at); }
}

// The same control of the new station, else the first thing that it offers.
function focusIn(bay, was) {
  const all = bay ? [...bay.querySelectorAll("button, a, input")].filter(e => e.offsetParent && !e.disabled) : [];
  const to = all.find(e => e.name === was.name && e.value === was.value && e.textContent === was.textContent) || all[0];
  if (to) { to.focus({ preventScroll: true }); }
}

// A browser opens few connections to one place, so a page that nobody sees lets go
// of its own. One that brings nothing any more is opened anew.
let stream = null, version = null, later = null;
export function listen() {
  if (stream || document.visibilityState !== "visible") { return; }
  stream = new EventSource("/events?trial=" + encodeURIComponent(bench.title));
  stream.onopen = opened;
  stream.onerror = () => { hush(); lost(); retry(); };
  stream.addEventListener("version", e => {
    if (version !== null && e.data !== version) { refresh(); }
    version = e.data;
  });
}
export function hush() {
  if (stream) { stream.close(); stream = null; }
}
function retry() {
  clearTimeout(later);
  later = setTimeout(listen, 2000);
}
export function linkChanged() {
  if (!link.up || stream && stream.readyState === EventSource.CONNECTING) { hush(); }
  if (link.up) { listen(); } else { retry(); }
}
