// The foreman's pages: plays a clip in the bar below instead of leaving the page; "/" goes to the search field.
"use strict";
(() => {
  const bar = document.getElementById("player");
  const audio = bar?.querySelector("audio");
  const label = bar?.querySelector("span");
  let playing = null;

  document.addEventListener("click", (event) => {
    const link = event.target.closest?.("a.play");
    if (!link || !audio) return;
    event.preventDefault();
    playing?.classList.remove("playing");
    playing = link;
    link.classList.add("playing");
    bar.hidden = false;
    label.textContent = link.getAttribute("aria-label");
    audio.src = link.href;
    audio.play().catch(() => {});
  });
  audio?.addEventListener("ended", () => playing?.classList.remove("playing"));
  audio?.addEventListener("error", async () => {
    playing?.classList.remove("playing");
    const answer = await fetch(audio.src).catch(() => null);
    label.textContent = answer ? (await answer.text()).trim() : "The board cannot be reached.";
  });

  document.addEventListener("keydown", (event) => {
    const field = document.querySelector("input[type=search]");
    if (event.key === "/" && field && document.activeElement !== field && !event.ctrlKey && !event.metaKey) {
      event.preventDefault();
      field.focus();
      field.select();
    }
  });
})();
