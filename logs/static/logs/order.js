/* The order of a lesson's cases: by dragging, by two buttons at each, or by the number in it.
   Without this script the numbers alone tell it. */

"use strict";

for (const list of document.querySelectorAll("[data-order]")) {
  const said = document.querySelector("[data-order-said]");
  const items = () => [...list.children];
  const nameOf = (item) => item.querySelector("[data-order-name]").textContent.trim();
  const numberOf = (item) => item.querySelector("input[type=number]");

  const renumber = () => items().forEach((item, n) => { numberOf(item).value = n + 1; });

  const tell = (item) => {
    said.textContent = `${nameOf(item)} is now ${items().indexOf(item) + 1} of ${items().length}.`;
  };

  const place = (item, before) => {
    list.insertBefore(item, before);
    renumber();
    tell(item);
  };

  const button = (item, sign, word, step) => {
    const made = document.createElement("button");
    made.type = "button";
    made.className = "button is-quiet is-small";
    made.setAttribute("aria-label", `Move ${nameOf(item)} ${word}`);
    made.textContent = sign;
    made.addEventListener("click", () => {
      const to = items().indexOf(item) + step;
      if (to < 0 || to >= items().length) return;
      place(item, step < 0 ? items()[to] : items()[to].nextElementSibling);
      made.focus();
    });
    return made;
  };

  // The document listens while a case is held: moved in the list, its handle loses the pointer.
  const drag = (item) => {
    const handle = document.createElement("span");
    handle.className = "plan-handle";
    handle.setAttribute("aria-hidden", "true");
    const follow = (move) => {
      const others = items().filter((other) => other !== item);
      const middle = (other) => other.getBoundingClientRect().top + other.offsetHeight / 2;
      const before = others.find((other) => move.clientY < middle(other)) || null;
      if (before !== item.nextElementSibling) list.insertBefore(item, before);
    };
    const drop = () => {
      item.classList.remove("is-held");
      document.removeEventListener("pointermove", follow);
      document.removeEventListener("pointerup", drop);
      document.removeEventListener("pointercancel", drop);
      renumber();
      tell(item);
    };
    handle.addEventListener("pointerdown", (down) => {
      down.preventDefault();
      item.classList.add("is-held");
      document.addEventListener("pointermove", follow);
      document.addEventListener("pointerup", drop);
      document.addEventListener("pointercancel", drop);
    });
    return handle;
  };

  for (const item of items()) {
    const moves = document.createElement("span");
    moves.className = "plan-moves";
    moves.append(button(item, "↑", "up", -1), button(item, "↓", "down", 1), drag(item));
    item.append(moves);
    numberOf(item).addEventListener("change", () => {
      const to = Math.min(Math.max(Number(numberOf(item).value) || 1, 1), items().length);
      const others = items().filter((other) => other !== item);
      place(item, others[to - 1] || null);
    });
  }
}
