// Everything on this page can be read, filtered and printed without this script; it only says how many remarks are shown,
// lights up the steps of the remark one is at, and opens the folded parts for the printer.
(function () {
  "use strict";
  var form = document.getElementById("filters");
  var said = document.getElementById("shown");
  var remarks = Array.prototype.slice.call(document.querySelectorAll(".remark"));

  function isShown(item) {
    return item.getClientRects().length > 0;
  }

  function tell() {
    var shown = remarks.filter(isShown).length;
    said.textContent = shown + " of " + remarks.length + (remarks.length === 1 ? " remark shown" : " remarks shown");
    document.querySelectorAll(".remarks").forEach(function (group) {
      var all = Array.prototype.slice.call(group.querySelectorAll(".remark"));
      var note = group.querySelector(".none-fits");
      if (note) {
        note.hidden = all.some(isShown);
      }
    });
  }

  function light(id, on) {
    document.querySelectorAll('a[href="#' + id + '"]').forEach(function (mark) {
      var step = mark.closest(".step");
      if (step) {
        step.classList.toggle("lit", on);
      }
    });
  }

  remarks.forEach(function (remark) {
    ["mouseenter", "focusin"].forEach(function (kind) {
      remark.addEventListener(kind, function () { light(remark.id, true); });
    });
    ["mouseleave", "focusout"].forEach(function (kind) {
      remark.addEventListener(kind, function () { light(remark.id, false); });
    });
  });

  if (form && said) {
    form.addEventListener("change", tell);
    form.addEventListener("reset", function () { window.setTimeout(tell, 0); });
    form.addEventListener("submit", function (event) { event.preventDefault(); });
    tell();
  }
  window.addEventListener("beforeprint", function () {
    document.querySelectorAll("details").forEach(function (part) { part.open = true; });
  });
}());
