// Beside a phone's number pad stand the words that a reading needs, so that wet hands need not change keyboards.
export function startKeys() {
  // The answer comes while one types: the button that asks for it is for a page without script.
  for (const button of document.querySelectorAll(".unscripted")) button.hidden = true;
  for (const row of document.querySelectorAll(".keys")) {
    const field = document.getElementById(row.dataset.for);
    row.hidden = false;
    const touch = matchMedia("(pointer: coarse)").matches;
    if (touch) field.inputMode = "decimal";
    const letters = row.querySelector("[data-letters]");
    letters.hidden = !touch;
    row.addEventListener("pointerdown", (event) => event.preventDefault()); // the field keeps the keyboard
    row.addEventListener("click", (event) => {
      const key = event.target.closest("button");
      if (!key) return;
      if (key.dataset.key) insert(field, key.dataset.key);
      else if (key === letters) changeKeyboard(field, letters);
      else clear(field);
    });
  }
}

function insert(field, text) {
  const start = field.selectionStart ?? field.value.length;
  const before = field.value.slice(0, start);
  const after = field.value.slice(field.selectionEnd ?? start);
  const left = before === "" || before.endsWith(" ") ? text.trimStart() : text;
  field.value = before + left + (after.startsWith(" ") ? after.trimStart() : after);
  const at = before.length + left.length;
  tell(field, at);
}

function clear(field) {
  field.value = "";
  tell(field, 0);
}

function tell(field, at) {
  field.focus();
  field.setSelectionRange(at, at);
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

function changeKeyboard(field, button) {
  const to = field.inputMode === "decimal" ? "text" : "decimal";
  field.inputMode = to;
  button.textContent = to === "decimal" ? "abc" : "123";
  button.setAttribute("aria-pressed", String(to === "text"));
  field.blur();
  field.focus();
}
