// What is recorded is kept on this device first and then sent, so that a dropped network loses nothing. Each
// carries its own key: sent twice, it is entered once. How long it waited is sent instead of this device's clock.
const STORE = "caskward-queue";
const AGAIN_MS = 8000;
const GIVE_UP_MS = 15000;
const LATER = [401, 403, 408, 421, 429]; // signed out, or a page too old: all that waits, waits for the next page
const NOBODY = [502, 503, 504]; // something in front of the desk answers for it
let sending = null; // what comes of the sending that is under way
let doubted = ""; // the key of what was pressed to be thrown away, until that is pressed again

const meta = (name) => document.querySelector(`meta[name="${name}"]`).content;

export function startQueue() {
  // On the whole page: a form may come later than this script.
  document.addEventListener("submit", (event) => event.target.matches("form[data-queue]") && take(event, event.target));
  document.addEventListener("keydown", sendOnEnter);
  addEventListener("online", sendAll);
  addEventListener("storage", show);
  document.body.addEventListener("desk-reached", sendAll);
  setInterval(() => own().some((item) => !item.error && !item.stuck) && sendAll(), AGAIN_MS);
  show();
  sendAll();
}

// Words too long for one line are still one line: Enter sends them.
function sendOnEnter(event) {
  if (event.key !== "Enter" || event.shiftKey || event.isComposing) return;
  if (!event.target.matches("form[data-queue] textarea[enterkeyhint]")) return;
  event.preventDefault();
  const { form } = event.target;
  if (!form.querySelector("button:not([type])").disabled) form.requestSubmit(); // one at a time: each has its key
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

// What was kept for another book, such as the demo's at the same address, waits for that one.
const isOther = (item) => Boolean(item.book) && item.book !== meta("caskward-book");
const own = () => read().filter((item) => item.who === meta("caskward-who") && !isOther(item));

function change(key, changes) {
  write(read().map((item) => (item.fields.key === key ? { ...item, ...changes } : item)));
}

const drop = (key) => write(read().filter((item) => item.fields.key !== key));

async function take(event, form) {
  const fields = Object.fromEntries(new FormData(form, event.submitter));
  delete fields.token; // of this page only; the page that sends it has its own
  const item = { fields, who: meta("caskward-who"), book: meta("caskward-book"), since: Date.now(), error: "", stuck: "" };
  try {
    write([...read(), item]);
  } catch {
    return; // nothing can be kept on this device: the form goes off by itself
  }
  event.preventDefault();
  const button = form.querySelector("button:not([type])");
  button.disabled = true;
  refuse(form, "");
  // What waits longer goes first.
  const { answers, last } = await sendAll();
  button.disabled = false;
  settle(form, item, answers.get(fields.key) ?? last);
}

function settle(form, item, answer) {
  if (answer.error && form.elements.words?.value !== item.fields.words) {
    renew(form, item.fields); // the field has the next one by now: this one stays on the page with its reason
    return;
  }
  if (answer.error) {
    drop(item.fields.key); // it is still in the field, to be mended there
    refuse(form, answer.error, answer.ask);
    form.elements.words.focus();
    return;
  }
  renew(form, item.fields);
  const why = answer.held ?? answer.stuck;
  const kept = "Kept on this device. It is sent as soon as the desk is reached.";
  const waits = answer.said ? "" : item.fields.key;
  say(form, answer.said ?? [why ? `${why} It is kept on this device meanwhile.` : kept], waits, answer.number);
}

function refuse(form, sentence, ask = false) {
  form.querySelector("button[name=meant]")?.remove();
  const place = form.querySelector(".error");
  place.textContent = sentence;
  place.hidden = !sentence;
  form.elements.words.toggleAttribute("aria-invalid", Boolean(sentence));
  if (sentence) form.elements.words.setAttribute("aria-invalid", "true");
  form.querySelector(".done").replaceChildren();
  form.querySelector(".foreseen")?.replaceChildren(); // a refusal is said once
  if (ask) place.after(yes());
}

function yes() {
  const made = button("Yes, it is meant", () => {});
  made.type = "submit";
  made.name = "meant";
  made.value = "yes";
  return made;
}

// What was typed while this one was on its way is the next one, and stays.
function renew(form, sent) {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  form.elements.key.value = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  for (const name of ["words", "note", "at"]) {
    if (form.elements[name] && form.elements[name].value === sent[name]) form.elements[name].value = "";
  }
  const { words } = form.elements;
  if (words?.value) words.dispatchEvent(new Event("input", { bubbles: true }));
}

// What a form said of a record that had to wait is said anew once that is in the book.
function tell(key, sentences, number) {
  const place = document.querySelector(`.done[data-waits="${CSS.escape(key)}"]`);
  if (place) say(place.closest("form"), sentences, "", number);
}

function say(form, sentences, waiting, number) {
  const place = form.querySelector(".done");
  place.dataset.waits = waiting;
  place.replaceChildren(...sentences.map(paragraph));
  place.classList.toggle("fresh", !waiting);
  if (number) place.append(wrong(number));
}

function wrong(number) {
  const link = document.createElement("a");
  link.className = "button alt";
  link.href = `/book/entries/${number}/wrong?back=${encodeURIComponent(location.pathname)}`;
  link.append("This was wrong");
  return link;
}

function paragraph(text) {
  const p = document.createElement("p");
  p.textContent = text;
  return p;
}

// {said} where it is in the book, {error} where it was refused, {stuck} where the desk failed at it, {held} where
// it may be sent later, {} where nobody answered.
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
    tell(item.fields.key, said, number);
    // The page need not wait to hear from the desk what it has just told it.
    document.body.dispatchEvent(new CustomEvent("book-moved-on", { detail: String(number) }));
    return { said, number };
  }
  if (NOBODY.includes(answer.status)) return {};
  const { error = `The desk answered with ${answer.status}.`, ask = false } = await answer.json().catch(() => ({}));
  if (LATER.includes(answer.status)) return { held: error };
  const found = answer.status < 500 ? { error, ask } : { stuck: error };
  change(item.fields.key, { error: "", stuck: "", ...found });
  return found;
}

