// A reading belongs to what stood beside its field when it was begun, whatever the page has learnt meanwhile.
function keep(form) {
  const field = form.elements.words;
  let own = form.querySelector(".own");
  if (!field.value) return own?.remove();
  const key = form.elements.key.value;
  if (own?.dataset.key === key) return undefined;
  own?.remove();
  own = document.createElement("input");
  own.type = "hidden";
  own.name = "before";
  own.className = "own";
  own.dataset.key = key;
  own.value = document.getElementById(form.id.replace("reading", "before"))?.value ?? "";
  form.append(own);
  return undefined;
}

document.addEventListener(
  "input",
  (event) => {
    const form = event.target.form;
    if (form?.classList.contains("reading") && event.target.name === "words") keep(form);
  },
  true,
);

// What was foreseen of a reading is of no use once it is recorded.
document.addEventListener("book-moved-on", () => {
  for (const form of document.querySelectorAll("form.reading")) {
    if (!form.elements.words.value) form.querySelector(".foreseen").replaceChildren();
  }
});

// Buttons that fill the field, for an answer that is one of two.
function fillers() {
  for (const row of document.querySelectorAll(".fill[hidden]")) row.hidden = false;
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-fill]");
  if (!button) return;
  const field = document.getElementById(button.closest(".fill").dataset.for);
  field.value = button.dataset.fill;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  field.focus();
});

// A reach of the river opens its stage.
function openStage() {
  const place = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  const stage = place?.closest("details");
  if (!stage) return;
  stage.open = true;
  stage.scrollIntoView({ block: "start" });
  place.focus({ preventScroll: true });
}

addEventListener("hashchange", openStage);
document.addEventListener("click", (event) => {
  if (event.target.closest(".river a.head")) setTimeout(openStage);
});
new MutationObserver(fillers).observe(document.body, { childList: true, subtree: true });
fillers();
