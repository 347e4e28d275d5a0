// Stamps read off the member's own video (film.js) while a solve is written (writeup.js): where the
// hands start, the end of each turn, or the five marks. They stand in the form's own fields, in ms
// from where the hands start, and are kept with the text.

(() => {
  "use strict";

  const TOKEN = /[0-9-]*[URFDLBurfdlbMESxyz]w?[0-9'’‘ʼ′´`]*/g;
  const NONE = "-";

  function tokensOf(text) {
    return text.replace(/\/\/.*/g, "").match(TOKEN) ?? [];
  }

  const isTurn = (token) => !/[xyz]/.test(token);

  // Stamps of the tokens before a change, on the tokens after it: what stands before and behind the
  // change keeps its own, a token in another's place keeps that one's.
  function carried(before, stamps, after) {
    let head = 0;
    while (head < before.length && head < after.length && before[head] === after[head]) head += 1;
    let tail = 0;
    const most = Math.min(before.length, after.length) - head;
    while (tail < most && before[before.length - 1 - tail] === after[after.length - 1 - tail]) tail += 1;
    const old = stamps.slice(head, stamps.length - tail);
    const fresh = after.slice(head, after.length - tail);
    const kept = fresh.map((_, n) => (fresh.length === old.length ? old[n] : null));
    const behind = stamps.slice(stamps.length - tail);
    return { head, old, kept, behind: tail === 0 ? [] : behind, ahead: stamps.slice(0, head) };
  }

  function arm(room) {
    const section = room.querySelector("[data-film]");
    const form = room.querySelector("[data-writeup]");
    const { film } = section;
    const text = form.elements.solution;
    const said = section.querySelector("[data-stamp-said]");
    const what = section.querySelector("[data-stamp-what]");
    const keys = Object.fromEntries(
      [...section.querySelectorAll("[data-stamp-do]")].map((key) => [key.dataset.stampDo, key]),
    );
    let tokens = tokensOf(text.value);
    let stamps = loaded();
    let isCounted = true; // the site reads as many tokens as are seen here
    let taken = null; // stamps of turns that were taken out, for those written in their place
    let chosen = null; // the slot that was picked
    let touched = null; // the slot that was stamped last

    function loaded() {
      const kept = form.elements.turn_ms.value.split(" ").filter(Boolean);
      if (kept.length !== tokens.filter(isTurn).length) return tokens.map(() => null);
      return tokens.map((token) => {
        const stamp = isTurn(token) ? kept.shift() : NONE;
        return stamp === NONE ? null : Number(stamp);
      });
    }

    // --- What is stamped: turns, or marks --------------------------------------------------------

    const turns = {
      all: () => tokens.map((_, n) => n).filter((n) => isTurn(tokens[n])),
      label: (n) => tokens[n],
      get: (n) => stamps[n] ?? null,
      set: (n, ms) => {
        stamps[n] = ms;
      },
    };
    const fields = [1, 2, 3, 4, 5].map((n) => form.elements[`mark_${n}`]);
    const marks = {
      all: () => fields.map((_, n) => n),
      label: (n) => fields[n].labels[0].textContent,
      get: (n) => (Number.isFinite(Number.parseFloat(fields[n].value)) ? Math.round(1000 * fields[n].value) : null),
      set: (n, ms) => {
        fields[n].value = ms === null ? "" : (ms / 1000).toFixed(3);
        form.elements.timed_by.value = "video";
      },
    };
    const slots = () => (what.value === "marks" ? marks : turns);
    const startMs = () => (form.elements.start_ms.value === "" ? null : Number(form.elements.start_ms.value));

    function current() {
      const all = slots().all();
      if (chosen !== null && all.includes(chosen)) return chosen;
      return all.find((n) => slots().get(n) === null) ?? null;
    }

    // --- Showing ---------------------------------------------------------------------------------

    function seconds(ms) {
      const digits = form.elements.step_ms.value <= 10 ? 2 : 1;
      return (Math.floor((ms / 1000) * 10 ** digits + 1e-6) / 10 ** digits).toFixed(digits);
    }

    function frameWords(ms) {
      return `${seconds(ms)} s, frame ${Math.round(ms / film.frameMs())} from hands start`;
    }

    function show() {
      const n = current();
      const all = slots().all();
      const hasStart = startMs() !== null;
      keys.start.classList.toggle("is-next", !hasStart);
      keys.stamp.disabled = !hasStart || n === null || !isCounted;
      keys.stamp.classList.toggle("is-next", !keys.stamp.disabled);
      if (n !== null) keys.stamp.textContent = `${all.indexOf(n) + 1} of ${all.length}: ${slots().label(n)}${what.value === "marks" ? "" : " ends"} here`;
      else keys.stamp.textContent = all.length === 0 ? "Write the first turn" : "All stamped";
      const has = touched !== null && slots().get(touched) !== null;
      for (const name of ["earlier", "later", "off"]) keys[name].disabled = !has;
      keys.next.disabled = all.length === 0;
      for (const [at, button] of [...form.querySelectorAll("[data-write-tokens] .token:not(.is-bad)")].entries()) {
        button.querySelector(".stamp")?.remove();
        button.classList.toggle("is-stamping", film.isOpen() && what.value === "turns" && at === n);
        if (turns.get(at) === null) continue;
        const stamp = document.createElement("span");
        stamp.className = "stamp";
        stamp.textContent = seconds(turns.get(at));
        button.append(stamp);
      }
    }

    function keep() {
      const kept = tokens.flatMap((token, n) => (isTurn(token) ? [stamps[n]] : []));
      const isEmpty = kept.every((stamp) => stamp === null);
      form.elements.turn_ms.value = isEmpty ? "" : kept.map((stamp) => stamp ?? NONE).join(" ");
    }

    function changed(words) {
      said.textContent = words;
      keep();
      show();
      form.dispatchEvent(new CustomEvent("stamped"));
    }

    // --- Stamping --------------------------------------------------------------------------------

    function useVideo() {
      form.elements.step_ms.value = String(Math.ceil(film.frameMs() - 0.01));
    }

    function put(n, ms) {
      slots().set(n, ms);
      useVideo();
      touched = n;
    }

    const after = (n) => slots().all().filter((one) => one > n);

    const acts = {
      start() {
        const moment = film.momentMs();
        const moved = startMs() === null ? 0 : startMs() - moment;
        form.elements.start_ms.value = String(moment);
        useVideo();
        stamps = stamps.map((stamp) => (stamp === null ? null : stamp + moved));
        if (form.elements.timed_by.value === "video") {
          for (const n of marks.all()) if (marks.get(n) !== null) marks.set(n, Math.max(0, marks.get(n) + moved));
        }
        changed(`Hands start at frame ${Math.round(moment / film.frameMs())} of the video.`);
      },
      stamp() {
        const n = current();
        if (keys.stamp.disabled) return;
        const ms = film.momentMs() - startMs();
        if (ms < 0) {
          said.textContent = "That is before the hands start.";
          return;
        }
        put(n, ms);
        chosen = after(n).find((one) => slots().get(one) === null) ?? null;
        changed(`${slots().label(n)}: ${frameWords(ms)}.`);
      },
      move(by) {
        if (touched === null || slots().get(touched) === null) return;
        // From frame to frame of the video, so that rounding never adds up.
        const frame = Math.round((slots().get(touched) + startMs()) / film.frameMs()) + by;
        put(touched, Math.max(0, Math.round(frame * film.frameMs()) - startMs()));
        film.goTo(startMs() + slots().get(touched));
        changed(`${slots().label(touched)}: ${frameWords(slots().get(touched))}.`);
      },
      earlier: () => acts.move(-1),
      later: () => acts.move(1),
      off() {
        if (touched === null) return;
        chosen = touched;
        slots().set(touched, null);
        changed(`${slots().label(touched)} has no stamp now.`);
      },
      next() {
        pick(after(current() ?? touched ?? -1)[0] ?? slots().all()[0]);
      },
    };

    function pick(n) {
      if (n === undefined || !slots().all().includes(n)) return;
      chosen = n;
      const ms = slots().get(n);
      if (ms !== null) {
        touched = n;
        if (film.isOpen() && startMs() !== null) film.goTo(startMs() + ms);
      }
      said.textContent = ms === null ? `${slots().label(n)} has no stamp yet.` : `${slots().label(n)}: ${frameWords(ms)}.`;
      show();
    }

    // --- Following the text ----------------------------------------------------------------------

    // The moment in sight, for a turn just written: not for one that would end before what stands
    // before it, nor at the moment where the last one was stamped.
    function momentFor(ahead, behind) {
      if (!film.isOpen() || what.value !== "turns" || startMs() === null) return null;
      const ms = film.momentMs() - startMs();
      const later = behind.find((stamp) => stamp !== null);
      const isAfter = ms > Math.max(0, ...ahead.filter((stamp) => stamp !== null));
      return isAfter && (later === undefined || ms < later) ? ms : null;
    }

    form.addEventListener("writing", ({ detail }) => {
      const now = tokensOf(detail.after);
      const { head, old, kept, behind, ahead } = carried(tokens, stamps, now);
      if (old.length === 0 && taken !== null && taken.head === head) {
        for (const n of kept.keys()) kept[n] = taken.stamps[n] ?? null;
      }
      if (old.length > kept.length) taken = { head: head + kept.length, stamps: old.slice(kept.length) };
      else if (kept.length > 0) taken = null;
      const isLast = behind.every((stamp) => stamp === null);
      const isOne = detail.isTurn && kept.length === 1 && isTurn(now[head]);
      if (isOne && (kept[0] === null || (isLast && old.length === 0))) {
        const moment = momentFor(ahead, behind);
        if (moment !== null) {
          kept[0] = moment;
          useVideo();
          touched = head;
        }
      }
      tokens = now;
      stamps = [...ahead, ...kept, ...behind].map((stamp, n) => (isTurn(now[n]) ? stamp : null));
      chosen = null;
      keep();
      show();
    });
    form.addEventListener("written", ({ detail }) => {
      isCounted = detail.problem !== null || detail.steps.length - 1 === tokens.length;
      if (!isCounted && film.isOpen()) said.textContent = "Write repeats like (R U)2 out, to stamp their turns.";
      show();
    });
    form.addEventListener("picked", ({ detail }) => {
      if (what.value === "turns") pick(detail);
    });
    what.addEventListener("change", () => {
      chosen = touched = null;
      if (what.value === "marks") form.querySelector("[data-write-marks]").open = true;
      show();
    });
    for (const field of fields) field.addEventListener("input", show);
    for (const [name, key] of Object.entries(keys)) key.addEventListener("click", () => acts[name]());

    // --- The video -------------------------------------------------------------------------------

    section.addEventListener("opened", () => {
      room.classList.add("has-film");
      if (startMs() !== null) {
        useVideo();
        film.goTo(startMs());
        said.textContent = "Stamps are kept from where the hands start; the same video goes on where you left it.";
      }
      show();
    });
    // What is reached by the keyboard is never hidden behind the video that stays in sight.
    const picture = section.querySelector("[data-film-room]");
    new ResizeObserver(() => {
      const isAbove = getComputedStyle(picture).position === "sticky";
      document.documentElement.style.scrollPaddingTop = isAbove ? `${picture.offsetHeight}px` : "";
    }).observe(picture);

    const KEYS = {
      p: film.acts.play,
      ",": film.acts.back,
      ".": film.acts.on,
      "-": film.acts.slower,
      "+": film.acts.faster,
      "=": film.acts.faster,
      h: acts.start,
      Enter: acts.stamp,
      "<": acts.earlier,
      ">": acts.later,
    };
    room.addEventListener("keydown", (event) => {
      const act = KEYS[event.key];
      if (act === undefined || !film.isOpen() || event.ctrlKey || event.altKey || event.metaKey) return;
      const isText = event.target === text;
      if (!isText && (event.key === "Enter" || event.target.closest("button") === null)) return;
      const line = text.value.slice(0, text.selectionStart).split("\n").at(-1);
      if (isText && line.includes("//")) return;
      event.preventDefault();
      act();
    });
    show();
  }

  document.addEventListener("DOMContentLoaded", () => {
    document.querySelectorAll("[data-writeup-room]").forEach(arm);
  });
})();
