// What a press of a control comes to.
import * as clock from "./clock.js";
import { keep } from "./outbox.js";
import { bench, find, mine, newest, offered, pressed, questions, standing, undone } from "./burn.js";
import { render } from "./bay.js";
import { sign } from "./signs.js";

const BOUNCE = 350;  // wet fingers press one control twice
const AGAIN = 1500;  // what one device marks twice within that was meant once, as the bench has it
const replaced = new Map(); // by nonce: the moment that this press replaced

function lay(bay, what, extra, ago) {
  const nonce = keep({ title: bench.title, burn: bay.burn.id, what, ...extra }, ago);
  pressed.push(nonce);
  return nonce;
}

// The same moment once more, as a press of its own.
function put(bay, m) {
  return lay(bay, m.what, { at: m.at, own: m.own ?? m.at, within: m.within ?? clock.within(), era: m.era ?? "" });
}

function takeBack(bay, m) {
  lay(bay, m.what, { takes_back: m.nonce, at: m.at, own: m.own ?? m.at, within: m.within ?? clock.within(), era: "" });
}

function undo(bay, m) {
  if (!m) { return; }
  takeBack(bay, m);
  undone.set(bay.burn.id, [...(undone.get(bay.burn.id) || []), m]);
  const before = replaced.get(m.nonce);
  if (before) { put(bay, before); }
}

function putBack(bay) {
  const m = offered(bay);
  if (!m) { return; }
  undone.set(bay.burn.id, undone.get(bay.burn.id).filter(x => x !== m));
  put(bay, m);
}

function mark(bay, what, ago) {
  const list = standing(bay.burn), unseen = what === "out" && find(list, "unseen"), before = mine(list, what);
  if (unseen && !before) {
    put(bay, { ...unseen, what });
    return;
  }
  const own = Date.now() - ago, at = clock.onBench(own);
  if (!before) {
    lay(bay, what, {}, ago);
  } else if (Math.abs(at - before.at) > AGAIN) {
    questions.set(bay.burn.id, { what, at, own, within: clock.within(), era: clock.era() });
    render();
    bay.el.querySelector(".again").scrollIntoView({ block: "nearest" });
  }
}

function replace(bay) {
  const q = questions.get(bay.burn.id), before = q && mine(standing(bay.burn), q.what);
  questions.delete(bay.burn.id);
  if (!before) { return; }
  takeBack(bay, before);
  replaced.set(put(bay, q), before);
}

const acts = {
  undo: (bay, value) => undo(bay, value === "unseen" ? find(bay.list, "unseen") : newest(bay.list)),
  back: putBack,
  replace,
  leave: bay => { questions.delete(bay.burn.id); render(); },
  what: (bay, value) => {
    const ago = bay.el.querySelector(".agos input:checked"), first = bay.el.querySelector(".agos input");
    mark(bay, value, ago ? Number(ago.value) * 1000 : 0);
    if (first) { first.checked = true; }
    render();
  },
};

export function act(bay, control) {
  // One control twice within a third of a second is once, even where it says
  // something else by then.
  if (bay.control === control && Math.abs(performance.now() - bay.acted) < BOUNCE) { return; }
  bay.control = control;
  bay.acted = performance.now();
  acts[control.name](bay, control.value);
  sign();
}

// The mark of a flash for the film.
export function flashed(bay) { lay(bay, "sync", {}); }
