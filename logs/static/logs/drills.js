// Drills in hand: the sheet's scrambles one at a time. Words are kept on this device until the site
// has them, so that it goes on without a network once the sheet is open.

(() => {
  "use strict";

  function stored(key) {
    try {
      return JSON.parse(localStorage.getItem(key)) ?? [];
    } catch {
      return []; // storage is shut off: the words then last as long as the page
    }
  }

  function arm(section) {
    const drills = JSON.parse(document.getElementById("drills-in-hand").textContent);
    const part = (name) => section.querySelector(`[data-hand-${name}]`);
    const key = `drill-words-${section.dataset.member}`;
    const form = part("form");
    const words = [...section.querySelectorAll("button[name='word']")];
    let waiting = stored(key);
    let at = 0;
    let isSending = false;

    function keep() {
      try {
        localStorage.setItem(key, JSON.stringify(waiting));
      } catch {
        // As above.
      }
      const n = waiting.length;
      if (n > 0) part("state").textContent = `${n} kept on this device until the site has them.`;
    }

    async function send(word) {
      const body = new FormData(form);
      for (const [name, value] of Object.entries(word)) body.set(name, value);
      body.set("stay", "1");
      const answer = await fetch(form.action, { method: "POST", body, redirect: "manual" });
      if (answer.type === "opaqueredirect" || answer.status === 403) return "Sign in again: your words wait on this device.";
      if (answer.status >= 500) throw new Error("not taken");
      waiting = waiting.filter((one) => one.seal !== word.seal);
      return answer.status === 204 ? "Kept: by your own word." : await answer.text();
    }

    async function sendAll() {
      if (isSending) return;
      isSending = true;
      let said = "";
      try {
        while (waiting.length > 0) {
          const n = waiting.length;
          said = await send(waiting[0]);
          if (waiting.length === n) break;
        }
      } catch {
        // No network, or the site is not itself: they wait.
      }
      isSending = false;
      part("state").textContent = said;
      keep();
    }

    function show(place) {
      at = place;
      const drill = drills[at];
      part("place").textContent = `${at + 1} of ${drills.length}`;
      part("scramble").textContent = drill.scramble;
      part("case").textContent = "";
      part("state").textContent = "";
      form.elements.time.value = "";
      words.forEach((button) => {
        button.disabled = false;
        button.setAttribute("aria-pressed", "false");
      });
      part("next").hidden = true;
      part("again").hidden = true;
      part("scramble").focus();
    }

    form.addEventListener("submit", (event) => {
      event.preventDefault();
      const button = event.submitter;
      const drill = drills[at];
      words.forEach((one) => {
        one.disabled = true;
        one.setAttribute("aria-pressed", String(one === button));
      });
      part("case").textContent = `It was ${drill.title}.`;
      part("again").hidden = false;
      part("next").hidden = false;
      part("next").textContent = at + 1 < drills.length ? "Next drill" : "To the sheet";
      part("next").focus();
      if (drill.isTold) return; // done again: its first word counts
      drill.isTold = true;
      waiting.push({ seal: drill.seal, word: button.value, time: form.elements.time.value });
      keep();
      sendAll();
    });
    part("again").addEventListener("click", () => show(at));
    part("next").addEventListener("click", () => {
      if (at + 1 < drills.length) {
        show(at + 1);
        return;
      }
      section.hidden = true;
      opener.hidden = false;
      opener.focus();
    });
    const opener = document.querySelector("[data-hand-open]");
    opener.hidden = false;
    opener.addEventListener("click", () => {
      section.hidden = false;
      opener.hidden = true;
      const first = drills.findIndex((drill) => drill.isTold !== true);
      show(first < 0 ? 0 : first);
      section.scrollIntoView();
    });
    window.addEventListener("online", sendAll);
    if (waiting.length > 0) sendAll();
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-hand]").forEach(arm);
  });
})();
