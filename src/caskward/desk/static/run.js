// One press changes the receiver: the field is filled again with what the next one most likely holds.
function refill(form) {
  for (const field of form.querySelectorAll("[data-refill]")) {
    if (!field.value) field.value = field.dataset.refill;
  }
}

function next(form) {
  const vessel = form.elements.before;
  // Foreshots are caught once; what follows them is a jar.
  if (form.dataset.afterForeshots && vessel.value.endsWith("foreshots")) {
    vessel.value = form.dataset.afterForeshots;
    form.elements.words.dataset.refill = form.dataset.nextWords;
  }
}

for (const form of document.querySelectorAll("form[data-queue]")) {
  if (!form.querySelector("[data-refill]")) continue;
  const done = form.querySelector(".done");
  new MutationObserver(() => {
    if (!done.childElementCount) return;
    if (form.dataset.afterForeshots) next(form);
    refill(form);
  }).observe(done, { childList: true });
}
