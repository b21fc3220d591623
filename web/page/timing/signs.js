// Sound, vibration, flash and a screen that stays on: on request, and where the
// browser lets a page.
const PREFS = "fairburn bench";
let audio = null, prefs = {}, lock = null;

export function beep(hertz, seconds) {
  try {
    audio = audio || new (window.AudioContext || window.webkitAudioContext)();
    const o = audio.createOscillator(), g = audio.createGain();
    o.frequency.value = hertz;
    g.gain.value = 0.4;
    o.connect(g).connect(audio.destination);
    o.start();
    o.stop(audio.currentTime + seconds);
  } catch { /* a page without sound still keeps marks */ }
}

export function sign() {
  if (prefs.sound) { beep(880, 0.12); }
  if (prefs.buzz && navigator.vibrate) { navigator.vibrate(60); }
}

function toggle(id, can) {
  const b = document.getElementById(id);
  if (!can) { return; }
  b.hidden = false;
  b.setAttribute("aria-pressed", !!prefs[id]);
  b.onclick = () => {
    prefs[id] = !prefs[id];
    try { localStorage.setItem(PREFS, JSON.stringify(prefs)); } catch { /* forgotten with the page */ }
    b.setAttribute("aria-pressed", prefs[id]);
    sign();
  };
}

// One flash of half a second with its tone; the mark is the moment it begins.
function flash(began) {
  const white = document.getElementById("white");
  white.hidden = false;
  requestAnimationFrame(() => {
    beep(1000, 0.5);
    began();
    setTimeout(() => { white.className = "dark"; setTimeout(() => { white.hidden = true; white.className = ""; }, 500); }, 500);
  });
}

// mayFlash says whether there is something to keep the flash with.
export function offerSigns(mayFlash, began) {
  try { prefs = JSON.parse(localStorage.getItem(PREFS)) || {}; } catch { prefs = {}; }
  toggle("sound", true);
  toggle("buzz", !!navigator.vibrate);
  const f = document.getElementById("flash");
  f.hidden = false;
  f.onclick = () => { if (mayFlash()) { flash(began); } };
}

// A phone that sleeps stops its clock on the screen, not the marks.
export function stayAwake() {
  const p = document.getElementById("awake");
  const byHand = () => {
    p.hidden = false;
    p.textContent = "Keep this device awake by hand: set its screen to stay on. The browser does not let this page do it" + (window.isSecureContext ? "." : " without https.") + " If it sleeps, marks made before are kept, and the clock is right again when it wakes.";
  };
  if (!navigator.wakeLock) { byHand(); return; }
  if (document.visibilityState !== "visible" || lock) { return; }
  navigator.wakeLock.request("screen").then(l => {
    lock = l;
    p.hidden = true;
    l.addEventListener("release", () => { lock = null; });
  }).catch(byHand);
}
