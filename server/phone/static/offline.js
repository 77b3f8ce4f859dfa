// Keeps the shell on the phone. A newer shell is fetched whole under its own name and waits; which one is
// used is written down and changes only when the window says that nothing waits to be sent.
"use strict";

const VERSION = "@version@";
const FILES = [@files@];
// Words of other languages: kept too, once nobody waits for anything.
const LATER = [@later@];
const shelf = (version) => `shell-${version}`;
const NOTE = "note";

async function using() {
  const note = await caches.open(NOTE);
  const answer = await note.match("using");
  return answer ? answer.text() : null;
}

async function use(version) {
  const note = await caches.open(NOTE);
  await note.put("using", new Response(version));
}

self.addEventListener("install", (event) => {
  event.waitUntil(
    (async () => {
      const cache = await caches.open(shelf(VERSION));
      await cache.addAll(FILES.map((file) => new Request(file, { cache: "reload" })));
      if (!(await using())) await use(VERSION);
      await self.skipWaiting();
    })(),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(
    (async () => {
      await self.clients.claim();
      const now = await using();
      if (now !== VERSION) await tell({ newer: VERSION });
      later();
    })(),
  );
});

async function later() {
  const cache = await caches.open(shelf(VERSION));
  for (const file of LATER) {
    if (!(await cache.match(file))) await cache.add(new Request(file, { cache: "reload" })).catch(() => {});
  }
}

async function tell(message) {
  for (const client of await self.clients.matchAll()) client.postMessage(message);
}

self.addEventListener("message", (event) => {
  event.waitUntil(
    (async () => {
      // A window that opens asks: a file of words that did not come the last time is fetched again.
      if (event.data?.which) later();
      if (event.data?.which && event.data.which !== VERSION) event.source?.postMessage({ newer: VERSION });
      if (event.data?.use === VERSION) {
        await use(VERSION);
        for (const name of await caches.keys()) {
          if (name.startsWith("shell-") && name !== shelf(VERSION)) await caches.delete(name);
        }
        event.source?.postMessage({ using: VERSION });
      }
    })(),
  );
});

// What waited when the app was closed, sent when a signal comes back. Its reply is nobody's: the hub keeps what
// comes twice once, and the app learns it by its next exchange.
self.addEventListener("sync", (event) => {
  if (event.tag === "send") event.waitUntil(send());
});

async function send() {
  const shelf = await caches.open("waiting");
  const kept = await shelf.match("prepared");
  if (!kept) return;
  const headers = { "content-type": "application/octet-stream" };
  const body = await kept.arrayBuffer();
  // Without a signal this throws, and the browser tries again by itself.
  const answer = await fetch("/exchange/1", { method: "POST", body, headers, credentials: "omit", cache: "no-store" });
  if (answer.status === 429 || answer.status >= 500) throw new Error(`status ${answer.status}`);
  await shelf.delete("prepared");
  await tell({ sent: true });
}

self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  const scope = new URL(self.registration.scope);
  if (event.request.method !== "GET" || url.origin !== scope.origin || !url.pathname.startsWith(scope.pathname)) return;
  event.respondWith(
    (async () => {
      const name = url.pathname.slice(scope.pathname.length) || "index.html";
      const cache = await caches.open(shelf((await using()) ?? VERSION));
      const kept = await cache.match(name, { ignoreSearch: true });
      return kept ?? fetch(event.request);
    })(),
  );
});
