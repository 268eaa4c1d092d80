// The example below a field follows what is chosen to be recorded.
export function startForms() {
  for (const choice of document.querySelectorAll("select[data-examples]")) {
    const hint = choice.form.querySelector(".hint");
    const show = () => {
      const chosen = choice.selectedOptions[0];
      hint.replaceChildren(`${chosen.dataset.help} Such as: `, example(chosen.dataset.example));
    };
    choice.addEventListener("change", show);
    show();
  }
}

function example(text) {
  const span = document.createElement("span");
  span.className = "example";
  span.textContent = text;
  return span;
}
