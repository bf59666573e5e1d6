// Shows the last page of today while there is no reception, so that a tap can be made and kept.
// It is on this device alone; signing out empties it.
"use strict";
const SHELF = "duskfold-1";
const KEPT = /^\/(?:$|static\/)/;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  if (event.request.method === "POST" && url.pathname === "/people/end") {
    event.waitUntil(caches.delete(SHELF));
    return;
  }
  // What was said of one tap is not shown again.
  const answers = /already|overtaken/.test(url.search);
  if (event.request.method !== "GET" || answers || !KEPT.test(url.pathname)) return;
  event.respondWith((async () => {
    const shelf = await caches.open(SHELF);
    try {
      const response = await fetch(event.request);
      if (response.ok) await shelf.put(event.request, response.clone());
      else if (response.status === 403) await caches.delete(SHELF);
      return response;
    } catch (error) {
      const last = await shelf.match(event.request);
      if (last) return last;
      throw error;
    }
  })());
});
