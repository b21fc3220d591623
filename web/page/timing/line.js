// The line that says how things stand between this page and the bench. It is read
// out when it changes, so it changes only with what there is to do.
import * as clock from "./clock.js";
import { link } from "./ask.js";
import { outbox, waiting } from "./outbox.js";
import { text, time } from "./burn.js";

let note = "";
export function tell(what) {
  note = what;
  line();
  setTimeout(() => { note = ""; line(); }, 8000);
}

export function line() {
  const el = document.getElementById("line"), n = waiting().length;
  if (!el) { return; }
  let say = outbox.trouble || note;
  if (!link.up) {
    say = "No answer from the bench. Go on: marks are kept on this " + (outbox.keeps ? "device" : "page") + (n ? " (" + n + " now)" : "") + " and sent when it is back. Leave this page open; do not load it anew.";
  } else if (!say && !clock.known()) {
    say = "Comparing this device's clock with the bench's.";
  } else if (!say) {
    say = n ? n + (n === 1 ? " mark" : " marks") + " on the way to the bench." : "Every mark is on the bench.";
    say += clock.close() ? " This device keeps the bench's time to 50 ms." : " Times are known to " + time(clock.within(), true) + " only until the clocks are compared again.";
  }
  if (!outbox.keeps) { say += " This browser keeps nothing: leave this page open until every mark is on the bench."; }
  text(el, say);
  el.classList.toggle("trouble", !link.up || !outbox.keeps || !!outbox.trouble || !!note);
}
