import { told } from "./clock.js";

// A reading belongs to what stood beside its field when it was begun, whatever the page has learnt meanwhile.
function keep(form) {
  const field = form.elements.words;
  if (form.elements.before?.type === "text") return undefined; // it stands in the form, where everybody sees it
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
// What the page has learnt is taken over by a form that nobody has begun to fill in.
function learn() {
  for (const place of document.querySelectorAll("[data-tell]:not([data-heard])")) {
    place.dataset.heard = "";
    const form = document.getElementById(place.dataset.tell);
    if (form?.classList.contains("deed")) offer(form, place.dataset);
    else if (form?.elements.before && !form.elements.words.value) turn(form, place.dataset);
  }
}

function turn(form, { before, since, counts, asks }) {
  const field = form.elements.before;
  if (document.activeElement === field) return;
  told(field, before, since, counts);
  document.getElementById(field.getAttribute("aria-describedby")).textContent = asks;
}

function offer(form, { verb, words = "", button }) {
  const field = form.elements.words;
  if (field.value && field.value !== field.dataset.offered) return;
  field.value = field.dataset.offered = words;
  form.classList.toggle("over", !words); // what was recorded by it stays to be read
  form.hidden = !words && !form.querySelector(".done").textContent;
  if (!words) return;
  form.elements.verb.value = verb;
  form.querySelector("button:not([type])").textContent = button;
}

learn();
new MutationObserver(learn).observe(document.body, { childList: true, subtree: true });
new MutationObserver(fillers).observe(document.body, { childList: true, subtree: true });
fillers();
