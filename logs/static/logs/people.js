"use strict";

// Copies the text of a field to the clipboard; where that is not allowed it selects the text.
for (const button of document.querySelectorAll("[data-copy]")) {
  const field = document.getElementById(button.dataset.copy);
  const done = button.parentElement.querySelector("[data-copy-done]");
  button.hidden = false;
  button.addEventListener("click", async () => {
    field.select();
    try {
      await navigator.clipboard.writeText(field.value);
      done.textContent = "Copied.";
    } catch {
      done.textContent = "Selected: copy it with the keyboard.";
    }
  });
}
