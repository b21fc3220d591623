(function () {
  "use strict";
  var root = document.documentElement, dark = window.matchMedia("(prefers-color-scheme: dark)");
  var KEY = "ground";
  function recall() {
    try {
      var kept = localStorage.getItem(KEY);
      if (kept === "dark" || kept === "light") { root.dataset.theme = kept; }
    } catch (e) { /* a file may keep nothing */ }
  }
  recall(); // before anything is painted
  function night() {
    return root.dataset.theme ? root.dataset.theme === "dark" : dark.matches;
  }
  function ground() {
    var button = document.getElementById("theme");
    if (!button) { return; }
    function name() { button.textContent = night() ? "Paper" : "Night"; }
    button.hidden = false;
    name();
    dark.addEventListener("change", name);
    ["pageshow", "storage"].forEach(function (event) { // chosen meanwhile on another page
      window.addEventListener(event, function () { recall(); name(); });
    });
    button.addEventListener("click", function () {
      root.dataset.theme = night() ? "light" : "dark";
      try { localStorage.setItem(KEY, root.dataset.theme); } catch (e) { /* forgotten with the page */ }
      name();
    });
  }

  var tip = document.createElement("div");
  tip.id = "tip";
  tip.hidden = true;
  function show(event) {
    var target = event.target.closest && event.target.closest("[data-tip]");
    if (!target) { tip.hidden = true; return; }
    tip.textContent = target.dataset.tip;
    tip.hidden = false;
    var box = target.getBoundingClientRect();
    var left = box.left + box.width / 2 - tip.offsetWidth / 2;
    left = Math.max(8, Math.min(left, root.clientWidth - tip.offsetWidth - 8));
    var top = box.top - tip.offsetHeight - 8;
    if (top < 8) { top = box.bottom + 8; }
    tip.style.left = left + window.scrollX + "px";
    tip.style.top = top + window.scrollY + "px";
  }
  function begin() {
    ground();
    document.body.appendChild(tip);
    document.querySelectorAll(".target > title").forEach(function (t) { t.remove(); }); // the tip says it
  }
  if (document.readyState === "loading") { document.addEventListener("DOMContentLoaded", begin); } else { begin(); }
  document.addEventListener("pointerover", show);
  document.addEventListener("focusin", show);
  document.addEventListener("focusout", function () { tip.hidden = true; });
  document.addEventListener("keydown", function (e) { if (e.key === "Escape") { tip.hidden = true; } });
})();
