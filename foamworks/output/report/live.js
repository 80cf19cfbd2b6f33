"use strict";
// The live page's strip: loads the page again when the design was read again, and says so when nobody answers any more.
(function () {
  const EVERY = 400; // ms between two questions
  const KEPT = "foamworks " + location.pathname;
  const strip = document.getElementById("live");

  const kept = JSON.parse(sessionStorage.getItem(KEPT) || "{}");
  window.foamworksView = kept.view; // read by the 3-D view further down
  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("details").forEach((box, i) => { box.open = Boolean((kept.open || [])[i]); });
  });

  function reload() {
    const open = Array.from(document.querySelectorAll("details"), (box) => box.open);
    const solid = document.getElementById("view3d");
    const view = solid && solid.dataset.view ? JSON.parse(solid.dataset.view) : kept.view;
    sessionStorage.setItem(KEPT, JSON.stringify({ open, view }));
    location.reload();
  }

  async function look() {
    try {
      const answer = await fetch("/state", { cache: "no-store" });
      const state = await answer.json();
      if (String(state.revision) !== strip.dataset.revision) return reload();
      strip.classList.remove("ended");
    } catch {
      strip.classList.add("ended");
    }
    setTimeout(look, EVERY);
  }
  setTimeout(look, EVERY);
})();
