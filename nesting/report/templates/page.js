"use strict";
(function () {
  const page = document.documentElement;
  page.classList.add("scripted");

  // Ticks are kept on this device only, where the browser allows it.
  const key = "yardage ticks " + document.body.dataset.ticks;
  let kept = {};
  try { kept = JSON.parse(localStorage.getItem(key)) || {}; } catch (error) { kept = {}; }
  for (const box of document.querySelectorAll("input[data-tick]")) {
    box.checked = kept[box.dataset.tick] === true;
    box.addEventListener("change", function () {
      kept[box.dataset.tick] = box.checked;
      try { localStorage.setItem(key, JSON.stringify(kept)); } catch (error) { /* not kept */ }
    });
  }

  for (const lay of document.querySelectorAll(".lay")) {
    const view = lay.querySelector(".cloth-view");
    if (!view) { continue; }
    const drawing = view.querySelector("svg");
    const chosen = lay.querySelector(".chosen-piece");
    let zoom = 1;

    function resize(factor) {
      const before = (view.scrollLeft + view.clientWidth / 2) / view.scrollWidth;
      const above = (view.scrollTop + view.clientHeight / 2) / view.scrollHeight;
      zoom = Math.min(Math.max(zoom * factor, 0.5), 8);
      drawing.classList.remove("whole");
      drawing.style.setProperty("--zoom", String(zoom));
      view.scrollLeft = before * view.scrollWidth - view.clientWidth / 2;
      view.scrollTop = above * view.scrollHeight - view.clientHeight / 2;
    }
    const actions = {
      in: function () { resize(1.4); },
      out: function () { resize(1 / 1.4); },
      whole: function () { zoom = 1; drawing.style.setProperty("--zoom", "1"); drawing.classList.add("whole"); },
    };
    for (const button of lay.querySelectorAll("button[data-zoom]")) {
      button.addEventListener("click", actions[button.dataset.zoom]);
    }

    function clear() {
      for (const other of lay.querySelectorAll(".piece.chosen")) { other.classList.remove("chosen"); }
      chosen.replaceChildren();
    }
    function choose(piece) {
      clear();
      piece.classList.add("chosen");
      const facts = document.getElementById(piece.dataset.piece).cloneNode(true);
      facts.removeAttribute("id");
      facts.removeAttribute("tabindex");
      const close = document.createElement("button");
      close.type = "button";
      close.textContent = "Close";
      close.addEventListener("click", function () {
        clear();
        piece.dataset.closed = "yes";
        piece.focus({ preventScroll: true });
      });
      chosen.replaceChildren(facts, close);
    }
    lay.addEventListener("keydown", function (event) {
      if (event.key === "Escape") { clear(); }
    });
    for (const piece of lay.querySelectorAll("a.piece")) {
      piece.addEventListener("click", function (event) { event.preventDefault(); choose(piece); });
      piece.addEventListener("focus", function () {
        if (piece.matches(":focus-visible") && !piece.dataset.closed) { choose(piece); }
        delete piece.dataset.closed;
      });
    }
  }
})();
