// What helps where scripts run; every page works without.
// A tap made without reception is kept on this device and sent later, with the time it was made.
"use strict";
(() => {
  const QUEUE = "duskfold-kept";
  const TRY_EVERY_MS = 15000;
  const LOOK_AGAIN_MS = 60000;
  const banner = document.getElementById("kept");

  const kept = () => {
    try { return JSON.parse(localStorage.getItem(QUEUE)) || []; } catch { return []; }
  };
  const keep = (taps) => localStorage.setItem(QUEUE, JSON.stringify(taps));
  const clock = (seconds) =>
    new Date(seconds * 1000).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });

  const say = (text) => {
    banner.textContent = text;
    banner.hidden = !text;
  };
  const tell = () => {
    const taps = kept();
    if (!taps.length) return say("");
    const names = taps.map((tap) => `${tap.what} (${clock(tap.at)})`).join(", ");
    say(`No reception. Kept on this phone and sent as soon as there is: ${names}.`);
  };

  const send = (tap) =>
    fetch(tap.action, {
      method: "POST",
      headers: { "Content-Type": "application/x-www-form-urlencoded;charset=UTF-8" },
      body: new URLSearchParams(tap.fields),
      credentials: "same-origin",
    });

  let sending = false;
  const flush = async () => {
    if (sending || !kept().length) return;
    sending = true;
    let done = 0;
    let refused = null;
    try {
      while (kept().length) {
        const [first, ...rest] = kept();
        const response = await send(first);
        if (response.status >= 500) break;
        keep(rest);
        if (response.ok) done += 1;
        else refused = first;
      }
    } catch { /* still out of reach */ }
    sending = false;
    if (refused) say(`Not kept: ${refused.what} (${clock(refused.at)}). Look at the page and say it again.`);
    else if (done && !kept().length) location.reload();
    else tell();
  };

  document.addEventListener("submit", async (event) => {
    const form = event.target;
    const button = event.submitter;
    if (form.dataset.slow && button) {
      button.textContent = form.dataset.slow;
      return;
    }
    if (!form.dataset.kept) return;
    event.preventDefault();
    const fields = [...new FormData(form, button)].map(([name, value]) => [name, String(value)]);
    const at = Math.floor(Date.now() / 1000);
    const label = button ? button.textContent.trim().split("\n")[0].trim() : "";
    const tap = {
      action: form.action,
      fields: [...fields, ["at", String(at)]],
      at,
      what: form.dataset.kept === label ? label : `${form.dataset.kept}: ${label}`,
    };
    if (button) button.disabled = true;
    let response;
    let body;
    try {
      response = await send({ ...tap, fields });
      if (response.status >= 500) throw new Error("not now");
      body = await response.text();
    } catch {
      keep([...kept(), tap]);
      tell();
      return;
    }
    const page = new DOMParser().parseFromString(body, "text/html").getElementById("main");
    if (response.redirected && response.ok) {
      const there = new URL(response.url);
      const same = there.pathname + there.search === location.pathname + location.search;
      if (same) location.reload();
      else location.assign(response.url);
    } else if (page) {
      document.getElementById("main").replaceWith(page);
      page.focus();
    } else {
      say("Not kept. Load the page again, and say it once more.");
    }
  });

  const minutes = () => {
    const now = Date.now() / 1000;
    for (const each of document.querySelectorAll("[data-until]")) {
      const left = Math.round((Number(each.dataset.until) - now) / 60);
      each.textContent = left > 0 ? `in ${span(left)}` : `${span(-left)} ago`;
    }
  };
  const span = (count) =>
    count < 120 ? `${count} min` : `${Math.floor(count / 60)} h ${count % 60} min`;

  for (const field of document.querySelectorAll("[data-copy]")) {
    const button = document.createElement("button");
    button.type = "button";
    button.className = "quiet";
    button.textContent = "Copy";
    button.setAttribute("aria-label", `Copy: ${field.getAttribute("aria-label")}`);
    button.addEventListener("click", async () => {
      field.select();
      try { await navigator.clipboard.writeText(field.value); } catch { document.execCommand("copy"); }
      button.textContent = "Copied";
    });
    field.after(button);
  }

  let shown = Date.now();
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    flush();
    const typing = document.activeElement && document.activeElement.matches("input, select");
    if (document.body.dataset.live !== undefined && !kept().length && !typing && Date.now() - shown > LOOK_AGAIN_MS) {
      location.reload();
    }
  });
  window.addEventListener("online", flush);
  window.addEventListener("pageshow", () => { shown = Date.now(); minutes(); });
  setInterval(minutes, 30000);
  setInterval(flush, TRY_EVERY_MS);
  minutes();
  tell();
  flush();
  if ("serviceWorker" in navigator && window.isSecureContext) {
    navigator.serviceWorker.register("/worker.js").catch(() => {});
  }
})();
