// Shows the last page of today while there is no reception, so that a tap can be made and kept.
// Shows what is pushed, and keeps what its buttons say until Duskfold has heard it.
// All of it is on this device alone; signing out empties it.
"use strict";
const SHELF = "duskfold-1";
const KEPT = /^\/(?:$|static\/)/;
const PATIENCE_MS = 4000; // an iPhone ends a worker after ten seconds
const NO_CONTENT = 204;
const CONFLICT = 409; // something else was said since
const TOO_OFTEN = 429;

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const url = new URL(event.request.url);
  if (url.origin !== location.origin) return;
  if (event.request.method === "POST" && url.pathname === "/people/end") {
    event.waitUntil(Promise.all([caches.delete(SHELF), url.search === "?this" && silence()]));
    if (url.search === "?this") event.waitUntil(tried(flush()).then(forget));
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
const silence = async () => (await registration.pushManager?.getSubscription())?.unsubscribe();

// -- answers that wait, in the order in which they were pressed -----------------------------------

const shelved = (mode, work) => new Promise((resolve, reject) => {
  const opening = indexedDB.open("duskfold", 1);
  opening.onupgradeneeded = () =>
    opening.result.createObjectStore("answers", { keyPath: "number", autoIncrement: true });
  opening.onerror = () => reject(opening.error);
  opening.onsuccess = () => {
    const change = opening.result.transaction("answers", mode);
    const asked = work(change.objectStore("answers"));
    change.oncomplete = () => { opening.result.close(); resolve(asked.result); };
    change.onabort = () => { opening.result.close(); reject(change.error); };
  };
});
const forget = () => tried(shelved("readwrite", (answers) => answers.clear()));
const waiting = () => shelved("readonly", (answers) => answers.getAll());

const post = (path, fields) => fetch(path, {
  method: "POST",
  body: new URLSearchParams(fields),
  credentials: "omit", // an answer is signed by itself, and a session may have ended
  redirect: "error",
  signal: AbortSignal.timeout(PATIENCE_MS),
});
// One after the other, so that none is told twice.
const flush = () => navigator.locks.request("duskfold-answers", async () => {
  for (const one of await waiting()) {
    const { status } = await post("/answer", { answer: one.text, at: String(one.at) });
    const refused = status >= 400 && status < 500 && status !== TOO_OFTEN;
    if (status !== NO_CONTENT && !refused) throw new Error("not now");
    await shelved("readwrite", (answers) => answers.delete(one.number));
    const shown = await registration.getNotifications({ tag: one.tag });
    // What came since says more than that an answer did not count.
    const isNews = shown.some(({ data }) => !data.note && data.at > one.data.at);
    if (status === NO_CONTENT || !isNews) {
      await note(one, status === NO_CONTENT ? "told" : status === CONFLICT ? "lost" : "kept");
    }
    for (const page of await clients.matchAll({ type: "window" })) page.postMessage("told");
  }
});
// Site, day, house and turn of a signed answer, as tokens/answer.py writes them.
const turnOf = (text) => text.split(" ").slice(2, 6).join(" ");
const tried = (work) => work.catch(() => {});

// -- what is shown --------------------------------------------------------------------------------

const clock = (seconds) =>
  new Date(seconds * 1000).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
const said = (one, name) => (one.data.says?.[name] || "").replace("{time}", clock(one.at));
const note = (one, name) =>
  show({ title: one.label, body: said(one, name), tag: one.tag, data: { ...one.data, note: true } }, true);

const show = async ({ title, body, tag, lang, dir, navigate, data }, quietly, answers = []) => {
  const most = Notification.maxActions || 0;
  // Where there are no buttons a tag replaces nothing (iPhones), and nothing rings a second time
  // that is still there (Firefox).
  if (tag && !(quietly && most)) {
    for (const old of await registration.getNotifications({ tag })) old.close();
  }
  await registration.showNotification(title, {
    body, tag, lang, dir, data,
    navigate: navigate || data.link,
    icon: "/static/icon-192.png",
    silent: quietly,
    renotify: Boolean(tag) && !quietly,
    requireInteraction: Boolean(data.loud) && !quietly,
    actions: answers.slice(0, most).map(({ label }, number) => ({ action: String(number), title: label })),
  });
};

const read = (event) => {
  try {
    // Where the browser could show it by itself, it hands over what it would show.
    const told = event.data ? event.data.json().notification : event.notification;
    return { ...EMPTY, ...fields(told), data: told.data || {} };
  } catch {
    return EMPTY; // a push that shows nothing costs the permission
  }
};
const EMPTY = { title: "Duskfold", data: {} };
const fields = ({ title, body, tag, lang, dir, navigate, silent }) =>
  ({ title, body, tag, lang, dir, navigate, silent });

const arrived = async (told) => {
  const shown = told.tag ? await registration.getNotifications({ tag: told.tag }) : [];
  const newer = shown.find((one) => one.data?.at > told.data.at);
  // Only what asks for that very answer is quiet: a search for birds, or a door that was opened
  // again, is news.
  const asks = told.data.answers?.length ? turnOf(told.data.answers[0].text) : "";
  const kept = (await waiting().catch(() => [])).find((one) => asks && turnOf(one.text) === asks);
  // Push services promise no order.
  if (newer) await show(newer, true, newer.actions?.length ? newer.data.answers : []);
  else if (kept && !told.silent) await note({ ...kept, data: told.data }, "waits");
  else await show(told, Boolean(told.silent), told.data.answers);
  // Only now: an iPhone shows nothing of a worker that it ended while it waited. Of a message that
  // was not shown as it is there is no receipt: its person is told another way.
  const isShown = !newer && !(kept && !told.silent);
  if (told.data.receipt && isShown) await tried(post("/arrived", { receipt: told.data.receipt }));
  await tried(flush());
};

const pressed = async ({ title, tag, data }, action) => {
  const { label, text } = data.answers[Number(action)];
  // A phone whose clock is behind did not press before the message was sent.
  const at = Math.max(Math.floor(Date.now() / 1000), data.at || 0);
  const one = { text, label, title, tag, data, at };
  try {
    await shelved("readwrite", (answers) => answers.add(one));
    await flush();
  } catch {
    await note(one, "kept");
    await tried(Promise.resolve(registration.sync?.register("answers")));
  }
};

const opened = async (notification) => {
  notification.close();
  const link = new URL(notification.data?.link || "/", location.origin).href;
  const windows = await clients.matchAll({ type: "window", includeUncontrolled: true });
  const there = windows.find((one) => one.url === link);
  await (there ? there.focus() : clients.openWindow(link));
};

self.addEventListener("push", (event) => event.waitUntil(arrived(read(event))));
self.addEventListener("notificationclick", (event) => {
  const { notification, action } = event;
  event.waitUntil(action ? pressed(notification, action) : opened(notification));
});
self.addEventListener("sync", (event) => event.waitUntil(flush()));
self.addEventListener("message", (event) => event.waitUntil(tried(flush())));
