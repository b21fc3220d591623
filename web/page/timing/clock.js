// The bench's clock as this device knows it: its time at the middle of a question,
// known to half of the time that the question took, and less well as time passes,
// since a device's clock may gain or lose 100 millionths (common practice, no
// source). What is known best holds.
import { get, nonce } from "./ask.js";

const DRIFT = 1e-4, CLOSE = 50, JUMP = 20; // ms
// An era is a time in which neither clock was set.
const clock = { offset: 0, within: Infinity, at: 0, era: nonce() };

export const now = () => Date.now() + clock.offset;
export const onBench = own => own + clock.offset;
export const within = () => clock.within + Math.abs(Date.now() - clock.at) * DRIFT;
export const known = () => isFinite(clock.within);
export const close = () => within() <= CLOSE;
export const era = () => clock.era;

let watcher = () => {};
export function watchClock(fn) { watcher = fn; } // called when it is known better

// The device's own clock may be set while the page is open, or run on while the
// page's timers slept; which of the two cannot be told. Until the clocks are
// compared again, times are known to as much as it jumped. True for a jump.
let apart = Date.now() - performance.now();
export function look() {
  const now = Date.now(), d = now - performance.now(), jump = Math.abs(d - apart);
  if (jump <= JUMP) { return false; }
  clock.within = within() + jump;
  clock.at = now;
  clock.era = nonce();
  apart = d;
  return true;
}

// Compares the clocks so many times, and tells whether the bench answered.
export async function compare(times) {
  try {
    for (let i = 0; i < times; i++) { await compareOnce(); }
    return true;
  } catch {
    return false;
  }
}

async function compareOnce() {
  const sent = Date.now(), t0 = performance.now(), era = clock.era;
  const answer = await get("/clock");
  const took = performance.now() - t0, its = answer.ok ? JSON.parse(answer.text).now : NaN;
  if (!isFinite(its)) { throw new Error("no time came"); }
  look();
  if (era !== clock.era) { return; } // set while the answer was on its way
  const half = took / 2 + 1, offset = its - (sent + took / 2);
  if (known() && Math.abs(offset - clock.offset) > half + within()) { // the bench's clock was set
    clock.era = nonce();
    clock.within = Infinity;
  }
  if (half > within()) { return; }
  Object.assign(clock, { offset, within: half, at: Date.now() });
  watcher();
}
