// Writing a solve down: keys and a pad write into the text; the site reads it and answers how far it
// has come, and this paints the answer. Questions go out one at a time, the newest text last.

(() => {
  "use strict";

  const WAIT_MS = 250;
  const AGAIN_MS = 3000;

  function paint(cube, letters) {
    for (const sticker of cube.querySelectorAll("[data-cell]")) {
      const letter = letters[Number(sticker.dataset.cell)];
      sticker.setAttribute("class", `sticker sticker-${letter.toLowerCase()}`);
      sticker.querySelector("text").textContent = letter;
    }
  }

  function element(name, className, text) {
    const made = document.createElement(name);
    made.className = className;
    made.textContent = text;
    return made;
  }

  function arm(form) {
    const part = (name) => form.querySelector(`[data-write-${name}]`);
    const text = part("text");
    const cube = part("cube").querySelector(".cube-picture");
    const past = [];
    const future = [];
    let answer = JSON.parse(document.getElementById("writing").textContent);
    let edition = answer.edition;
    let known = text.value;
    let isAsking = false;
    let isStale = false;
    let isWhole = false;
    let timer = null;

    // --- What the site answers -----------------------------------------------------------------

    function stepAtCaret() {
      const caret = text.selectionStart;
      const n = answer.steps.filter((step) => step.column <= caret).length;
      return Math.max(0, n - 1);
    }

    function showCube() {
      const at = stepAtCaret();
      paint(cube, answer.steps[at].letters);
      const where = at === 0 ? "The scrambled cube" : `The cube after turn ${at}, ${answer.steps[at].token}`;
      cube.setAttribute("aria-label", where);
      [...part("tokens").querySelectorAll("button")].forEach((token, n) => {
        token.classList.toggle("is-now", n + 1 === at);
        if (n + 1 === at) token.setAttribute("aria-current", "step");
        else token.removeAttribute("aria-current");
      });
    }

    function showTokens() {
      const tokens = answer.steps.slice(1).map((step, n) => {
        const item = document.createElement("li");
        const token = element("button", "token", step.token);
        token.type = "button";
        token.addEventListener("click", () => {
          const end = step.column - 1 + lengthAt(step.column - 1);
          text.setSelectionRange(end, end);
          showCube();
          form.dispatchEvent(new CustomEvent("picked", { detail: n }));
        });
        item.append(token);
        return item;
      });
      if (answer.problem !== null) {
        const at = answer.problem.column - 1;
        const item = document.createElement("li");
        const bad = element("button", "token is-bad", text.value.slice(at).split(/\s/, 1)[0] || answer.problem.token);
        bad.type = "button";
        bad.title = answer.problem.message;
        bad.addEventListener("click", () => {
          text.focus();
          text.setSelectionRange(at, at + bad.textContent.length);
        });
        item.append(bad);
        tokens.push(item);
      }
      part("tokens").replaceChildren(...tokens);
      part("tokens").hidden = tokens.length === 0;
    }

    function lengthAt(start) {
      const rest = text.value.slice(start);
      return rest.match(/^[^\s()]+/)?.[0].length ?? 1;
    }

    function showOffers() {
      const offers = answer.offers.map((offer) => {
        const button = element("button", "offer", "");
        button.type = "button";
        button.append(element("span", "offer-title", offer.title), " ", element("span", "moves", offer.text));
        button.addEventListener("click", () => write(`${text.value.trimEnd()} ${offer.text} `.trimStart()));
        return button;
      });
      const whole = (title, solution) => {
        const button = element("button", "offer", "");
        button.type = "button";
        button.append(element("span", "offer-title", title), " ", element("span", "moves", solution));
        button.addEventListener("click", () => write(`${solution} `));
        return button;
      };
      if (answer.mixUp !== null) {
        offers.push(element("p", "notice is-warning", answer.mixUp.words));
        if (answer.mixUp.text) offers.push(whole("Write the right one in its place", answer.mixUp.text));
      }
      for (const mend of answer.mends) offers.push(whole("This would solve it", mend));
      if (isWhole && !answer.isSolved && answer.mends.length === 0) {
        offers.push(element("p", "notice", "It does not solve the cube, and no single change would."));
      }
      part("offers").replaceChildren(...offers);
    }

    function show() {
      part("now").textContent = answer.now;
      part("problem").textContent = answer.problem === null ? "" : answer.problem.message;
      text.setAttribute("aria-invalid", String(answer.problem !== null));
      part("stages").replaceChildren(
        ...answer.stages.map((stage) => {
          const item = element("li", stage.at === null ? "" : "is-done", stage.label);
          if (stage.at !== null) item.append(element("span", "visually-hidden", ", done"));
          return item;
        }),
      );
      part("timing").textContent = answer.timing;
      part("doubt").textContent = answer.doubt;
      part("doubt").hidden = answer.doubt === "";
      part("untimed").hidden = !answer.hasTimes;
      showTokens();
      showOffers();
      showCube();
      form.dataset.read = text.value;
      form.dispatchEvent(new CustomEvent("written", { detail: answer }));
    }

    // --- Asking --------------------------------------------------------------------------------

    async function ask() {
      clearTimeout(timer);
      if (isAsking) {
        isStale = true;
        return;
      }
      isAsking = true;
      isStale = false;
      edition += 1;
      const sent = text.value;
      const asksWhole = isWhole;
      const body = new URLSearchParams(new FormData(form));
      const token = body.get("csrfmiddlewaretoken");
      body.delete("csrfmiddlewaretoken");
      body.set("edition", String(edition));
      if (asksWhole) body.set("whole", "1");
      try {
        const headers = { "X-CSRFToken": token };
        const response = await fetch(form.dataset.writeup, { method: "POST", body, headers, redirect: "manual" });
        if (!response.ok) throw new Error(String(response.status));
        const read = await response.json();
        // The same draft on another page: go on from what that has reached.
        edition = Math.max(edition, read.edition);
        if (text.value === sent) {
          answer = read;
          show();
        }
        part("saved").textContent = "Kept as you write.";
      } catch {
        part("saved").textContent = "Not kept: the site does not answer. It is tried again.";
        timer = setTimeout(ask, AGAIN_MS);
      }
      isAsking = false;
      if (isStale) ask();
    }

    function askSoon() {
      clearTimeout(timer);
      timer = setTimeout(ask, WAIT_MS);
    }

    // --- Writing -------------------------------------------------------------------------------

    // `isTurn`: one turn was typed or tapped, so that it may be stamped as it is written.
    function changed(isTurn) {
      if (text.value === known) return;
      past.push(known);
      form.dispatchEvent(new CustomEvent("writing", { detail: { before: known, after: text.value, isTurn } }));
      future.length = 0;
      known = text.value;
      isWhole = false;
      askSoon();
    }

    function write(value) {
      text.value = value;
      text.setSelectionRange(value.length, value.length);
      changed(false);
    }

    function insert(turn) {
      const at = text.selectionStart;
      const before = text.value.slice(0, at);
      const after = text.value.slice(text.selectionEnd);
      const gap = before === "" || /\s$/.test(before) ? "" : " ";
      const head = `${before}${gap}${turn}`;
      text.value = head + (after === "" || /^\s/.test(after) ? after : ` ${after}`);
      text.setSelectionRange(head.length, head.length);
      changed(true);
    }

    // A prime or a 2 belongs to the turn before the caret, and takes itself off again.
    function mark(sign) {
      const head = text.value.slice(0, text.selectionStart).trimEnd();
      const turn = head.match(/[URFDLBurfdlbMESxyz]w?(['2]*)$/);
      if (turn === null) return;
      const bare = head.slice(0, head.length - turn[1].length);
      const marked = turn[1] === sign ? bare : bare + sign;
      text.value = marked + text.value.slice(head.length);
      text.setSelectionRange(marked.length, marked.length);
      changed(true);
    }

    function back() {
      const head = text.value.slice(0, text.selectionStart).trimEnd();
      const shorter = head.replace(/\S+$/, "").trimEnd();
      text.value = shorter + text.value.slice(head.length);
      text.setSelectionRange(shorter.length, shorter.length);
      changed(true);
    }

    function travel(from, to) {
      if (from.length === 0) return;
      to.push(known);
      const before = known;
      known = from.pop();
      text.value = known;
      form.dispatchEvent(new CustomEvent("writing", { detail: { before, after: known, isTurn: false } }));
      text.setSelectionRange(known.length, known.length);
      isWhole = false;
      askSoon();
    }

    const acts = {
      back,
      undo: () => travel(past, future),
      redo: () => travel(future, past),
      end: () => {
        text.setSelectionRange(text.value.length, text.value.length);
        showCube();
      },
    };
    text.addEventListener("input", (event) => changed(event.inputType === "insertText"));
    form.addEventListener("input", (event) => {
      if (event.target !== text) askSoon();
    });
    form.addEventListener("stamped", askSoon);
    form.addEventListener("formdata", ({ formData }) => {
      for (const [name, value] of [...formData]) if (name.startsWith("mark_") && value === "") formData.delete(name);
    });
    for (const name of ["keyup", "click"]) text.addEventListener(name, showCube);
    for (const key of form.querySelectorAll("[data-write-turn]")) {
      key.addEventListener("click", () => insert(key.dataset.writeTurn));
    }
    for (const key of form.querySelectorAll("[data-write-mark]")) {
      key.addEventListener("click", () => mark(key.dataset.writeMark));
    }
    for (const key of form.querySelectorAll("[data-write-do]")) {
      key.addEventListener("click", acts[key.dataset.writeDo]);
    }
    part("look").addEventListener("click", (event) => {
      event.preventDefault();
      isWhole = true;
      ask();
    });
    text.setSelectionRange(text.value.length, text.value.length);
    part("pad").hidden = false;
    part("saved").textContent = "Kept as you write.";
    show();
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-writeup]").forEach(arm);
  });
})();
