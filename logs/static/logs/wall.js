// A lesson on the wall: one view at a time, by keys, clicker or touch. All views stand in the page,
// so that the lesson goes on when the network does not; phones are told of questions when it does.

(() => {
  "use strict";

  const EVERY_MS = 1000;
  const ON = new Set(["PageDown", "ArrowRight", " ", "Enter"]);
  const BACK = new Set(["PageUp", "ArrowLeft", "Backspace"]);

  // What the phones should ask, told to the site until it has it; and what they answered.
  class Room {
    constructor(wall) {
      this.wall = wall;
      this.token = wall.querySelector("[name='csrfmiddlewaretoken']").value;
      this.wanted = "-1 0";
      this.sent = "";
      this.isBusy = false;
    }

    show(view) {
      const asked = view.dataset.asked ?? "-1";
      this.wanted = `${asked} ${view.dataset.told ?? "0"}`;
      this.beat();
    }

    async beat() {
      if (this.isBusy) return;
      this.isBusy = true;
      try {
        while (this.sent !== this.wanted) await this.tell(this.wanted);
        await this.count();
        this.lost("");
      } catch {
        this.lost("The phones are not reached just now. The lesson goes on.");
      } finally {
        this.isBusy = false;
      }
    }

    async tell(wanted) {
      const [asked, told] = wanted.split(" ");
      const body = new URLSearchParams({ asked, is_told: told, csrfmiddlewaretoken: this.token });
      const answer = await fetch(this.wall.dataset.show, { method: "POST", body });
      if (!answer.ok) throw new Error(String(answer.status));
      this.sent = wanted;
    }

    async count() {
      const answer = await fetch(this.wall.dataset.counts, { cache: "no-store" });
      if (!answer.ok) throw new Error(String(answer.status));
      const room = await answer.json();
      const phones = `${room.n_seats} ${room.n_seats === 1 ? "phone" : "phones"}`;
      const view = this.wall.querySelector("[data-view]:not([hidden])");
      const put = (selector, text) => {
        const place = view.querySelector(selector);
        if (place !== null && place.textContent !== text) place.textContent = text;
      };
      put("[data-wall-seats]", `${phones} in the room`);
      if (view.dataset.asked !== String(room.asked)) return;
      put("[data-wall-answered]", `${room.n_answered} of ${phones} answered`);
      if (!room.is_told || view.dataset.told !== "1") return;
      for (const place of view.querySelectorAll("[data-count]")) {
        place.textContent = String(room.choices[place.dataset.count] ?? 0);
      }
    }

    lost(text) {
      const place = this.wall.querySelector("[data-wall-lost]");
      if (place.textContent !== text) place.textContent = text;
    }
  }

  function arm(wall) {
    const views = [...wall.querySelectorAll("[data-view]")];
    const stage = wall.querySelector("[data-wall-stage]");
    const room = wall.dataset.show === undefined ? null : new Room(wall);
    let at = 0;

    function show(wanted) {
      at = Math.max(0, Math.min(views.length - 1, wanted));
      views.forEach((view, n) => {
        view.hidden = n !== at;
      });
      wall.classList.remove("is-blank");
      wall.dataset.at = String(at);
      history.replaceState(null, "", `#${views[at].id}`);
      wall.querySelector(".wall-menu").open = false;
      room?.show(views[at]);
    }

    function byStep(way) {
      const step = views[at].dataset.step;
      let next = at;
      while (views[next]?.dataset.step === step) next += way;
      const other = views[next]?.dataset.step;
      // Back leads to the first view of the step before.
      while (way < 0 && next > 0 && views[next - 1].dataset.step === other) next -= 1;
      show(next);
    }

    const full = () => {
      if (document.fullscreenElement) document.exitFullscreen();
      else wall.requestFullscreen?.();
    };
    const moves = {
      ArrowDown: () => byStep(1),
      ArrowUp: () => byStep(-1),
      Home: () => show(0),
      End: () => show(views.length - 1),
      f: full,
      b: () => wall.classList.toggle("is-blank"),
      ".": () => wall.classList.toggle("is-blank"),
    };
    document.addEventListener("keydown", (event) => {
      if (event.ctrlKey || event.altKey || event.metaKey) return;
      const isPress = event.key === " " || event.key === "Enter";
      if (isPress && event.target.closest("button, a, summary")) return;
      const move = ON.has(event.key)
        ? () => show(at + 1)
        : BACK.has(event.key)
          ? () => show(at - 1)
          : moves[event.key.length === 1 ? event.key.toLowerCase() : event.key];
      if (move === undefined) return;
      event.preventDefault();
      move();
    });
    for (const button of wall.querySelectorAll("[data-wall-go]")) {
      button.addEventListener("click", () => show(at + Number(button.dataset.wallGo)));
    }
    wall.querySelector("[data-wall-full]").addEventListener("click", full);
    // A touch on the left third goes back, elsewhere on.
    stage.addEventListener("click", (event) => {
      if (!getSelection().isCollapsed) return;
      show(at + (event.clientX < innerWidth / 3 ? -1 : 1));
    });
    const byAddress = () => views.findIndex((view) => `#${view.id}` === location.hash);
    window.addEventListener("hashchange", () => show(Math.max(0, byAddress())));
    wall.querySelector("[data-wall-buttons]").hidden = false;
    wall.classList.add("is-armed");
    show(Math.max(0, byAddress()));
    if (room !== null) setInterval(() => room.beat(), EVERY_MS);
    stage.focus({ preventScroll: true });
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-wall]").forEach(arm);
  });
})();
