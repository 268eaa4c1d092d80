// Hears when the book has moved on; parts of the page that show it then ask for themselves anew.
export function startLive() {
  const path = document.body.dataset.live;
  if (!path || !window.EventSource) return;
  let known = null;
  const source = new EventSource(path);
  document.body.addEventListener("book-moved-on", (event) => (known = event.detail));
  source.addEventListener("book", (event) => {
    if (known !== null && event.data !== known) {
      document.body.dispatchEvent(new CustomEvent("book-moved-on", { detail: event.data }));
    }
    known = event.data;
    document.body.dispatchEvent(new CustomEvent("desk-reached"));
  });
  // A page left open must not hold one of the few connections that a browser keeps to one host.
  addEventListener("pagehide", () => source.close());
  addEventListener("pageshow", (event) => {
    if (event.persisted) location.reload();
  });
}
