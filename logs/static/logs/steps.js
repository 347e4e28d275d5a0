// An algorithm, turn by turn on the drawn cube. The turns are the engine's: for each written turn
// a list says from which of the 54 places the sticker of each place comes.

(() => {
  "use strict";

  const SVG = "http://www.w3.org/2000/svg";
  const isStill = matchMedia("(prefers-reduced-motion: reduce)");

  function turned(list, sources) {
    return sources.map((source) => list[source]);
  }

  // Everything that can be seen, at the start and after each turn.
  function statesOf(way, cells) {
    const pair = new Set(way.pair);
    let letters = [...way.letters];
    let followed = letters.map((_, cell) => pair.has(cell));
    const states = [{ letters, followed, moved: [] }];
    for (const token of way.tokens) {
      const sources = cells[token];
      letters = turned(letters, sources);
      followed = turned(followed, sources);
      states.push({ letters, followed, moved: sources.map((source, cell) => source !== cell) });
    }
    return states;
  }

  // The places at which a run begins or ends, and the name of each turn's run.
  function runsOf(way) {
    const ends = [0];
    const names = [""];
    for (const run of way.runs) {
      ends.push(ends.at(-1) + run.n);
      for (let n = 0; n < run.n; n += 1) names.push(run.name);
    }
    return { ends, names };
  }

  function addMark(sticker) {
    const points = sticker.querySelector("polygon").points;
    const mark = document.createElementNS(SVG, "circle");
    const corners = [...points];
    mark.setAttribute("class", "pair-mark");
    mark.setAttribute("r", "7");
    mark.setAttribute("cx", corners.reduce((sum, point) => sum + point.x, 0) / corners.length);
    mark.setAttribute("cy", corners.reduce((sum, point) => sum + point.y, 0) / corners.length);
    sticker.append(mark);
  }

  function cubeFrom(section) {
    const cube = section.querySelector(".step-strip .cube-picture").cloneNode(true);
    cube.removeAttribute("width");
    cube.removeAttribute("height");
    cube.querySelectorAll("[data-cell]").forEach(addMark);
    return cube;
  }

  function paint(cube, state, isFollowing) {
    for (const sticker of cube.querySelectorAll("[data-cell]")) {
      const cell = Number(sticker.dataset.cell);
      const letter = state.letters[cell];
      sticker.setAttribute("class", `sticker sticker-${letter.toLowerCase()}`);
      sticker.classList.toggle("is-moved", state.moved[cell] === true);
      sticker.classList.toggle("is-followed", isFollowing && state.followed[cell]);
      sticker.querySelector("text").textContent = letter;
    }
  }

  function words(way, names, at) {
    if (at === 0) return `The hold it starts from: ${way.title}`;
    const place = `turn ${at} of ${way.tokens.length}`;
    const run = names[at] ? `, in ${names[at]}` : "";
    const end = at === way.tokens.length ? ". The layer is done" : "";
    return `${way.words[at - 1]}: ${place}${run}${end}`;
  }

  function arm(section) {
    const data = JSON.parse(document.getElementById(section.dataset.steps).textContent);
    const part = (name) => section.querySelector(`[data-step-${name}]`);
    const slider = part("at");
    const turns = part("turns");
    const play = part("play");
    const pace = part("pace");
    const follow = part("follow");
    const cube = cubeFrom(section);
    part("cube").append(cube);
    let way = null;
    let states = [];
    let runs = { ends: [0], names: [""] };
    let at = 0;
    let timer = null;

    function stop() {
      clearInterval(timer);
      timer = null;
      play.textContent = "Play";
    }

    function show(wanted) {
      at = Math.max(0, Math.min(way.tokens.length, wanted));
      const text = words(way, runs.names, at);
      slider.value = String(at);
      slider.setAttribute("aria-valuetext", text);
      part("now").textContent = text;
      paint(cube, states[at], follow.checked);
      cube.setAttribute("aria-label", `The cube. ${text}`);
      section.dataset.letters = states[at].letters.join("");
      [...turns.children].forEach((turn, n) => turn.classList.toggle("is-now", n + 1 === at));
      if (timer !== null && at === way.tokens.length) stop();
    }

    function choose(key) {
      stop();
      way = data.ways.find((one) => one.key === key);
      states = statesOf(way, data.cells);
      runs = runsOf(way);
      slider.max = String(way.tokens.length);
      turns.replaceChildren(
        ...way.tokens.map((token, n) => {
          const turn = document.createElement("span");
          turn.textContent = token;
          turn.classList.toggle("is-run-end", runs.ends.includes(n + 1));
          return turn;
        }),
      );
      follow.disabled = way.pair.length === 0;
      show(0);
    }

    const nextEnd = () => runs.ends.find((end) => end > at) ?? at;
    const lastEnd = () => runs.ends.findLast((end) => end < at) ?? 0;
    const moves = {
      start: () => 0,
      "run-back": lastEnd,
      back: () => at - 1,
      on: () => at + 1,
      "run-on": nextEnd,
    };
    for (const button of section.querySelectorAll("[data-step-go]")) {
      button.addEventListener("click", () => {
        stop();
        show(moves[button.dataset.stepGo]());
      });
    }
    slider.addEventListener("input", () => {
      stop();
      show(Number(slider.value));
    });
    slider.addEventListener("keydown", (event) => {
      if (event.key !== "PageUp" && event.key !== "PageDown") return;
      event.preventDefault();
      stop();
      show(event.key === "PageUp" ? nextEnd() : lastEnd());
    });
    play.addEventListener("click", () => {
      if (timer !== null) {
        stop();
        return;
      }
      if (at === way.tokens.length) show(0);
      play.textContent = "Pause";
      timer = setInterval(() => show(at + 1), Number(pace.value));
    });
    pace.addEventListener("change", stop);
    follow.addEventListener("change", () => show(at));
    for (const hand of section.querySelectorAll("[data-step-way]")) {
      hand.addEventListener("change", () => choose(hand.value));
    }
    const settle = () => {
      stop();
      part("playing").hidden = isStill.matches;
    };
    isStill.addEventListener("change", settle);
    settle();
    choose(data.ways[0].key);
    const opener = part("open");
    const open = () => {
      part("stage").hidden = false;
      if (opener !== null) opener.hidden = true;
    };
    if (opener === null) {
      open();
    } else {
      opener.hidden = false;
      opener.addEventListener("click", () => {
        open();
        slider.focus();
      });
    }
    section.classList.add("is-stepped");
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-steps]").forEach(arm);
  });
})();
