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

// A list out of a file: read here and put into the field, where it can be looked at before it is sent.
for (const file of document.querySelectorAll("[data-file]")) {
  file.closest("[data-file-key]").hidden = false;
  file.addEventListener("change", async () => {
    const [chosen] = file.files;
    if (chosen) document.getElementById(file.dataset.file).value = await chosen.text();
  });
}

// Search while typing: the same question goes to the same place as JSON, and what was found takes the place
// of what stood there. An answer that comes after a later one is left.
const live = document.querySelector("form[data-live]");
if (live) {
  const field = live.querySelector("[name=q]");
  const part = (name, all, path, words) => ({ name, hits: all.map((one) => [path(one), words(one)]) });
  const site = ({ id, name }) => [`/review/sites/${id}`, name];
  const lay = (found) => [
    part("Sites", found.sites, (one) => site(one)[0], (one) => one.name),
    part("Units", found.units, (one) => `/review/sites/${one.site.id}/units/${one.unit.id}`,
      (one) => [one.unit.name, one.status, one.kind, one.site.name].filter(Boolean).join(", ")),
    part("Visits", found.visits, (one) => `/review/sites/${one.site.id}/visits/${one.id}`,
      (one) => [one.day ?? "no day", one.kind, one.reference, one.site.name].filter(Boolean).join(", ")),
    part("People", found.people, (one) => `/review/people#p-${one.id}`, (one) => one.name),
  ].filter(({ hits }) => hits.length);
  const line = ([path, words]) => {
    const [item, link] = [document.createElement("li"), document.createElement("a")];
    link.href = path;
    link.textContent = words;
    item.append(link);
    return item;
  };
  const show = (parts) => {
    document.getElementById("found").replaceChildren(...parts.map(({ name, hits }) => {
      const section = document.createElement("section");
      const [head, list] = [document.createElement("h2"), document.createElement("ul")];
      head.textContent = name;
      list.append(...hits.map(line));
      section.append(head, list);
      return section;
    }));
    const many = parts.reduce((sum, { hits }) => sum + hits.length, 0);
    const nothing = field.value.trim() ? "Nothing among your sites has all of these words." : "";
    document.getElementById("count").textContent = many ? `${many} found` : nothing;
  };
  let [asked, timer] = [0, 0];
  field.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(async () => {
      asked += 1;
      const own = asked;
      const query = `?q=${encodeURIComponent(field.value)}`;
      const answer = await fetch(`${live.dataset.live}${query}`).catch(() => null);
      if (!answer?.ok || own !== asked) return;
      history.replaceState(null, "", query);
      show(lay(await answer.json()));
    }, 200);
  });
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
