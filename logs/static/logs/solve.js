// The scrubber of a solve: repaints the drawn cube for the turn it stands at, says where that is,
// moves the line on the time strip, and marks the turn in the solution.

(() => {
  "use strict";

  function words(steps, at) {
    const step = steps[at];
    if (at === 0) return "Scrambled cube";
    const parts = [`${at} of ${steps.length - 1}: ${step.token}`, step.part];
    if (step.at !== "") parts.push(step.at);
    if (step.pause !== "") parts.push(`after a hesitation of ${step.pause}`);
    return parts.join(", ");
  }

  function paint(cube, letters) {
    for (const sticker of cube.querySelectorAll("[data-cell]")) {
      const letter = letters[Number(sticker.dataset.cell)];
      sticker.setAttribute("class", `sticker sticker-${letter.toLowerCase()}`);
      sticker.querySelector("text").textContent = letter;
    }
  }

  function arm(section) {
    const steps = JSON.parse(document.getElementById("solve-steps").textContent);
    const slider = section.querySelector("#turn");
    const now = section.querySelector("[data-replay-now]");
    const head = section.querySelector(".strip-head");
    const cube = section.querySelector(".key-states .cube-picture").cloneNode(true);
    cube.setAttribute("width", "240");
    cube.setAttribute("height", "240");
    section.querySelector("[data-replay-cube]").append(cube);

    function show(at) {
      const step = steps[at];
      const text = words(steps, at);
      slider.value = String(at);
      slider.setAttribute("aria-valuetext", text);
      now.textContent = text;
      paint(cube, step.letters);
      cube.setAttribute("aria-label", `The cube at: ${text}`);
      if (head !== null && step.at_ms !== null) {
        const place = `${(100 * step.at_ms) / Number(head.dataset.endMs)}%`;
        head.setAttribute("x1", place);
        head.setAttribute("x2", place);
      }
      for (const mark of document.querySelectorAll("[data-step]")) {
        mark.classList.toggle("is-now", Number(mark.dataset.step) === at);
      }
    }

    slider.addEventListener("input", () => show(Number(slider.value)));
    for (const button of section.querySelectorAll("[data-replay-by]")) {
      button.addEventListener("click", () => {
        const at = Number(slider.value) + Number(button.dataset.replayBy);
        show(Math.max(0, Math.min(steps.length - 1, at)));
      });
    }
    for (const mark of document.querySelectorAll("[data-step]")) {
      mark.addEventListener("click", () => show(Number(mark.dataset.step)));
    }
    section.querySelector("[data-replay-stage]").hidden = false;
    show(0);
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-replay]").forEach(arm);
  });
})();
