// What is recorded is kept on this device first and then sent, so that a dropped network loses nothing. Each
// carries its own key: sent twice, it is entered once. How long it waited is sent instead of this device's clock.
const STORE = "caskward-queue";
const AGAIN_MS = 8000;
const GIVE_UP_MS = 15000;
let sending = false;

const meta = (name) => document.querySelector(`meta[name="${name}"]`).content;

export function startQueue() {
  for (const form of document.querySelectorAll("form[data-queue]")) {
    form.addEventListener("submit", (event) => take(event, form));
  }
  addEventListener("online", sendAll);
  addEventListener("storage", show);
  document.body.addEventListener("caskward:reached", sendAll);
  setInterval(() => own().some((item) => !item.error) && sendAll(), AGAIN_MS);
  show();
  sendAll();
}

function read() {
  try {
    const found = JSON.parse(localStorage.getItem(STORE) ?? "[]");
    return Array.isArray(found) ? found : [];
  } catch {
    return [];
  }
}

function write(items) {
  localStorage.setItem(STORE, JSON.stringify(items));
  show();
}

const own = () => read().filter((item) => item.who === meta("caskward-who"));

function change(key, changes) {
  write(read().map((item) => (item.fields.key === key ? { ...item, ...changes } : item)));
}

const drop = (key) => write(read().filter((item) => item.fields.key !== key));

function take(event, form) {
  const fields = Object.fromEntries(new FormData(form));
  delete fields.token; // of this page only; the page that sends it has its own
  const item = { fields, who: meta("caskward-who"), since: Date.now(), error: "" };
  try {
    write([...read(), item]);
  } catch {
    return; // nothing can be kept on this device: the form goes off by itself
  }
  event.preventDefault();
  const button = form.querySelector("button:not([type])");
  button.disabled = true;
  refuse(form, "");
  send(item).then((answer) => {
    button.disabled = false;
    settle(form, item, answer);
  });
}

function settle(form, item, answer) {
  if (answer.error) {
    drop(item.fields.key); // it is still in the field, to be mended there
    refuse(form, answer.error);
    form.elements.words.focus();
    return;
  }
  renew(form);
  const kept = "Kept on this device. It is sent as soon as the desk is reached.";
  say(form, answer.said ?? [answer.held ? `${answer.held} It is kept on this device meanwhile.` : kept], !answer.said);
}

function refuse(form, sentence) {
  const place = form.querySelector(".error");
  place.textContent = sentence;
  place.hidden = !sentence;
  form.elements.words.toggleAttribute("aria-invalid", Boolean(sentence));
  if (sentence) form.elements.words.setAttribute("aria-invalid", "true");
  form.querySelector(".done").replaceChildren();
}

function renew(form) {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  form.elements.key.value = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  for (const name of ["words", "note", "at"]) if (form.elements[name]) form.elements[name].value = "";
}

function say(form, sentences, waiting) {
  const place = form.querySelector(".done");
  place.replaceChildren(...sentences.map(paragraph));
  place.classList.toggle("fresh", !waiting);
}

function paragraph(text) {
  const p = document.createElement("p");
  p.textContent = text;
  return p;
}

// {said} where it is in the book, {error} where it was refused, {held} where it may be sent later, {} where
// nobody answered.
async function send(item) {
  const body = new URLSearchParams({ ...item.fields, token: meta("caskward-token") });
  const waited = Math.round((Date.now() - item.since) / 1000);
  if (waited > 5) body.set("waited_s", String(Math.max(0, waited)));
  let answer;
  try {
    const options = { method: "POST", body, headers: { Accept: "application/json" }, signal: timeout() };
    answer = await fetch("/record", options);
  } catch {
    return {};
  }
  if (answer.ok) {
    const { said, number } = await answer.json();
    drop(item.fields.key);
    // The page need not wait to hear from the desk what it has just told it.
    document.body.dispatchEvent(new CustomEvent("book-moved-on", { detail: String(number) }));
    return { said };
  }
  const { error } = await answer.json().catch(() => ({}));
  if (answer.status !== 422) return { held: error }; // signed out, or a page too old: it waits for the next page
  change(item.fields.key, { error });
  return { error };
}

function timeout() {
  const stop = new AbortController();
  setTimeout(() => stop.abort(), GIVE_UP_MS);
  return stop.signal;
}

async function sendAll() {
  if (sending) return;
  sending = true;
  try {
    // In the order in which they were done; what one needs, an earlier one may have brought.
    for (const item of own()) {
      if (item.error) continue;
      const answer = await send(item);
      if (!answer.said && !answer.error) break;
    }
  } finally {
    sending = false;
  }
}

function show() {
  const place = document.getElementById("waiting");
  const items = read();
  const settled = items.filter((item) => item.error || Date.now() - item.since > 400);
  place.hidden = settled.length === 0;
  if (items.length > settled.length) setTimeout(show, 500);
  if (!settled.length) return;
  const list = document.createElement("ul");
  list.replaceChildren(...settled.map(line));
  const count = settled.length;
  const head = count === 1 ? "1 record is on this device only." : `${count} records are on this device only.`;
  place.replaceChildren(paragraph(head), list);
}

function line(item) {
  const li = document.createElement("li");
  const { verb, before, words } = item.fields;
  li.append(`${[verb, before, words].filter(Boolean).join(" ")} `);
  if (item.who !== meta("caskward-who")) li.append(`(waits until ${item.who || "this machine's own screen"} is back) `);
  if (item.error) {
    li.append(strong(item.error), button("Throw it away", () => drop(item.fields.key)));
    li.append(button("Try again", () => (change(item.fields.key, { error: "" }), sendAll())));
  }
  return li;
}

function strong(text) {
  const b = document.createElement("b");
  b.textContent = text;
  return b;
}

function button(text, act) {
  const made = document.createElement("button");
  made.type = "button";
  made.className = "alt";
  made.textContent = text;
  made.addEventListener("click", act);
  return made;
}
