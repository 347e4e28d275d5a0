// A phone in front of the wall: asks every second and a half whether anything changed (the answer is
// a 304 while nothing did), and takes the page anew when it did. Without script the page has a link.

(() => {
  "use strict";

  const EVERY_MS = 1500;

  function arm(seat) {
    let timer = null;
    let tag = "";

    async function take(answer) {
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const fresh = page.querySelector("[data-seat]");
      if (fresh === null) {
        location.reload(); // the wall is closed, or the member was signed out
        return;
      }
      seat.replaceChildren(...fresh.childNodes);
      seat.dataset.version = fresh.dataset.version;
      for (const old of document.querySelectorAll(".page > .notice")) old.remove();
      for (const notice of page.querySelectorAll(".page > .notice")) seat.before(notice);
    }

    async function look() {
      try {
        const headers = tag ? { "If-None-Match": tag } : {};
        const answer = await fetch(seat.dataset.now, { headers, cache: "no-store" });
        if (answer.status === 304) return;
        if (!answer.ok) {
          location.reload();
          return;
        }
        tag = answer.headers.get("ETag") ?? "";
        const { version } = await answer.json();
        if (version !== seat.dataset.version) await take(await fetch(location.href));
      } catch {
        // The network is away: ask again.
      }
    }

    async function beat() {
      if (document.visibilityState === "visible") await look();
      timer = setTimeout(beat, EVERY_MS);
    }

    seat.addEventListener("submit", async (event) => {
      const form = event.target;
      if (!form.matches("[data-seat-form]") || form.dataset.sent) return;
      event.preventDefault();
      form.dataset.sent = "1";
      const sent = new URLSearchParams(new FormData(form, event.submitter));
      try {
        await take(await fetch(form.action, { method: "POST", body: sent }));
      } catch {
        delete form.dataset.sent; // not sent: it can be pressed again
      }
    });
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState !== "visible") return;
      clearTimeout(timer);
      beat();
    });
    beat();
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-seat]").forEach(arm);
  });
})();
