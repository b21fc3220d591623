// Presses on their way to the bench. Each is kept in this browser until the bench has
// answered that it has it. The page holds its own as well, since a browser may
// refuse its store and two tabs may write it at once.
import * as clock from "./clock.js";
import { get, nonce } from "./ask.js";

const KEPT = "fairburn presses", MONTH = 31 * 86400e3, LOT = 100;
const LONGEST = 20000; // a browser sends 64 kB for a page that is being left
let own = [];              // what this page knows better than the store
const gone = new Set();    // nonces that the bench has, should the store not let go of them
export const outbox = { keeps: true, trouble: "" };

let changed = () => {}, delivered = () => {};
export function watchOutbox(onChange, onDelivered) { changed = onChange; delivered = onDelivered; }

function stored() {
  let text = null;
  try { text = localStorage.getItem(KEPT); } catch { outbox.keeps = false; }
  try {
    const list = JSON.parse(text) || [];
    return list.filter(p => p && typeof p.nonce === "string" && !gone.has(p.nonce));
  } catch { return []; } // not what a page of ours wrote
}

// All that the bench does not have yet, in the order of pressing.
export function all() {
  const mine = new Map(own.map(p => [p.nonce, p]));
  const list = stored().map(p => mine.get(p.nonce) || p);
  const there = new Set(list.map(p => p.nonce));
  return list.concat(own.filter(p => !there.has(p.nonce)));
}

function save(list) {
  const there = new Set(list.map(p => p.nonce));
  own = own.filter(p => there.has(p.nonce));
  try {
    localStorage.setItem(KEPT, JSON.stringify(list));
    outbox.keeps = true;
  } catch {
    own = list;
    outbox.keeps = false;
  }
}

// Makes a press of now, or of so many milliseconds ago, and keeps it.
export function keep(press, ago = 0) {
  clock.look(); // it may have been set since the last look
  const mine = Date.now() - ago;
  const p = {
    nonce: nonce(), at: clock.onBench(mine), own: mine, era: clock.era(), within: clock.known() ? clock.within() : 86400000,
    pressed: Date.now(), zone: -new Date().getTimezoneOffset(), detail: "", takes_back: "", ...press,
  };
  own.push(p);
  save(all());
  changed();
  send();
  return p.nonce;
}

export const waiting = () => all().filter(p => !p.refused);

// Presses made before the clocks were compared get their time by what is known now,
// as long as neither was set since.
export function retime() {
  const within = clock.within();
  const list = all(), vague = list.filter(p => p.era === clock.era() && p.within > 50 && within < p.within);
  vague.forEach(p => { p.at = clock.onBench(p.own); p.within = within; });
  if (vague.length) { save(list); }
}

// What was refused is offered once more: another bench may have been open here, or
// this one have had a trouble of its own. No bench takes what is a month old.
export function offerAgain() {
  const list = all().filter(p => !p.refused || p.own > Date.now() - MONTH);
  list.forEach(p => { delete p.refused; });
  save(list);
}

let sending = false;
export async function send() {
  if (sending || !waiting().length) { return; }
  sending = true;
  let more = false;
  try { more = await deliver(); } catch { /* no answer: the link says so */ }
  sending = false;
  changed();
  if (more) { send(); }
}

// One lot; true when the next may follow. Presses wait for a look at the bench's
// clock where it is not known well: without it their times would be those of a
// device that may be minutes off.
let most = LOT;
async function deliver() {
  if (!clock.close() && !await clock.compare(1)) { return false; }
  const lot = waiting().slice(0, most);
  while (lot.length > 1 && JSON.stringify(lot).length > LONGEST) { lot.length = Math.ceil(lot.length / 2); }
  const answer = await get("/marks", { method: "POST", headers: { "Content-Type": "application/json", "Accept": "application/json" }, body: JSON.stringify(lot), keepalive: true });
  const said = read(answer.text);
  if (answer.ok && Array.isArray(said.kept)) { return took(lot, said); }
  if (![400, 413, 415, 422].includes(answer.status)) {
    outbox.trouble = answer.status === 403 ? "This device is not paired any more. Its marks are kept here: pair it again from the machine of the bench."
      : "The bench does not take marks now: " + (said.error || "it answered " + answer.status) + ". They are kept on this device.";
    return false;
  }
  if (lot.length > 1) { // one that cannot be read holds up no other
    most = 1;
    return true;
  }
  most = LOT;
  return took(lot, { kept: [], refused: { [lot[0].nonce]: said.error || "the bench answered " + answer.status } });
}

function read(text) {
  try { return JSON.parse(text) || {}; } catch { return {}; }
}

function took(lot, said) {
  const kept = new Set(said.kept), refused = said.refused || {};
  const here = lot.filter(p => kept.has(p.nonce));
  here.forEach(p => gone.add(p.nonce));
  outbox.trouble = "";
  save(all().map(p => (refused[p.nonce] ? { ...p, refused: refused[p.nonce] } : p)).filter(p => !kept.has(p.nonce)));
  delivered(here);
  return here.length > 0 || lot.some(p => refused[p.nonce]);
}
export const otherTab = e => e.key === KEPT;
