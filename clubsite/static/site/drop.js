// A file field that takes a dropped file: <div class="drop-zone" data-drop> around the
// <input type="file">. The file lands in the field, as if it had been chosen there.

(() => {
  "use strict";

  function carriesFiles(event) {
    return event.dataTransfer !== null && event.dataTransfer.types.includes("Files");
  }

  function arm(zone) {
    const input = zone.querySelector('input[type="file"]');
    let depth = 0; // children of the zone are entered and left too

    const show = () => zone.classList.toggle("is-over", depth > 0);

    zone.addEventListener("dragenter", (event) => {
      if (!carriesFiles(event)) return;
      depth += 1;
      show();
    });
    zone.addEventListener("dragleave", (event) => {
      if (!carriesFiles(event)) return;
      depth -= 1;
      show();
    });
    zone.addEventListener("dragover", (event) => {
      if (carriesFiles(event)) event.preventDefault();
    });
    zone.addEventListener("drop", (event) => {
      if (!carriesFiles(event)) return;
      event.preventDefault();
      depth = 0;
      show();
      input.files = event.dataTransfer.files;
      input.dispatchEvent(new Event("change", { bubbles: true }));
    });
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-drop]").forEach(arm);
  });
})();
