// Rows come and go without a new page; the answer is asked for anew when one goes.
const form = document.getElementById("wish");
form.querySelector(".unscripted").hidden = true;

function again() {
  form.dispatchEvent(new Event("input", { bubbles: true }));
}

function renamed(text, kind, next) {
  return text.replace(new RegExp(`${kind}-\\d+`, "g"), `${kind}-${next}`);
}

// A row like the last one, with nothing typed in it. Without one to copy, the desk makes the first.
function add(event, button) {
  const rows = button.closest(".wish-rows");
  const last = [...rows.querySelectorAll(".wish-row")].at(-1);
  if (!last) return;
  event.preventDefault();
  const { kind } = rows.dataset;
  const next = Number(button.dataset.next);
  button.dataset.next = String(next + 1);
  const made = last.cloneNode(true);
  made.hidden = false;
  made.dataset.row = renamed(made.dataset.row, kind, next);
  for (const one of made.querySelectorAll("[id], [for], [name], [value]")) {
    for (const name of ["id", "for", "name"]) {
      if (one.hasAttribute(name)) one.setAttribute(name, renamed(one.getAttribute(name), kind, next));
    }
    if (one.matches(".drop")) one.value = renamed(one.value, kind, next);
    else if (one.matches("input")) one.value = "";
    one.removeAttribute("aria-invalid");
  }
  last.after(made);
  made.querySelector("input, select").focus();
}

// Its fields stay, empty and out of sight: the desk must hear that they are.
function drop(event, button) {
  event.preventDefault();
  const row = button.closest(".wish-row");
  for (const one of row.querySelectorAll("input")) one.value = "";
  for (const one of row.querySelectorAll("select")) one.append(new Option("", "", true, true));
  row.hidden = true;
  again();
}

form.addEventListener("click", (event) => {
  const button = event.target.closest("button");
  if (button?.matches(".add")) add(event, button);
  if (button?.matches(".drop")) drop(event, button);
});

// A field that a refusal is about must not be hidden in a closed group.
for (const wrong of form.querySelectorAll("[aria-invalid]")) {
  const group = wrong.closest("details");
  if (group) group.open = true;
}
