// The page of a trip answers while days, people, wind or reserve are changed.
(function () {
  "use strict";
  var ask = document.getElementById("ask"), out = document.getElementById("answered"), said = document.getElementById("said");
  if (!ask || !out || !said || !window.fetch || !window.AbortController) { return; }
  var going = null, shown = question(), wait = 0;
  function question() { return new URLSearchParams(new FormData(ask)).toString(); }
  // put exchanges the answer; where somebody is in it, they stay there.
  function put(text) {
    var fresh = new DOMParser().parseFromString(text, "text/html").body;
    var at = document.activeElement && out.contains(document.activeElement) ? document.activeElement.id : "";
    var opened = [].map.call(out.querySelectorAll("details"), function (d) { return d.open; });
    out.replaceChildren.apply(out, [].slice.call(fresh.childNodes));
    out.querySelectorAll("details").forEach(function (d, i) { if (opened[i]) { d.open = true; } });
    if (at && document.getElementById(at)) { document.getElementById(at).focus({ preventScroll: true }); }
  }
  function get(asked, then) {
    if (going) { going.abort(); }
    going = new AbortController();
    out.setAttribute("aria-busy", "true");
    fetch(ask.dataset.answer + "?" + asked, { signal: going.signal }).then(function (r) {
      if (r.status !== 200 && r.status !== 422) { throw new Error("status " + r.status); }
      return r.text();
    }).then(function (text) {
      put(text);
      out.removeAttribute("aria-busy");
      then();
    }).catch(function (e) {
      if (e.name === "AbortError") { return; }
      shown = "";
      out.removeAttribute("aria-busy");
      said.textContent = "The bench did not answer. What stands below answers the question before.";
      said.className = "trouble";
    });
  }
  // rest asks for what takes longer: days and what the answer hangs on.
  function rest() {
    var more = document.getElementById("rest");
    if (!more) { return; }
    more.textContent = "Working out how days change it, and what it hangs on …";
    get(shown + "&whole=yes", function () {});
  }
  function answer() {
    var asked = question();
    if (asked === shown) { return; }
    shown = asked;
    get(asked, function () {
      var words = out.querySelector(".sentence, .fault");
      said.textContent = words ? words.textContent : "";
      said.className = "quiet";
      history.replaceState(null, "", location.pathname + "?" + asked);
      rest();
    });
  }
  ask.addEventListener("input", function () {
    clearTimeout(wait);
    wait = setTimeout(answer, 40);
  });
  ask.addEventListener("submit", function (e) {
    e.preventDefault();
    clearTimeout(wait);
    answer();
  });
  // A browser may bring back what was typed before the page was left.
  window.addEventListener("pageshow", function () {
    if (question() === shown) { rest(); } else { answer(); }
  });
})();
