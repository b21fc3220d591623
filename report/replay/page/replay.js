(function () {
  "use strict";
  function begin() {
    var controls = document.getElementById("controls");
    if (!controls) { return; }
    var get = function (id) { return document.getElementById(id); };
    var play = get("play"), time = get("time"), scrub = get("scrub"), speed = get("speed"), from = get("from"), which = get("which"), said = get("said");
    var runs = Array.prototype.map.call(document.querySelectorAll(".run"), function (li) {
      var d = li.dataset, box = li.querySelector(".track");
      return {
        li: li, block: d.block, middle: d.middle === "yes", name: d.name, ended: d.ended,
        pot: +d.pot, bloom: +d.bloom, boil: +d.boil, end: +d.end,
        clock: li.querySelector(".clock"), state: li.querySelector(".state"), course: box.querySelector("g"), ahead: box.querySelector(".ahead"), was: ""
      };
    });
    var now = 0, playing = false, stamp = 0, first = 0, last = 0;

    function written(s) {
      var n = Math.floor(Math.abs(s) + 1e-6), text = Math.floor(n / 60) + ":" + ("0" + n % 60).slice(-2);
      return s < 0 && n > 0 ? "−" + text : text;
    }
    function zero(r) { return from.value === "pot" ? r.pot : 0; } // the burn's own time at 0 of the page
    function shown() { return runs.filter(function (r) { return !r.li.hidden; }); }

    // choose shows the burns asked for and takes the length of the whole from them.
    function choose() {
      runs.forEach(function (r) { r.li.hidden = !(which.value === "all" || which.value === "middle" && r.middle || which.value === "block " + r.block); });
      first = 0;
      last = 1;
      shown().forEach(function (r) { first = Math.min(first, -zero(r)); last = Math.max(last, r.end - zero(r)); });
      first = Math.floor(first);
      last = Math.ceil(last);
      scrub.min = first;
      scrub.max = last;
      var full = +scrub.dataset.full, part = 1000 / (last - first);
      runs.forEach(function (r) {
        var k = part * full / 1000;
        r.course.setAttribute("transform", "translate(" + (-zero(r) - first) * part + " 0) scale(" + k + " 1)");
      });
    }
    function state(t, r) {
      if (t < 0) { return "not lit yet"; }
      if (r.boil && t >= r.boil && t < r.end) { return "boiled at " + written(r.boil - zero(r)); }
      if (t >= r.end) { return (r.boil ? "boiled at " + written(r.boil - zero(r)) : "did not boil") + ", " + r.ended + " at " + written(r.end - zero(r)); }
      if (t < r.pot) { return r.bloom && t >= r.bloom ? "in bloom, no pot yet" : "lit, no pot yet"; }
      return r.bloom && t >= r.bloom ? "heating, in bloom" : "heating";
    }
    function draw(speak) {
      scrub.value = now;
      time.textContent = written(now);
      scrub.setAttribute("aria-valuetext", written(now) + " from " + (from.value === "pot" ? "pot on" : "light"));
      var x = (now - first) / (last - first) * 1000, news = [];
      shown().forEach(function (r) {
        var t = now + zero(r), words = state(t, r);
        var still = r.boil && t >= r.boil ? r.boil : Math.min(t, r.end);
        r.clock.textContent = written(t < 0 ? t : still - zero(r));
        if (words !== r.was) {
          r.state.textContent = words;
          if (speak && r.was && t >= 0 && (words.indexOf("boiled") === 0 || t >= r.end)) { news.push(r.name + ": " + words); }
          r.was = words;
        }
        r.li.classList.toggle("boiled", !!r.boil && t >= r.boil);
        r.ahead.setAttribute("x", x);
        r.ahead.setAttribute("width", Math.max(0, 1000 - x));
      });
      if (news.length) { said.textContent = news.join("; "); }
    }
    function tick(at) {
      if (!playing) { return; }
      now = Math.min(last, now + Math.min(250, at - stamp) / 1000 * +speed.value);
      stamp = at;
      draw(true);
      if (now >= last) { pause(); return; }
      requestAnimationFrame(tick);
    }
    function pause() { playing = false; play.textContent = "Play"; }
    function start() {
      if (now >= last) { now = first; said.textContent = ""; }
      playing = true;
      play.textContent = "Pause";
      requestAnimationFrame(function (at) { stamp = at; tick(at); });
    }
    function go(t) { now = Math.max(first, Math.min(last, t)); draw(false); }

    play.addEventListener("click", function () { if (playing) { pause(); } else { start(); } });
    scrub.addEventListener("input", function () { go(+scrub.value); });
    [from, which].forEach(function (s) {
      s.addEventListener("change", function () {
        var fresh = now <= first || now >= last;
        choose();
        runs.forEach(function (r) { r.was = ""; });
        go(fresh ? first : now);
      });
    });
    controls.addEventListener("submit", function (e) { e.preventDefault(); });
    document.addEventListener("keydown", function (e) {
      if (e.ctrlKey || e.metaKey || e.altKey || /^(SELECT|INPUT|TEXTAREA)$/.test(e.target.tagName)) { return; }
      var step = e.shiftKey ? 10 : 1;
      if (e.key === " " && e.target.tagName !== "BUTTON") { play.click(); }
      else if (e.key === "ArrowLeft") { go(now - step); }
      else if (e.key === "ArrowRight") { go(now + step); }
      else if (e.key === "Home") { go(first); }
      else if (e.key === "End") { go(last); }
      else { return; }
      e.preventDefault();
    });
    var before = 0; // paper shows the burns at their end
    window.addEventListener("beforeprint", function () { pause(); before = now; go(last); });
    window.addEventListener("afterprint", function () { go(before); });
    scrub.dataset.full = document.querySelector(".runs").dataset.last;
    controls.hidden = false;
    get("hints").hidden = false;
    choose();
    now = first;
    draw(false);
  }
  if (document.readyState === "loading") { document.addEventListener("DOMContentLoaded", begin); } else { begin(); }
})();
