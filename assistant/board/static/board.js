// The bay's screen: takes each page from the stream, says when the line is lost, and comes back by itself.
"use strict";
(() => {
  const page = document.getElementById("page");
  const lost = document.getElementById("lost");
  const told = document.getElementById("told");
  const LOST_AFTER_MS = 15000;
  let last = Date.now();
  let source = null;

  function alive() {
    last = Date.now();
    lost.hidden = true;
  }

  function connect() {
    if (source) source.close();
    source = new EventSource(document.body.dataset.stream);
    source.addEventListener("page", (event) => {
      alive();
      if (event.lastEventId === document.body.dataset.mark) return; // what is here already
      document.body.dataset.mark = event.lastEventId;
      const before = page.querySelector("h1")?.textContent;
      page.innerHTML = event.data; // made by the server, with everything spoken or typed escaped
      const now = page.querySelector("h1")?.textContent;
      page.classList.toggle("fresh", before !== now);
      if (before !== now) told.textContent = now || "";
      count();
    });
    source.addEventListener("open", alive);
    source.addEventListener("error", () => {
      lost.hidden = false;
      // A refusal closes the stream for good; then we begin anew ourselves.
      if (source.readyState === EventSource.CLOSED) setTimeout(connect, 2000);
    });
  }

  function count() {
    for (const timer of page.querySelectorAll("[data-ends]")) {
      const left = Math.max(0, Math.round((Date.parse(timer.dataset.ends) - Date.now()) / 1000));
      const text = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
      timer.querySelector("b").textContent = left ? text : "now";
    }
  }

  setInterval(() => {
    count();
    if (Date.now() - last > LOST_AFTER_MS + 10000) lost.hidden = false;
  }, 1000);
  connect();
})();
