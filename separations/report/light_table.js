"use strict";
// Comfort only: the page is whole without this. Dragging moves an enlarged picture, and
// "Show it on the board" brings the pin to the middle of the window.
for (const pane of document.querySelectorAll(".window")) {
  let from = null;
  pane.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse" && event.button === 0 && !event.target.closest("a")) {
      from = { x: event.clientX + pane.scrollLeft, y: event.clientY + pane.scrollTop };
      pane.setPointerCapture(event.pointerId);
      event.preventDefault();
      pane.focus({ preventScroll: true });
    }
  });
  pane.addEventListener("pointermove", (event) => {
    if (from) { pane.scrollTo(from.x - event.clientX, from.y - event.clientY); }
  });
  for (const end of ["pointerup", "pointercancel"]) {
    pane.addEventListener(end, () => { from = null; });
  }
}
// An enlarged picture keeps the spot in the middle of its window when the distance changes.
for (const choice of document.querySelectorAll(".choice input[type=radio]")) {
  choice.addEventListener("change", () => {
    for (const pane of choice.closest(".light-table").querySelectorAll(".window")) {
      const spot = pane.middle || [0.5, 0.5];
      pane.scrollTo(spot[0] * pane.scrollWidth - pane.clientWidth / 2,
        spot[1] * pane.scrollHeight - pane.clientHeight / 2);
    }
  });
}
for (const pane of document.querySelectorAll(".window")) {
  pane.addEventListener("scroll", () => {
    pane.middle = [(pane.scrollLeft + pane.clientWidth / 2) / pane.scrollWidth,
      (pane.scrollTop + pane.clientHeight / 2) / pane.scrollHeight];
  }, { passive: true });
}
for (const link of document.querySelectorAll("a[data-pin]")) {
  link.addEventListener("click", (event) => {
    const pin = document.getElementById(link.dataset.pin);
    if (!pin) { return; }
    event.preventDefault();
    const table = pin.closest(".light-table"), pane = pin.closest(".window");
    table.querySelector("input.near").checked = true;
    pane.scrollIntoView({ block: "nearest" });
    pane.scrollTo(pin.offsetLeft - pane.clientWidth / 2, pin.offsetTop - pane.clientHeight / 2);
    pin.focus({ preventScroll: true });
  });
}
