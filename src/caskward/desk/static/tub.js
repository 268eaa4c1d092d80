// How long a stage has gone on runs along while the page is open, until somebody changes it or begins to type.
const AGAIN_MS = 15_000;
const opened = performance.now();

for (const field of document.querySelectorAll("input[data-since]")) {
  const since = Number(field.dataset.since);
  if (since < 0) continue;
  let own = field.value;
  const words = field.form.elements.words;
  setInterval(() => {
    if (field.value !== own || words.value) return;
    own = `${field.dataset.stage} ${said(since + (performance.now() - opened) / 1000, field.dataset.stage)}`;
    field.value = own;
  }, AGAIN_MS);
}

function said(seconds, stage) {
  const minutes = Math.round(seconds / 60);
  if (stage === "mash" || minutes < 60) {
    const hours = Math.floor(minutes / 60);
    return [hours ? `${hours} h` : "", minutes % 60 || !hours ? `${minutes % 60} min` : ""].filter(Boolean).join(" ");
  }
  const hours = Math.round(minutes / 60);
  const days = Math.floor(hours / 24);
  return [days ? `${days} d` : "", hours % 24 || !days ? `${hours % 24} h` : ""].filter(Boolean).join(" ");
}
