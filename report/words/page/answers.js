(function () {
  "use strict";
  var status = document.getElementById("copied"), timer = 0;
  function say(text) {
    status.textContent = text;
    clearTimeout(timer);
    timer = setTimeout(function () { status.textContent = ""; }, 4000);
  }
  function text(box) {
    return Array.prototype.map.call(box.querySelectorAll("p"), function (p) { return p.textContent; }).join("\n").replace(/\u00a0/g, " ");
  }
  function select(box) {
    box.querySelectorAll("details").forEach(function (d) { d.open = true; });
    var range = document.createRange(), selection = window.getSelection();
    range.selectNodeContents(box);
    selection.removeAllRanges();
    selection.addRange(range);
  }
  function byHand(box) { // a page that may not reach the clipboard
    select(box);
    var done = false;
    try { done = document.execCommand("copy"); } catch (e) { /* said below */ }
    say(done ? "Copied" : "Selected: copy it with your keyboard or menu");
  }
  window.addEventListener("beforeprint", function () { // paper cannot be opened
    document.querySelectorAll("details").forEach(function (d) { d.open = true; });
  });
  document.querySelectorAll("button.copy").forEach(function (button) {
    var box = document.getElementById(button.dataset.copies);
    button.hidden = false;
    button.addEventListener("click", function () {
      if (!navigator.clipboard) { byHand(box); return; }
      navigator.clipboard.writeText(text(box)).then(function () { say("Copied"); }, function () { byHand(box); });
    });
  });
})();
