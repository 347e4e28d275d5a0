// How far a job is, asked for again and again: <section data-job="ADDRESS" data-job-active> around
// a <progress> and a [data-job-so-far]. Once the job has ended the page is loaded anew.

(() => {
  "use strict";

  const PAUSE_MS = 1000;
  const FAULT_PAUSE_MS = 5000; // the site is away: it may come back

  async function ask(section) {
    const answer = await fetch(section.dataset.job, { credentials: "same-origin" });
    if (answer.status >= 500) throw new Error("the site is away");
    if (answer.redirected || !answer.ok) {
      window.location.reload(); // signed out, or erased meanwhile
      return;
    }
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-job]");
    if (fresh === null || !("jobActive" in fresh.dataset)) {
      window.location.reload();
      return;
    }
    // The button is left alone: it may have the focus.
    for (const part of ["h2", "[data-job-so-far]"]) {
      section.querySelector(part).textContent = fresh.querySelector(part).textContent;
    }
    section.querySelector("progress").value = fresh.querySelector("progress").value;
    window.setTimeout(follow, PAUSE_MS, section);
  }

  function follow(section) {
    ask(section).catch(() => window.setTimeout(follow, FAULT_PAUSE_MS, section));
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-job-active]").forEach((section) => {
      window.setTimeout(follow, PAUSE_MS, section);
    });
  });
})();
