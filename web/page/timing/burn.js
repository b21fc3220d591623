// What stands of a burn: what the bench says and what waits here. Nothing here
// decides what a mark means.
import { all } from "./outbox.js";

// The page: what it is about, its stations and the one before the others.
export const bench = { root: null, title: "", device: "", moments: {}, bays: [], active: 0 };

export function standing(burn) {
  const list = burn.moments.slice(), back = {};
  for (const p of all()) {
    if (p.title !== bench.title || p.burn !== burn.id) { continue; }
    if (p.takes_back) {
      back[p.takes_back] = back[p.takes_back] || !p.refused;
    } else if (!list.some(m => m.nonce === p.nonce)) {
      list.push({ what: p.what, nonce: p.nonce, at: p.at, own: p.own, era: p.era, within: p.within, device: bench.device, state: p.refused ? "refused" : "waiting", why: p.refused });
    }
  }
  // Out takes the moment of unseen, and comes after it.
  return list.filter(m => !back[m.nonce]).sort((a, b) => a.at - b.at || (a.what === "out") - (b.what === "out"));
}

export const find = (list, what) => list.find(m => m.what === what && m.state !== "refused");
export const endOf = list => find(list, "out") || find(list, "snuffed");

// What this device marked before of a burn has only one of.
export function mine(list, what) {
  const m = bench.moments[what];
  return m && m.once ? list.find(m => m.what === what && m.state !== "refused" && m.nonce && m.device === bench.device) : undefined;
}

// The mark after the last of the order that has been marked.
export function next(burn, list) {
  let i = 0;
  burn.order.forEach((m, k) => {
    if (find(list, m) || (m === "out" || m === "snuffed") && endOf(list)) { i = k + 1; }
  });
  return burn.order[i] || "";
}

// What this page may do yet: by burn, what was taken back here, the last at the end,
// and the press by which an earlier one would be replaced.
export const undone = new Map(), questions = new Map();

// What was taken back last and can be put back: nothing else took its place.
export function offered(bay) {
  return (undone.get(bay.burn.id) || []).findLast(m => !(bench.moments[m.what] || {}).once || !find(bay.list, m.what));
}

// The last press of this page that stands, else the latest moment.
export const pressed = [];
export function newest(list) {
  const live = list.filter(m => m.state !== "refused" && m.nonce);
  const of = m => pressed.indexOf(m.nonce);
  const ours = live.filter(m => of(m) >= 0).sort((a, b) => of(a) - of(b));
  return ours[ours.length - 1] || live[live.length - 1];
}

export function time(ms, tenths) {
  let s = Math.abs(ms) / 1000;
  s = tenths ? Math.round(s * 10) / 10 : Math.floor(s);
  const m = Math.floor(s / 60), rest = s - m * 60, text = tenths ? rest.toFixed(1) : String(rest);
  return (ms < 0 ? "−" : "") + m + ":" + (rest < 10 ? "0" : "") + text;
}

export const label = what => bench.moments[what] ? bench.moments[what].label : what === "sync" ? "film flash" : what;

export function text(el, s) {
  if (el && el.textContent !== s) { el.textContent = s; }
}
