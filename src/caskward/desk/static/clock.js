// How long a stage has gone on runs along while the page is open. In a field it stops once somebody changes it or
// begins to type what was read.
const AGAIN_MS = 15_000;
const seen = new WeakMap(); // when an element came, by this page's own clock, and what it said then

function tick() {
  for (const place of document.querySelectorAll("[data-clock]")) {
    place.textContent = said(elapsed(place, Number(place.dataset.clock)), place.dataset.counts);
  }
  for (const field of document.querySelectorAll("input[data-since]")) run(field);
}

function run(field) {
  const since = Number(field.dataset.since);
  if (since < 0 || !field.dataset.counts) return;
  const last = seen.get(field)?.own ?? field.defaultValue;
  if (field.value !== last || field.form.elements.words.value) return;
  const words = `${field.dataset.counts} ${said(elapsed(field, since), field.dataset.counts)}`;
  field.value = words;
  seen.set(field, { ...seen.get(field), own: words });
}

function elapsed(element, since) {
  const key = `${since}`;
  const known = seen.get(element);
  if (known?.key !== key) seen.set(element, { ...known, key, at: performance.now() });
  return since + (performance.now() - seen.get(element).at) / 1000;
}

// A clock of the book's is told anew: the field follows it from here.
export function told(field, before, since, counts) {
  field.value = before;
  field.dataset.since = since;
  field.dataset.counts = counts;
  seen.set(field, { own: before, key: `${Number(since)}`, at: performance.now() });
}

function said(seconds, counts) {
  const minutes = Math.round(seconds / 60);
  if (counts === "mash" || minutes < 60) {
    const hours = Math.floor(minutes / 60);
    return [hours ? `${hours} h` : "", minutes % 60 || !hours ? `${minutes % 60} min` : ""].filter(Boolean).join(" ");
  }
  const hours = Math.round(minutes / 60);
  const days = Math.floor(hours / 24);
  return [days ? `${days} d` : "", hours % 24 || !days ? `${hours % 24} h` : ""].filter(Boolean).join(" ");
}

tick();
setInterval(tick, AGAIN_MS);