function timeout() {
  const stop = new AbortController();
  setTimeout(() => stop.abort(), GIVE_UP_MS);
  return stop.signal;
}

function sendAll() {
  sending ??= sendInOrder().finally(() => (sending = null));
  return sending;
}

// In the order in which they were done; what one needs, an earlier one may have brought. One that the desk fails
// at does not stop those behind it. Gives what came of each, and what stopped the rest.
async function sendInOrder() {
  const answers = new Map();
  const next = () => own().find((item) => !item.error && !answers.has(item.fields.key));
  for (let item = next(); item; item = next()) {
    const answer = await send(item);
    answers.set(item.fields.key, answer);
    if (!answer.said && !answer.error && !answer.stuck) return { answers, last: answer };
  }
  return { answers, last: {} };
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
  li.dataset.of = item.fields.key;
  const { verb, before, words } = item.fields;
  li.append(`${[verb, before, words].filter(Boolean).join(" ")} `);
  if (item.who !== meta("caskward-who")) li.append(`(waits until ${item.who || "this machine's own screen"} is back) `);
  if (isOther(item)) li.append("(of another book: waits until that is open here) ");
  if (item.error) li.append(strong(item.error));
  if (item.stuck) li.append(strong(`Stuck: ${item.stuck}`));
  if (item.ask) li.append(button("Yes, it is meant", () => again(item, true)));
  if (item.error || item.stuck) li.append(button("Try again", () => again(item)));
  li.append(...away(item.fields.key));
  return li;
}

function again(item, meant = false) {
  const fields = meant ? { ...item.fields, meant: "yes" } : item.fields;
  change(item.fields.key, { error: "", stuck: "", ask: false, fields });
  sendAll();
}

// It is nowhere else, so one touch by mistake must not throw it away.
function away(key) {
  const ask = (asked) => () => {
    doubted = asked;
    show();
    document.querySelector(`#waiting [data-of="${CSS.escape(key)}"] button:last-child`).focus();
  };
  if (doubted !== key) return [button("Throw it away", ask(key))];
  return [button("Yes, throw it away", () => drop(key)), button("Keep it", ask(""))];
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
