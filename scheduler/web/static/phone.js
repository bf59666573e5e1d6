// "Alert this phone": which of the page's answers is this browser's, and what it gives when asked.
// On Today it only sees to it that what was given still holds.
"use strict";
(() => {
  const here = document.getElementById("phone");
  if (!here?.dataset.key) return;
  const { key, known } = here.dataset;
  const parts = (name) => [...here.querySelectorAll(`[data-${name}]`)];
  const show = (state) => {
    for (const one of parts("state")) one.hidden = one.dataset.state !== state;
    const app = document.getElementById("push-app");
    if (app && ["no-https", "cannot"].includes(state)) app.open = true;
  };

  // An iPad says that it is a Mac.
  const isApple = /iPhone|iPad|iPod/.test(navigator.userAgent)
    || (/Macintosh/.test(navigator.userAgent) && navigator.maxTouchPoints > 1);
  const isInstalled = navigator.standalone || matchMedia("(display-mode: standalone)").matches;
  const canRing = "serviceWorker" in navigator && "PushManager" in window && "Notification" in window;
  const state = () => {
    if (!window.isSecureContext) return "no-https";
    if (isApple && !isInstalled) return "home-screen";
    if (!canRing) return "cannot";
    if (Notification.permission === "denied") return "refused";
    return known && Notification.permission === "granted" ? "rings" : "ready";
  };
  const hint = () => {
    const wanted = {
      "no-buttons": canRing && !(Notification.maxActions > 0),
      android: canRing && /Android/.test(navigator.userAgent) && !isInstalled,
    };
    for (const one of parts("hint")) one.hidden = !wanted[one.dataset.hint];
  };

  const octets = (text) =>
    Uint8Array.from(atob(text.replace(/-/g, "+").replace(/_/g, "/")), (one) => one.charCodeAt(0));
  const same = (a, b) => a.length === b.length && a.every((one, at) => one === b[at]);
  const isOfKey = (subscription) => {
    const used = subscription.options?.applicationServerKey;
    return !used || same(new Uint8Array(used), octets(key));
  };
  const hash = async (text) => {
    const digest = await crypto.subtle.digest("SHA-256", new TextEncoder().encode(text));
    return [...new Uint8Array(digest)].map((one) => one.toString(16).padStart(2, "0")).join("");
  };
  const subscribe = async (registration, before) => {
    if (before && !isOfKey(before)) await before.unsubscribe();
    const options = { userVisibleOnly: true, applicationServerKey: octets(key) };
    const { endpoint, keys } = (await registration.pushManager.subscribe(options)).toJSON();
    return { endpoint, p256dh: keys.p256dh, auth: keys.auth, key };
  };

  // The browser may have another address by now, or none; nobody is asked a second time.
  const renew = async (registration) => {
    const now = await registration.pushManager.getSubscription();
    if (now && isOfKey(now) && (await hash(now.endpoint)) === known) return;
    const body = new URLSearchParams({ ...(await subscribe(registration, now)), again: "1" });
    const response = await fetch("/phone", { method: "POST", body, redirect: "manual" });
    if (here.matches("section") && response.type === "opaqueredirect") location.reload();
  };

  const form = document.getElementById("subscribe");
  const offer = async (registration) => {
    // Asked now: an iPhone asks its keeper only in the tap itself, before anything is waited for.
    const before = await registration.pushManager.getSubscription();
    const button = form.querySelector("button");
    const label = button.textContent;
    button.disabled = false;
    form.addEventListener("submit", async (event) => {
      event.preventDefault();
      for (const id of ["not-allowed", "no-service"]) document.getElementById(id).hidden = true;
      button.disabled = true;
      button.textContent = button.dataset.asking;
      try {
        const given = await subscribe(registration, before);
        for (const [name, value] of Object.entries(given)) form.elements[name].value = value;
        form.submit();
      } catch (error) {
        button.disabled = false;
        button.textContent = label;
        show(state());
        const why = error.name === "NotAllowedError" ? "not-allowed" : "no-service";
        document.getElementById(why).hidden = false;
      }
    });
  };

  const found = state();
  show(found);
  if (found !== "ready" && found !== "rings") return;
  hint();
  if (form) form.querySelector("button").disabled = true;
  navigator.serviceWorker.ready.then((registration) => {
    if (form) offer(registration);
    if (found === "rings") renew(registration).catch(() => { /* out of reach: next time */ });
  });
})();
