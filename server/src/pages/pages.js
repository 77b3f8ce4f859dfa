// What a browser with scripts adds: the writer's own time zone in forms, and word of what arrives. No page
// needs any of it.
"use strict";

for (const field of document.querySelectorAll("[data-offset]")) {
  field.value = String(-new Date().getTimezoneOffset());
}

for (const key of document.querySelectorAll("[data-print]")) {
  key.hidden = false;
  key.addEventListener("click", () => window.print());
}

const main = document.querySelector("main[data-hears]");
if (main && "EventSource" in window) {
  const sites = new Set(main.dataset.hears.split(" "));
  const bell = new EventSource("/review/bell");
  bell.addEventListener("ring", (event) => {
    const rung = event.data.split(" ");
    const ours = sites.has("all") || rung.some((site) => sites.has(site));
    if (!ours || document.getElementById("news")) return;
    // Nothing is moved under the reader's hands: a line says so, and the reader decides when.
    const line = document.createElement("p");
    line.id = "news";
    line.className = "note now";
    line.setAttribute("role", "status");
    const again = document.createElement("a");
    again.href = location.href;
    again.textContent = "Something new has arrived. Show the page anew";
    line.append(again);
    main.prepend(line);
  });
  window.addEventListener("pagehide", () => bell.close());
}
