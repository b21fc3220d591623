// Open pages follow what others record: the page is read again and its main part
// exchanged, unless somebody is writing on it.
(function () {
  "use strict";
  document.addEventListener("DOMContentLoaded", function () {
    var trial = document.body.dataset.live;
    if (!trial || !window.EventSource) { return; }
    var known = null, main = document.getElementById("main"), dirty = false, reading = false, again = false;
    main.addEventListener("input", function () { dirty = true; });
    function follow() {
      if (dirty || main.querySelector("details[open] form")) { say(); return; }
      // A verdict takes seconds: it is asked for anew once the last has come.
      if (reading) { again = true; return; }
      reading = true;
      fetch(location.pathname + location.search, { headers: { "X-Live": "1" } }).then(function (r) { return r.ok ? r.text() : ""; }).then(function (text) {
        var fresh = text && new DOMParser().parseFromString(text, "text/html").getElementById("main");
        if (!fresh || dirty) { return; }
        var opened = [].map.call(main.querySelectorAll("details"), function (d) { return d.open; });
        var focused = document.activeElement && document.activeElement.id;
        main.replaceChildren.apply(main, [].slice.call(fresh.childNodes));
        main.querySelectorAll("details").forEach(function (d, i) { if (opened[i]) { d.open = true; } });
        if (focused && document.getElementById(focused)) { document.getElementById(focused).focus({ preventScroll: true }); }
      }).catch(function () { /* the stream tells when the bench is back */ }).then(function () {
        reading = false;
        if (again) { again = false; follow(); }
      });
    }
    function say() {
      if (document.getElementById("stale")) { return; }
      var p = document.createElement("p");
      p.id = "stale";
      p.className = "done";
      p.setAttribute("role", "status");
      p.textContent = "Something was recorded meanwhile. What you save now stands beside it and both are shown.";
      main.prepend(p);
    }
    // A page nobody sees lets go of its stream: browsers allow few at a time.
    var stream = null;
    function listen() {
      if (document.visibilityState !== "visible") {
        if (stream) { stream.close(); stream = null; }
        return;
      }
      if (stream && stream.readyState !== EventSource.CLOSED) { return; }
      stream = new EventSource("/events?trial=" + encodeURIComponent(trial));
      stream.addEventListener("version", function (e) {
        if (known !== null && e.data !== known) { follow(); }
        known = e.data;
      });
    }
    document.addEventListener("visibilitychange", listen);
    listen();
  });
})();
