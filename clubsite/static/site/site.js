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

// Folds: details[data-keep][id] stand as the reader left them on this device, from the first drawing
// on; one that the address points at, or into, opens.

(() => {
  "use strict";

  const key = (fold) => `fold:${location.pathname}#${fold.id}`;

  function put(fold) {
    try {
      const kept = localStorage.getItem(key(fold));
      if (kept !== null) fold.open = kept === "open";
    } catch {
      // storage is shut off: each fold stands as the page has it
    }
  }

  const watch = new MutationObserver((changes) => {
    for (const { addedNodes } of changes) {
      for (const node of addedNodes) {
        if (node.matches?.("details[data-keep]")) put(node);
      }
    }
  });
  watch.observe(document, { childList: true, subtree: true });

  function keep(click) {
    const fold = click.target.closest?.("details[data-keep] > summary")?.parentElement;
    if (!fold) return;
    try {
      localStorage.setItem(key(fold), fold.open ? "closed" : "open"); // it turns after the click
    } catch {
      // As above.
    }
  }

  function openTarget() {
    const target = document.getElementById(decodeURIComponent(location.hash.slice(1)));
    if (!target?.closest("details[data-keep]")) return;
    for (let fold = target.closest("details"); fold; fold = fold.parentElement.closest("details")) {
      fold.open = true;
    }
    target.scrollIntoView();
  }

  document.addEventListener("DOMContentLoaded", () => {
    watch.disconnect();
    document.addEventListener("click", keep);
    addEventListener("hashchange", openTarget);
    openTarget();
  });
})();
