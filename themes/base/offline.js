// The spec book without a network: every page and what it loads, kept by the print of its content.
// FILES is put before this by the build: path → print. Another content is another print, so only
// what changed is asked for again; what is no longer in the book is let go of.
"use strict";

const NAME = `spec-book ${EDITION}`;
const OWN = /^spec-book /;
const printOf = (path) => new Request(new URL(`${path}?print=${FILES[path]}`, self.registration.scope));

self.addEventListener("install", (event) => {
  event.waitUntil((async () => {
    const cache = await caches.open(NAME);
    await Promise.all(Object.keys(FILES).map(async (path) => {
      const kept = await caches.match(printOf(path));
      const answer = kept ?? await fetch(new URL(path, self.registration.scope), { cache: "reload" });
      if (!answer.ok) throw new Error(`${path}: ${answer.status}`);
      await cache.put(printOf(path), answer);
    }));
    await self.skipWaiting();
  })());
});

self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const names = await caches.keys();
    await Promise.all(names.filter((name) => OWN.test(name) && name !== NAME).map((name) => caches.delete(name)));
    await self.clients.claim();
  })());
});

self.addEventListener("fetch", (event) => {
  const asked = new URL(event.request.url);
  if (event.request.method !== "GET" || !asked.href.startsWith(self.registration.scope)) return;
  const path = asked.pathname.slice(new URL(self.registration.scope).pathname.length) || "index.html";
  if (!(path in FILES)) return;
  event.respondWith(caches.open(NAME).then((cache) => cache.match(printOf(decodeURI(path))))
    .then((kept) => kept ?? fetch(event.request)));
});
