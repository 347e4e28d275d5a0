// The theme: the system's, or the one chosen on this device. Loaded before the page is drawn, so
// that a chosen theme never flashes the other one first.

(() => {
  "use strict";

  const KEY = "theme";
  const NAMES = { system: "as the device", light: "light", dark: "dark" };
  const ORDER = Object.keys(NAMES);
  const root = document.documentElement;

  function stored() {
    try {
      const name = localStorage.getItem(KEY);
      return ORDER.includes(name) ? name : "system";
    } catch {
      return "system"; // storage is shut off: the choice then lasts as long as the page
    }
  }

  function store(name) {
    try {
      localStorage.setItem(KEY, name);
    } catch {
      // As above.
    }
  }

  function apply(name) {
    if (name === "system") delete root.dataset.theme;
    else root.dataset.theme = name;
    document.dispatchEvent(new CustomEvent("theme-change"));
  }

  let current = stored();
  apply(current);

  document.addEventListener("DOMContentLoaded", () => {
    for (const button of document.querySelectorAll("[data-theme-switch]")) {
      const label = () => {
        button.textContent = `Page colours: ${NAMES[current]}`;
      };
      label();
      button.hidden = false;
      button.addEventListener("click", () => {
        current = ORDER[(ORDER.indexOf(current) + 1) % ORDER.length];
        store(current);
        apply(current);
        label();
      });
    }
  });
})();
