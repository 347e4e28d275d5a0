// Draws each figure of the page: <div class="chart" data-figure="ID"> shows the Plotly figure in the
// JSON block with that id. Colours and faces stand in it as CSS variables ("var(--ink)") and are
// looked up in tokens.css, anew for each theme and for paper. A chart in a closed fold is drawn when
// the fold opens. A mark whose "customdata" is an address leads there.

(() => {
  "use strict";

  const VARIABLE = /^var\((--[\w-]+)\)$/;
  const PAPER_WIDTH = 640; // px; an A4 sheet between its margins
  const still = matchMedia("(prefers-reduced-motion: reduce)");

  const probe = document.createElement("span");
  probe.hidden = true;

  // The value of a token as Plotly can read it: colours as rgb(), anything else as written.
  function token(name) {
    const written = getComputedStyle(document.documentElement).getPropertyValue(name).trim();
    if (!CSS.supports("color", written)) return written;
    probe.style.color = written;
    return getComputedStyle(probe).color;
  }

  function resolved(value) {
    if (typeof value === "string") {
      const match = VARIABLE.exec(value);
      return match ? token(match[1]) : value;
    }
    if (Array.isArray(value)) return value.map(resolved);
    if (value !== null && typeof value === "object") {
      return Object.fromEntries(Object.entries(value).map(([key, part]) => [key, resolved(part)]));
    }
    return value;
  }

  // Draws anew, as wide as its place, or of a fixed width, which then no resizing may undo.
  function draw(place, width) {
    const figure = JSON.parse(document.getElementById(place.dataset.figure).textContent);
    const { data, layout } = resolved(figure);
    const config = { displayModeBar: false, responsive: width === undefined };
    if (width !== undefined) Object.assign(layout, { width, autosize: false });
    if (still.matches) layout.transition = { duration: 0 };
    Plotly.newPlot(place, data, layout, config).then(() => {
      place.removeAllListeners("plotly_click");
      place.on("plotly_click", follow);
    });
  }

  function follow({ points }) {
    const address = points[0]?.customdata;
    if (typeof address === "string" && address.startsWith("/")) location.assign(address);
  }

  function drawAll(width) {
    for (const place of document.querySelectorAll("[data-figure]")) {
      if (place.offsetParent !== null) draw(place, width);
    }
  }

  function drawOpened({ target }) {
    if (!target.open) return;
    for (const place of target.querySelectorAll("[data-figure]:not(.js-plotly-plot)")) {
      if (place.offsetParent !== null) draw(place);
    }
  }

  let onPaper = false; // while printing, the device's own theme may come and go

  function drawForScreen() {
    if (!onPaper) drawAll();
  }

  function drawForPaper() {
    const { theme } = document.documentElement.dataset;
    onPaper = true;
    document.documentElement.dataset.theme = "light";
    drawAll(PAPER_WIDTH);
    if (theme === undefined) delete document.documentElement.dataset.theme;
    else document.documentElement.dataset.theme = theme;
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.body.append(probe);
    drawAll();
    document.addEventListener("toggle", drawOpened, true); // it does not bubble
    document.addEventListener("theme-change", drawForScreen);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawForScreen);
    addEventListener("beforeprint", drawForPaper);
    addEventListener("afterprint", () => {
      onPaper = false;
      drawAll();
    });
  });
})();
