// The page beside the flame. A press is first kept in this browser, with a nonce
// and the time on the bench's clock, then sent until the bench has answered that
// it is kept there. Nothing here decides what a mark means.
(function () {
  "use strict";
  var root, title, moments = {}, bays = [], active = 0;
  var KEPT = "fairburn presses", PREFS = "fairburn bench";
  var clock = { offset: 0, within: Infinity, samples: [], last: 0 };
  var connected = false, sending = false, memory = null;

  // What is kept in the browser: presses that the bench has not answered yet.
  function load() {
    try { return JSON.parse(localStorage.getItem(KEPT)) || []; } catch (e) { return memory || []; }
  }
  function save(list) {
    memory = list;
    try { localStorage.setItem(KEPT, JSON.stringify(list)); return true; } catch (e) { return false; }
  }
  function nonce() {
    var b = new Uint8Array(16), s = "";
    crypto.getRandomValues(b);
    b.forEach(function (x) { s += (x + 256).toString(16).slice(1); });
    return s;
  }

  // The bench's clock: its time at the middle of the quickest of the last
  // questions, known to half of the time that question took.
  function ask() {
    var sent = Date.now(), t0 = performance.now();
    return fetch("/clock", { cache: "no-store" }).then(function (r) { return r.json(); }).then(function (c) {
      var took = performance.now() - t0;
      clock.samples.push({ offset: c.now - (sent + took / 2), within: took / 2 + 1, at: Date.now() });
      settle();
    }).catch(function () { /* the stream tells when the bench is back */ });
  }
  function settle() {
    var now = Date.now();
    clock.samples = clock.samples.filter(function (s) { return Math.abs(now - s.at) < 120000; });
    var best = clock.samples.reduce(function (a, b) { return b.within < a.within ? b : a; }, { within: Infinity, offset: clock.offset });
    if (best.within < Infinity) { clock.offset = best.offset; clock.within = best.within; }
    line();
  }
  // The device's own clock may be set while the page is open: then what was
  // learned of it no longer holds.
  var apart = Date.now() - performance.now();
  function watchClock() {
    var d = Date.now() - performance.now();
    if (Math.abs(d - apart) > 20) { apart = d; clock.samples = []; align(5); }
  }
  function align(n) { return n > 0 ? ask().then(function () { return align(n - 1); }) : Promise.resolve(); }
  function now() { return Date.now() + clock.offset; }

  function press(bay, what, ago, extra) {
    var p = { nonce: nonce(), title: title, burn: bay.burn.id, what: what, at: now() - ago * 1000,
      within: isFinite(clock.within) ? clock.within : 1000, pressed: Date.now(), zone: -new Date().getTimezoneOffset(), detail: "", takes_back: "" };
    for (var k in extra) { p[k] = extra[k]; }
    var list = load();
    list.push(p);
    if (!save(list)) { line("This browser keeps nothing: do not close the page before everything is on the bench."); }
    sign();
    render();
    send();
    return p;
  }

  function send() {
    if (sending) { return; }
    var list = load().filter(function (p) { return !p.refused; });
    if (!list.length) { return; }
    sending = true;
    var lot = list.slice(0, 100);
    var stop = new AbortController(), timer = setTimeout(function () { stop.abort(); }, 8000);
    fetch("/marks", { method: "POST", headers: { "Content-Type": "application/json", "Accept": "application/json" }, body: JSON.stringify(lot), signal: stop.signal, keepalive: true })
      .then(function (r) {
        if (r.status === 403) { throw new Error("This device is not paired any more. Its marks are kept here: pair it again from the machine of the bench."); }
        return r.ok ? r.json() : r.json().then(function (e) { throw new Error(e.error); });
      })
      .then(function (a) {
        connected = true;
        trouble = "";
        save(load().filter(function (p) { return a.kept.indexOf(p.nonce) < 0; }).map(function (p) {
          if (a.refused[p.nonce]) { p.refused = a.refused[p.nonce]; }
          return p;
        }));
        sending = false;
        refresh();
        send();
      })
      .catch(function (e) { sending = false; line(e && e.message && e.name === "Error" ? e.message : ""); })
      .finally(function () { clearTimeout(timer); });
  }

  // What stands of a burn: what the bench says and what waits here.
  function standing(burn) {
    var all = burn.moments.slice(), back = {};
    load().forEach(function (p) {
      if (p.title !== title || p.burn !== burn.id) { return; }
      if (p.takes_back) { back[p.takes_back] = true; return; }
      if (!all.some(function (m) { return m.nonce === p.nonce; })) {
        all.push({ what: p.what, nonce: p.nonce, at: p.at, state: p.refused ? "refused" : "waiting", why: p.refused });
      }
    });
    return all.filter(function (m) { return !back[m.nonce]; }).sort(function (a, b) { return a.at - b.at; });
  }
  function has(list, what) { return list.some(function (m) { return m.what === what && m.state !== "refused"; }); }
  function ended(list) { return has(list, "out") || has(list, "snuffed"); }
  // The mark after the last of the order that has been marked.
  function next(burn, list) {
    var i = 0;
    burn.order.forEach(function (m, k) {
      if (has(list, m) || (m === "out" || m === "snuffed") && ended(list)) { i = k + 1; }
    });
    return burn.order[i] || "";
  }
  function find(list, what) { return list.filter(function (m) { return m.what === what && m.state !== "refused"; })[0]; }
  function time(ms, tenths) {
    var sign = ms < 0 ? "−" : "", s = Math.abs(ms) / 1000;
    s = tenths ? Math.round(s * 10) / 10 : Math.floor(s);
    var m = Math.floor(s / 60), rest = s - m * 60, text = tenths ? rest.toFixed(1) : String(rest);
    return sign + m + ":" + (rest < 10 ? "0" : "") + text;
  }
  function label(what) { return moments[what] ? moments[what].label : what === "sync" ? "film flash" : what; }

  function draw(bay) {
    var burn = bay.burn, el = bay.el, list = standing(burn), light = find(list, "light");
    var end = find(list, "out") || find(list, "snuffed"), unseen = !end && light && find(list, "unseen"), n = next(burn, list);
    bay.list = list;
    bay.lightAt = light ? light.at : 0;
    bay.endAt = end ? end.at : 0;
    el.dataset.stage = end ? "ended" : unseen ? "flame not seen" : light ? "burning" : "ready";
    text(el.querySelector(".said"), end ? (n ? "Flame ended." : "Ended.") : unseen ? "Flame not seen: it may still burn." : light ? "Burning." : "Not lit yet.");
    el.querySelector(".unseen").hidden = !unseen;
    var big = el.querySelector(".next:not(.unsure)"), unsure = el.querySelector(".next.unsure");
    big.hidden = !n || n === "out" || !!unseen;
    unsure.hidden = n !== "out" || !!unseen;
    if (n && n !== "out") {
      big.value = n;
      text(big.querySelector(".what"), label(n));
      text(big.querySelector("small"), moments[n] ? moments[n].means : "");
    }
    el.querySelectorAll(".marks button, .faults button").forEach(function (b) { b.classList.toggle("has", has(list, b.value)); b.setAttribute("aria-pressed", has(list, b.value)); });
    var last = newest(list), undo = el.querySelector(".undo");
    undo.disabled = !last;
    text(undo, last ? "Undo: " + label(last.what) + (light ? " " + time(last.at - light.at, true) : "") : "Undo the last");
    var log = el.querySelector(".log");
    log.replaceChildren.apply(log, list.map(function (m) {
      var li = document.createElement("li"), t = document.createElement("span");
      t.className = "from";
      t.textContent = light ? time(m.at - light.at, true) : "—";
      li.append(t, " " + label(m.what) + (m.device ? " · " + m.device : ""));
      if (m.state === "waiting") { li.className = "waiting"; }
      if (m.state === "refused") { li.className = "refused"; li.append(": not taken, " + m.why); }
      if (m.state === "rival") { var s = document.createElement("strong"); s.textContent = " · marked more than once; settle it on the page of the burn"; li.append(s); }
      return li;
    }));
    tick(bay);
  }
  function newest(list) {
    var order = load().map(function (p) { return p.nonce; });
    var live = list.filter(function (m) { return m.state !== "refused"; });
    var mine = live.filter(function (m) { return order.indexOf(m.nonce) >= 0; });
    return mine.length ? mine.sort(function (a, b) { return order.indexOf(a.nonce) - order.indexOf(b.nonce); })[mine.length - 1] : live[live.length - 1];
  }
  function text(el, s) { if (el && el.textContent !== s) { el.textContent = s; } }
  function tick(bay) {
    if (!bay.burn) { return; }
    text(bay.el.querySelector(".clock"), bay.lightAt ? time((bay.endAt || Math.max(now(), bay.lightAt)) - bay.lightAt) : "0:00");
  }
  function render() { bays.forEach(function (b) { if (b.burn) { draw(b); } }); line(); }
  function ticking() {
    watchClock();
    bays.forEach(tick);
    document.querySelectorAll("[data-until]").forEach(function (e) {
      var left = Number(e.dataset.until) - now();
      text(e, left > 0 ? time(left) : e.dataset.past);
    });
  }

  // The line that says how things stand between this page and the bench.
  var trouble = "";
  function line(what) {
    if (what !== undefined) { trouble = what; }
    var list = load().filter(function (p) { return !p.refused; }), el = document.getElementById("line"), say;
    if (!el) { return; }
    if (!connected) {
      say = "No answer from the bench. Go on: marks are kept on this device" + (list.length ? " (" + list.length + " now)" : "") + " and sent when it is back. Leave this page open; do not load it anew.";
    } else if (trouble) {
      say = trouble;
    } else {
      say = list.length ? list.length + (list.length === 1 ? " mark" : " marks") + " on the way to the bench." : "Every mark is on the bench.";
      say += !isFinite(clock.within) ? "" : clock.within <= 50 ? " This device keeps the bench's time to " + Math.ceil(clock.within) + " ms." : " The network is slow: times are known to " + Math.ceil(clock.within) + " ms only.";
    }
    text(el, say);
    el.classList.toggle("trouble", !connected || !!trouble);
  }

  // The page follows the bench: small changes are drawn, another burn loads the page.
  var version = null;
  function refresh() {
    fetch("/trial/" + encodeURIComponent(title) + "/bench/state", { headers: { "Accept": "application/json" }, cache: "no-store" })
      .then(function (r) { return r.ok ? r.json() : Promise.reject(); })
      .then(function (state) {
        connected = true;
        var same = state.length === bays.length && state.every(function (b, i) {
          var was = bays[i].burn, is = b.burn;
          return b.number === bays[i].number && (was ? was.id : "") === (is ? is.id : "") && (!is || (is.ended > 0) === bays[i].wasEnded);
        });
        if (!same) { return reload(); }
        state.forEach(function (b, i) { bays[i].burn = b.burn; });
        trouble = "";
        render();
      }).catch(function () { connected = false; line(); });
  }
  function reload() {
    return fetch(location.pathname, { cache: "no-store" }).then(function (r) { return r.ok ? r.text() : Promise.reject(); }).then(function (html) {
      var fresh = new DOMParser().parseFromString(html, "text/html").getElementById("timing");
      if (!fresh) { return; }
      var at = document.activeElement && document.activeElement.closest && document.activeElement.closest(".bay");
      var number = at && at.dataset.bay;
      root.replaceWith(fresh);
      begin();
      var again = number && document.querySelector('.bay[data-bay="' + number + '"] button:not([hidden])');
      if (again) { again.focus({ preventScroll: true }); }
    }).catch(function () { connected = false; line(); });
  }
  function listen() {
    var stream = new EventSource("/events?trial=" + encodeURIComponent(title));
    stream.onopen = function () { if (!connected) { connected = true; align(3); } send(); line(); };
    stream.onerror = function () { connected = false; line(); };
    stream.addEventListener("version", function (e) {
      connected = true;
      if (e.data !== version) { if (version !== null) { refresh(); } version = e.data; }
      send();
    });
  }

  // Sound, vibration, flash: on request.
  var audio = null, prefs = {};
  function beep(hertz, seconds) {
    try {
      audio = audio || new (window.AudioContext || window.webkitAudioContext)();
      var o = audio.createOscillator(), g = audio.createGain();
      o.frequency.value = hertz;
      g.gain.value = 0.4;
      o.connect(g).connect(audio.destination);
      o.start();
      o.stop(audio.currentTime + seconds);
    } catch (e) { /* a page without sound still keeps marks */ }
  }
  function sign() {
    if (prefs.sound) { beep(880, 0.12); }
    if (prefs.buzz && navigator.vibrate) { navigator.vibrate(60); }
  }
  function toggle(id, can) {
    var b = document.getElementById(id);
    if (!b || !can) { return; }
    b.hidden = false;
    b.setAttribute("aria-pressed", !!prefs[id]);
    b.onclick = function () {
      prefs[id] = !prefs[id];
      try { localStorage.setItem(PREFS, JSON.stringify(prefs)); } catch (e) { /* forgotten with the page */ }
      b.setAttribute("aria-pressed", prefs[id]);
      sign();
    };
  }
  // One flash of half a second with its tone; the mark is the moment it begins.
  function flash() {
    var bay = bays.filter(function (b) { return b.burn && !b.endAt; })[0] || bays.filter(function (b) { return b.burn; })[0];
    if (!bay) { line("Set up a burn first: the flash is kept with it."); return; }
    var white = document.getElementById("white");
    white.hidden = false;
    requestAnimationFrame(function () {
      beep(1000, 0.5);
      press(bay, "sync", 0, {});
      setTimeout(function () { white.className = "dark"; setTimeout(function () { white.hidden = true; white.className = ""; }, 500); }, 500);
    });
  }

  // A phone that sleeps stops its clock on the screen, not the marks.
  var lock = null;
  function stayAwake() {
    var p = document.getElementById("awake");
    if (!p) { return; }
    function byHand() {
      p.hidden = false;
      p.textContent = "Keep this device awake by hand: set its screen to stay on. The browser does not let this page do it" + (window.isSecureContext ? "." : " without https.") + " If it sleeps, marks made before are kept, and the clock is right again when it wakes.";
    }
    if (!navigator.wakeLock) { byHand(); return; }
    if (document.visibilityState !== "visible" || lock) { return; }
    navigator.wakeLock.request("screen").then(function (l) { lock = l; p.hidden = true; l.addEventListener("release", function () { lock = null; }); }).catch(byHand);
  }

  var lastPress = 0;
  function act(bay, name, value) {
    var list = bay.list || [], ago = bay.el.querySelector('.agos input:checked');
    ago = ago ? Number(ago.value) : 0;
    if (name === "undo") {
      var m = value === "unseen" ? find(list, "unseen") : newest(list);
      if (m) { press(bay, m.what, 0, { takes_back: m.nonce, at: m.at }); }
      return;
    }
    // Wet fingers bounce: the same button twice within a third of a second is once.
    if (Date.now() - lastPress < 350 && bay.lastWhat === value) { return; }
    lastPress = Date.now();
    bay.lastWhat = value;
    var unseen = value === "out" && find(list, "unseen");
    press(bay, value, unseen ? 0 : ago, unseen ? { at: unseen.at, within: unseen.within || clock.within } : {});
    var first = bay.el.querySelector(".agos input");
    if (first) { first.checked = true; }
  }

  function choose(i) {
    if (!bays.length) { return; }
    active = (i + bays.length) % bays.length;
    bays.forEach(function (b, k) { b.el.classList.toggle("active", k === active); });
  }
  function keys(e) {
    if (e.ctrlKey || e.metaKey || e.altKey || e.repeat) { return; }
    var at = e.target, typing = at.closest && at.closest("select, textarea, input:not([type=radio])");
    if (typing) { return; }
    var bay = bays[active];
    if (e.key === "ArrowDown" || e.key === "ArrowUp") {
      if (at.type === "radio") { return; }
      e.preventDefault();
      choose(active + (e.key === "ArrowDown" ? 1 : -1));
      bays[active].el.scrollIntoView({ block: "nearest" });
      return;
    }
    if (!bay || !bay.burn) { return; }
    if (e.key === " ") {
      if (at.closest && at.closest("button, a, summary, input")) { return; } // it presses what has the focus
      var n = [].filter.call(bay.el.querySelectorAll(".next"), function (b) { return !b.hidden; })[0];
      e.preventDefault();
      if (n) { act(bay, "what", n.value); }
    } else if (e.key === "u") {
      act(bay, "undo", "");
    } else {
      for (var name in moments) {
        if (moments[name].key === e.key && !moments[name].test) { act(bay, "what", name); return; }
      }
    }
  }

  function begin() {
    root = document.getElementById("timing");
    title = root.dataset.title;
    JSON.parse(root.dataset.moments).forEach(function (m) { moments[m.name] = m; });
    bays = JSON.parse(root.dataset.state).map(function (b) {
      b.el = root.querySelector('.bay[data-bay="' + b.number + '"]');
      b.wasEnded = !!(b.burn && b.burn.ended);
      return b;
    });
    bays.forEach(function (b, i) {
      b.el.addEventListener("pointerdown", function () { choose(i); });
      b.el.addEventListener("focusin", function () { choose(i); });
      var form = b.el.querySelector("form.press");
      if (form) {
        form.addEventListener("submit", function (e) {
          e.preventDefault();
          if (e.submitter) { act(b, e.submitter.name, e.submitter.value); }
        });
      }
    });
    choose(Math.min(active, bays.length - 1));
    toggle("sound", true);
    toggle("buzz", !!navigator.vibrate);
    var f = document.getElementById("flash");
    f.hidden = false;
    f.onclick = flash;
    stayAwake();
    render();
    ticking();
  }

  document.addEventListener("DOMContentLoaded", function () {
    try { prefs = JSON.parse(localStorage.getItem(PREFS)) || {}; } catch (e) { /* defaults */ }
    if (!document.getElementById("timing")) {
      setInterval(ticking, 250);
      align(2);
      return;
    }
    connected = true;
    begin();
    document.addEventListener("keydown", keys);
    document.addEventListener("visibilitychange", function () {
      if (document.visibilityState === "visible") { align(3); send(); refresh(); stayAwake(); }
    });
    window.addEventListener("online", function () { align(3); send(); });
    window.addEventListener("storage", function (e) { if (e.key === KEPT) { render(); } });
    align(5).then(send);
    listen();
    setInterval(ticking, 100);
    setInterval(send, 2000);
    setInterval(ask, 20000);
  });
})();
