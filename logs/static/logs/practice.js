// A question: measures from the picture's being drawn to the answer, and takes number keys while
// the answers have the focus. Nothing on the page counts: the time is told afterwards.

(() => {
  "use strict";

  function whenDrawn(then) {
    requestAnimationFrame(() => requestAnimationFrame(then));
  }

  function arm(form) {
    const answers = form.querySelector("[data-practice-answers]");
    const buttons = [...answers.querySelectorAll("button[name='answer']")];
    const picture = form.querySelector(".practice-picture");
    const ms = form.querySelector("[data-practice-ms]");
    let drawnAt = null;
    let isSent = false;

    function begin() {
      answers.hidden = false;
      answers.focus({ preventScroll: true });
      whenDrawn(() => {
        // Who has to scroll to see the question or an answer is not timed.
        const parts = [...buttons, ...(picture === null ? [] : [picture])];
        const isInSight = parts.every((part) => {
          const box = part.getBoundingClientRect();
          return box.top >= 0 && box.bottom <= window.innerHeight;
        });
        if (isInSight && document.visibilityState === "visible") drawnAt = performance.now();
      });
    }

    // Who looks away from the page is not timed.
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "hidden") drawnAt = null;
    });
    form.addEventListener("submit", (event) => {
      if (isSent) {
        event.preventDefault();
        return;
      }
      isSent = true;
      if (drawnAt !== null) {
        ms.value = String(Math.max(1, Math.round(performance.now() - drawnAt)));
      }
    });
    answers.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
      const button = buttons[Number(event.key) - 1];
      if (button === undefined) return;
      event.preventDefault();
      form.requestSubmit(button);
    });
    // A page from the browser's memory was answered already: its question is old.
    window.addEventListener("pageshow", (event) => {
      if (event.persisted) location.reload();
    });
    // With a scramble the case is seen once the member says so.
    const ready = form.querySelector("[data-practice-ready]");
    if (ready === null) {
      begin();
      return;
    }
    answers.hidden = true;
    ready.hidden = false;
    ready.addEventListener("click", () => {
      ready.disabled = true;
      begin();
    });
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-practice]").forEach(arm);
    document.querySelector("[data-practice-next]")?.focus({ preventScroll: true });
  });
})();
