// The page beside the flame. A press is first kept in this browser, with a nonce
// and the time on the bench's clock, then sent until the bench has answered that
// it is kept there. Nothing here decides what a mark means.
(function () {
  "use strict";
  var root, title, moments = {}, bays = [], active = 0;
  var KEPT = "fairburn presses", PREFS = "fairburn bench";
  var clock = { offset: 0, within: Infinity, at: 0, era: nonce() };
  var connected = false, sending = false, keeps = true;

  // What is kept in the browser: presses that the bench has not answered yet. The
  // page holds its own as well, since a browser may refuse its store and two tabs
  // may write it at once.
  var own = [];
  function load() {
    var list = [];
    try { list = JSON.parse(localStorage.getItem(KEPT)) || []; } catch (e) { keeps = false; }
    own.forEach(function (p) { if (!list.some(function (q) { return q.nonce === p.nonce; })) { list.push(p); } });
    return list;
  }
  function save(list) {
    own = own.filter(function (p) { return list.some(function (q) { return q.nonce === p.nonce; }); });
    try { localStorage.setItem(KEPT, JSON.stringify(list)); keeps = true; } catch (e) { keeps = false; }
  }
  function nonce() {
    var b = new Uint8Array(16), s = "";
    crypto.getRandomValues(b);
    b.forEach(function (x) { s += (x + 256).toString(16).slice(1); });
    return s;
  }

  // The bench's clock: its time at the middle of a question, known to half of the
  // time that question took, and less well as time passes: a device's clock may gain
  // or lose 100 millionths (common practice, no source). What is known best holds.
  var DRIFT = 1e-4;
  function ask() {
    var sent = Date.now(), t0 = performance.now(), era = clock.era;
    return get("/clock").then(function (r) { return r.json(); }).then(function (c) {
      var took = performance.now() - t0, first = !isFinite(clock.within);
      connected = true;
      if (era === clock.era && took / 2 + 1 <= within()) {
        clock.offset = c.now - (sent + took / 2);
        clock.within = took / 2 + 1;
        clock.at = Date.now();
        retime();
      }
      if (first && root) { render(); send(); }
      line();
      return true;
    }).catch(lost);
  }
  function within() { return clock.within + Math.abs(Date.now() - clock.at) * DRIFT; }
  // Presses made before this clock was compared with the bench's get their time by
  // what is known now, as long as it has not been set since.
  function retime() {
    var w = within(), changed = false, list = load();
    list.forEach(function (p) {
      if (p.era === clock.era && p.within > 50 && w < p.within) { p.at = p.own + clock.offset; p.within = w; changed = true; }
    });
    if (changed) { save(list); }
  }
  // The device's own clock may be set while the page is open, or run on while the
  // page's timers slept; which of the two cannot be told. Until the clocks are
  // compared again, times are known to as much as it jumped.
  var apart = Date.now() - performance.now(), looked = Date.now();
  function watchClock() {
    var now = Date.now(), d = now - performance.now(), jump = Math.abs(d - apart);
    if (jump > 20) {
      clock.era = nonce();
      clock.within = within() + jump;
      clock.at = now;
      apart = d;
    }
    if (jump > 20 || now - looked > 5000) { align(5); if (root) { refresh(); send(); } }
    looked = now;
  }
  function align(n) { return n > 0 ? ask().then(function () { return align(n - 1); }) : Promise.resolve(); }
  function now() { return Date.now() + clock.offset; }

  // A network that is gone may leave a question without any answer.
  function get(address, options) {
    var stop = new AbortController(), timer = setTimeout(function () { stop.abort(); }, 8000), all = { cache: "no-store", signal: stop.signal };
    for (var k in options) { all[k] = options[k]; }
    return fetch(address, all).finally(function () { clearTimeout(timer); });
  }
  function lost() { connected = false; line(); }

  function press(bay, what, ago, extra) {
    watchClock(); // it may have been set since the last look
    var mine = Date.now() - ago * 1000;
    var p = { nonce: nonce(), title: title, burn: bay.burn.id, what: what, at: mine + clock.offset, own: mine, era: clock.era,
      within: isFinite(clock.within) ? within() : 86400000, pressed: Date.now(), zone: -new Date().getTimezoneOffset(), detail: "", takes_back: "" };
    for (var k in extra) { p[k] = extra[k]; }
    var list = load();
    list.push(p);
    own.push(p);
    pressed.push(p.nonce);
    save(list);
    sign();
    render();
    send();
  }

  function waiting() { return load().filter(function (p) { return !p.refused; }); }
  // Presses wait for a look at the bench's clock where it is not known well: without
  // it their times would be those of a device that may be minutes off.
  function send() {
    if (sending || !waiting().length) { return; }
    sending = true;
    var lot;
    (within() <= 50 ? Promise.resolve(true) : ask())
      .then(function (known) {
        if (!known) { throw new TypeError("no answer"); }
        lot = waiting().slice(0, 100);
        while (lot.length > 1 && JSON.stringify(lot).length > 20000) { lot.length = Math.ceil(lot.length / 2); } // a browser sends 64 kB for a page that is being left
        return get("/marks", { method: "POST", headers: { "Content-Type": "application/json", "Accept": "application/json" }, body: JSON.stringify(lot), keepalive: true });
      })
      .then(function (r) {
        if (r.ok) { return r.json(); }
        if (r.status === 403) { throw new Error("This device is not paired any more. Its marks are kept here: pair it again from the machine of the bench."); }
        return r.json().catch(function () { return {}; }).then(function (e) {
          throw new Error("The bench does not take marks now: " + (e.error || "it answered " + r.status) + ". They are kept on this device.");
        });
      })
      .then(function (a) {
        connected = true;
        trouble = "";
        answered(lot, a.kept);
        save(load().filter(function (p) { return a.kept.indexOf(p.nonce) < 0; }).map(function (p) {
          if (a.refused[p.nonce]) { p.refused = a.refused[p.nonce]; }
          return p;
        }));
        sending = false;
        render();
        refresh();
        send();
      })
      .catch(function (e) {
        sending = false;
        if (e && e.name === "Error") { line(e.message); } else { lost(); }
      });
  }
  // What the bench has now stands here too, whatever becomes of the next question.
  function answered(lot, kept) {
    lot.forEach(function (p) {
      if (p.title !== title || kept.indexOf(p.nonce) < 0) { return; }
      bays.forEach(function (b) {
        if (!b.burn || b.burn.id !== p.burn) { return; }
        var m = b.burn.moments.filter(function (m) { return !p.takes_back || m.nonce !== p.takes_back; });
        if (!p.takes_back && !m.some(function (x) { return x.nonce === p.nonce; })) { m.push({ what: p.what, nonce: p.nonce, at: p.at, device: "", state: "holds" }); }
        b.burn.moments = m;
      });
    });
  }

  // What stands of a burn: what the bench says and what waits here.
  function standing(burn) {
    var all = burn.moments.slice(), back = {};
    load().forEach(function (p) {
      if (p.title !== title || p.burn !== burn.id) { return; }
      if (p.takes_back) { back[p.takes_back] = back[p.takes_back] || !p.refused; return; }
      if (!all.some(function (m) { return m.nonce === p.nonce; })) {
        all.push({ what: p.what, nonce: p.nonce, at: p.at, own: p.own, era: p.era, within: p.within, state: p.refused ? "refused" : "waiting", why: p.refused });
      }
    });
    return all.filter(function (m) { return !back[m.nonce]; }).sort(function (a, b) { return a.at - b.at || (a.what === "out") - (b.what === "out"); }); // out takes the moment of unseen, and comes after it
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
    var end = find(list, "out") || find(list, "snuffed"), unseen = !end && light && find(list, "unseen"), none = burn.void && !light;
    var n = none ? "" : next(burn, list), ago = bay.el.querySelector(".agos input:checked");
    bay.list = list;
    bay.lightAt = light ? light.at : 0;
    bay.endAt = end ? end.at : 0;
    el.dataset.stage = end || none ? "ended" : unseen ? "flame not seen" : light ? "burning" : "ready";
    text(el.querySelector(".said"), none ? "Set aside." : end ? (n ? "Flame ended." : "Ended.") : unseen ? "Flame not seen: it may still burn." : light ? "Burning." : "Not lit yet.");
    el.querySelector(".unseen").hidden = !unseen;
    var big = el.querySelector(".next:not(.unsure)"), unsure = el.querySelector(".next.unsure");
    big.hidden = !n || n === "out" || !!unseen;
    unsure.hidden = n !== "out" || !!unseen;
    if (n && n !== "out") {
      big.value = n;
      text(big.querySelector(".what"), label(n));
      text(big.querySelector("small"), (ago && ago.value > 0 ? ago.value + " s ago: " : "") + (moments[n] ? moments[n].means : ""));
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
  // The last press of this page that stands, else the latest moment.
  var pressed = [];
  function newest(list) {
    var live = list.filter(function (m) { return m.state !== "refused" && m.nonce; });
    var mine = live.filter(function (m) { return pressed.indexOf(m.nonce) >= 0; });
    mine.sort(function (a, b) { return pressed.indexOf(a.nonce) - pressed.indexOf(b.nonce); });
    return mine[mine.length - 1] || live[live.length - 1];
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
    var list = waiting(), el = document.getElementById("line"), say;
    if (!el) { return; }
    if (!connected) {
      say = "No answer from the bench. Go on: marks are kept on this " + (keeps ? "device" : "page") + (list.length ? " (" + list.length + " now)" : "") + " and sent when it is back. Leave this page open; do not load it anew.";
    } else if (trouble) {
      say = trouble;
    } else if (!isFinite(clock.within)) {
      say = "Comparing this device's clock with the bench's.";
    } else {
      say = list.length ? list.length + (list.length === 1 ? " mark" : " marks") + " on the way to the bench." : "Every mark is on the bench.";
      say += within() <= 50 ? " This device keeps the bench's time to " + Math.ceil(within()) + " ms." : " Times are known to " + time(within(), true) + " only until the clocks are compared again.";
    }
    if (!keeps) { say += " This browser keeps nothing: leave this page open until every mark is on the bench."; }
    text(el, say);
    el.classList.toggle("trouble", !connected || !keeps || !!trouble);
  }

  // The page follows the bench: what happens at a burning station is drawn; where
  // none burns the station is read anew, with what comes next.
  var version = null;
  function refresh() {
    return get("/trial/" + encodeURIComponent(title) + "/bench/state", { headers: { "Accept": "application/json" } })
      .then(function (r) { return r.ok ? r.json() : Promise.reject(); })
      .then(function (state) {
        connected = true;
        var same = state.length === bays.length && state.every(function (b, i) {
          return b.number === bays[i].number && going(b) && going(bays[i]) && b.burn.id === bays[i].burn.id;
        });
        if (!same) { return reload(); }
        state.forEach(function (b, i) { bays[i].burn = b.burn; });
        render();
      }).catch(lost);
  }
  function going(b) { return b.burn && b.burn.stage !== "ended"; }
  // A station that is exchanged under a finger would lose its press.
  var held = false, owed = false;
  function holding(e) {
    held = e.type === "pointerdown" || e.type === "keydown";
    if (!held && owed) { owed = false; setTimeout(reload, 0); }
  }
  function reload() {
    return get(location.pathname).then(function (r) { return r.ok ? r.text() : Promise.reject(); }).then(function (html) {
      var fresh = new DOMParser().parseFromString(html, "text/html").getElementById("timing");
      if (!fresh) { return; }
      if (held) { owed = true; return; }
      exchange(fresh);
    }).catch(lost);
  }
  function exchange(fresh) {
    var at = document.activeElement, bay = at && at.closest && at.closest(".bay"), number = bay && bay.dataset.bay;
    var grid = root.querySelector(".bays"), was = {}, place = null;
    bays.forEach(function (b) { was[b.number] = b; });
    JSON.parse(fresh.dataset.state).forEach(function (b) {
      var old = was[b.number], el = fresh.querySelector('.bay[data-bay="' + b.number + '"]');
      if (old && going(b) && going(old) && b.burn.id === old.burn.id) { el = old.el; } else if (old) { old.el.replaceWith(el); } else { grid.insertBefore(el, place ? place.nextSibling : grid.firstChild); }
      delete was[b.number];
      place = el;
    });
    for (var gone in was) { was[gone].el.remove(); }
    grid.className = fresh.querySelector(".bays").className;
    root.dataset.state = fresh.dataset.state;
    root.querySelector(".kicker").replaceWith(fresh.querySelector(".kicker"));
    begin();
    if (number && !document.contains(at)) { focusIn(root.querySelector('.bay[data-bay="' + number + '"]'), at); }
  }
  // The same control of the new station, else the first thing that it offers.
  function focusIn(bay, was) {
    var all = bay ? [].filter.call(bay.querySelectorAll("button, a, input"), function (e) { return e.offsetParent && !e.disabled; }) : [];
    var to = all.filter(function (e) { return e.name === was.name && e.value === was.value && e.textContent === was.textContent; })[0] || all[0];
    if (to) { to.focus({ preventScroll: true }); }
  }
  // A browser opens few connections to one place, so a page that nobody sees lets go
  // of its own.
  var stream = null;
  function listen() {
    if (stream || document.visibilityState !== "visible") { return; }
    stream = new EventSource("/events?trial=" + encodeURIComponent(title));
    stream.onopen = function () {
      connected = true;
      // What was refused is offered once more: another bench may have been open here,
      // or this one have had a trouble of its own.
      save(load().map(function (p) { delete p.refused; return p; }));
      align(3);
      refresh();
      send();
      line();
    };
    stream.onerror = function () {
      lost();
      if (stream && stream.readyState === 2) { hush(); setTimeout(listen, 3000); } // it does not try again by itself
    };
    stream.addEventListener("version", function (e) {
      if (version !== null && e.data !== version) { refresh(); }
      version = e.data;
    });
  }
  function hush() { if (stream) { stream.close(); stream = null; } }

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

  function act(bay, control) {
    var list = bay.list || [], name = control.name, value = control.value, ago = bay.el.querySelector('.agos input:checked');
    // Wet fingers bounce: one control twice within a third of a second is once, even
    // where it says something else by then.
    if (bay.control === control && Math.abs(performance.now() - bay.acted) < 350) { return; }
    bay.control = control;
    bay.acted = performance.now();
    if (name === "undo") {
      var m = value === "unseen" ? find(list, "unseen") : newest(list);
      if (m) { press(bay, m.what, 0, { takes_back: m.nonce, at: m.at, era: "" }); }
      return;
    }
    var unseen = value === "out" && find(list, "unseen");
    press(bay, value, unseen || !ago ? 0 : Number(ago.value), unseen ? { at: unseen.at, within: unseen.within || within(), own: unseen.own, era: unseen.era || "" } : {});
    var first = bay.el.querySelector(".agos input");
    if (first) { first.checked = true; draw(bay); }
  }

  function choose(i) {
    if (!bays.length) { return; }
    active = (i + bays.length) % bays.length;
    bays.forEach(function (b, k) { b.el.classList.toggle("active", k === active); });
  }
  var byKeys = false; // what has the focus was reached by keyboard, not pressed
  function keys(e) {
    if (e.key === "Tab") { byKeys = true; }
    if (e.ctrlKey || e.metaKey || e.altKey || e.repeat) { return; }
    // A keyboard of another script has the letters where they are on a Latin one.
    var letter = /^[ -~]$/.test(e.key) ? e.key.toLowerCase() : (e.code || "").replace(/^(Key|Digit)/, "").toLowerCase();
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
    var to;
    if (e.key === " ") {
      if (byKeys && at.closest && at.closest("button, a, summary, input")) { return; } // it presses what has the focus
      to = offered(bay, ".next");
    } else if (letter === "u") {
      to = offered(bay, ".undo");
    } else {
      for (var name in moments) {
        if (moments[name].key === letter && !moments[name].test) { to = offered(bay, ':is(.marks, .faults) button[value="' + name + '"]'); }
      }
    }
    if (to) { e.preventDefault(); act(bay, to); }
  }
  function offered(bay, selector) {
    return [].filter.call(bay.el.querySelectorAll(selector), function (b) { return b.offsetParent && !b.disabled; })[0];
  }

  function begin() {
    root = document.getElementById("timing");
    title = root.dataset.title;
    JSON.parse(root.dataset.moments).forEach(function (m) { moments[m.name] = m; });
    bays = JSON.parse(root.dataset.state).map(function (b) {
      b.el = root.querySelector('.bay[data-bay="' + b.number + '"]');
      return b;
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
    try { prefs = JSON.parse(localStorage.getItem(PREFS)) || {}; } catch (e) { keeps = false; }
    if (!document.getElementById("timing")) {
      setInterval(ticking, 250);
      align(2);
      return;
    }
    connected = true;
    begin();
    function bayOf(e) { return e.target.closest && bays.filter(function (b) { return b.el === e.target.closest(".bay"); })[0]; }
    function chosen(e) { var b = bayOf(e); if (b) { choose(bays.indexOf(b)); } }
    document.addEventListener("pointerdown", chosen);
    document.addEventListener("focusin", chosen);
    document.addEventListener("change", render);
    document.addEventListener("submit", function (e) {
      var b = bayOf(e);
      if (!b || !e.target.matches("form.press")) { return; }
      e.preventDefault();
      if (e.submitter && b.burn) { act(b, e.submitter); }
    });
    ["pointerdown", "pointerup", "pointercancel", "keydown", "keyup"].forEach(function (type) { document.addEventListener(type, holding); });
    document.addEventListener("pointerdown", function () { byKeys = false; });
    document.addEventListener("keydown", keys);
    document.addEventListener("visibilitychange", function () {
      if (document.visibilityState !== "visible") { held = false; hush(); return; }
      align(3);
      send();
      listen();
      stayAwake();
    });
    window.addEventListener("online", function () { align(3); send(); });
    window.addEventListener("storage", function (e) { if (e.key === KEPT) { render(); } });
    align(5);
    listen();
    setInterval(ticking, 100);
    setInterval(send, 2000);
    setInterval(ask, 20000);
  });
})();
