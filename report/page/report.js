(function () {
  "use strict";
  var root = document.documentElement, button = document.getElementById("theme");
  var dark = window.matchMedia("(prefers-color-scheme: dark)");
  function night() {
    return root.dataset.theme ? root.dataset.theme === "dark" : dark.matches;
  }
  function name() { button.textContent = night() ? "Paper" : "Night"; }
  button.hidden = false;
  name();
  dark.addEventListener("change", name);
  button.addEventListener("click", function () {
    root.dataset.theme = night() ? "light" : "dark";
    name();
  });

  var tip = document.createElement("div");
  tip.id = "tip";
  tip.hidden = true;
  document.body.appendChild(tip);
  document.querySelectorAll(".target > title").forEach(function (t) { t.remove(); });
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
  document.addEventListener("pointerover", show);
  document.addEventListener("focusin", show);
  document.addEventListener("focusout", function () { tip.hidden = true; });
  document.addEventListener("keydown", function (e) { if (e.key === "Escape") { tip.hidden = true; } });
})();
