// What helps where scripts run; every page works without.
// A tap is kept on this device before it is sent, so that nothing loses it: no reception, half a
// reception, a phone that is pocketed. It goes out later with the time it was made.
"use strict";
(() => {
  const QUEUE = "duskfold-kept";
  const REFUSED = "duskfold-refused";
  const TRY_EVERY_MS = 15000;
  const PATIENCE_MS = 8000;
  const LOOK_AGAIN_MS = 60000;
  const FRESH_FOR_MS = 300000;

  const read = (name) => {
    try { return JSON.parse(localStorage.getItem(name)) || []; } catch { return []; }
  };
  const write = (name, taps) => {
    try { localStorage.setItem(name, JSON.stringify(taps)); } catch { /* private windows keep nothing */ }
  };
  const kept = () => read(QUEUE);
  const drop = (tap) => write(QUEUE, kept().filter((one) => one.id !== tap.id));
  const clock = (seconds) =>
    new Date(seconds * 1000).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const named = (taps) => taps.map((tap) => `${tap.what} (${clock(tap.at)})`).join(", ");

  // Looked up each time: what a form answers takes the place of the whole page.
  const say = (text, button) => {
    const banner = document.getElementById("kept");
    banner.textContent = text;
    banner.hidden = !text;
    if (button) banner.append(" ", button);
  };
  const tell = () => {
    const refused = read(REFUSED);
    const waiting = kept();
    if (refused.length) {
      const seen = document.createElement("button");
      seen.type = "button";
      seen.className = "quiet";
      seen.textContent = "Seen";
      seen.addEventListener("click", () => { write(REFUSED, []); tell(); });
      say(`Not kept: ${named(refused)}. Look at the page, and say it again if it is so.`, seen);
    } else if (waiting.length) {
      say(`No reception. Kept on this phone and sent as soon as there is: ${named(waiting)}.`);
    } else {
      say("");
    }
  };

  const send = (tap, late) => {
    const patience = new AbortController();
    setTimeout(() => patience.abort(), PATIENCE_MS);
    return fetch(tap.action, {
      method: "POST",
      headers: { "Content-Type": "application/x-www-form-urlencoded;charset=UTF-8" },
      body: new URLSearchParams(late ? [...tap.fields, ["at", String(tap.at)]] : tap.fields),
      credentials: "same-origin",
      signal: patience.signal,
    });
  };

  // One tap after the other; where browsers have locks, over all tabs.
  let turn = Promise.resolve();
  const alone = (work) => {
    const locked = () =>
      navigator.locks ? navigator.locks.request("duskfold", work) : work();
    turn = turn.then(locked, locked);
    return turn;
  };

  const flush = () => alone(async () => {
    let done = 0;
    try {
      for (const tap of kept()) {
        const response = await send(tap, true);
        if (response.status >= 500 || response.status === 429) break;
        drop(tap);
        if (response.ok && response.redirected) done += 1;
        else write(REFUSED, [...read(REFUSED), tap]);
      }
    } catch { /* still out of reach */ }
    if (done && !kept().length && !read(REFUSED).length) location.reload();
    else tell();
  });

  const show = (response, body) => {
    const page = new DOMParser().parseFromString(body, "text/html").getElementById("main");
    if (response.redirected && response.ok) {
      const there = new URL(response.url);
      const same = there.pathname + there.search === location.pathname + location.search;
      if (same) location.reload();
      else location.assign(response.url);
    } else if (page) {
      document.getElementById("main").replaceWith(page);
      tell();
      page.focus();
    } else {
      say("Not kept. Load the page again, and say it once more.");
    }
  };

  document.addEventListener("submit", (event) => {
    const form = event.target;
    const button = event.submitter;
    if (form.dataset.slow && button) {
      button.textContent = form.dataset.slow;
      return;
    }
    if (!form.dataset.kept) return;
    event.preventDefault();
    // Older browsers do not take the button along by themselves.
    const fields = [...new FormData(form)].map(([name, value]) => [name, String(value)]);
    if (button && button.name) fields.push([button.name, button.value]);
    const label = button ? button.textContent.trim().split("\n")[0].trim() : "";
    const tap = {
      id: `${Date.now()}-${Math.random()}`,
      action: form.action,
      fields,
      at: Math.floor(Date.now() / 1000),
      what: form.dataset.kept === label ? label : `${form.dataset.kept}: ${label}`,
    };
    if (button) button.disabled = true;
    write(QUEUE, [...kept(), tap]);
    alone(async () => {
      try {
        const response = await send(tap, false);
        if (response.status >= 500) throw new Error("not now");
        const body = await response.text();
        drop(tap);
        show(response, body);
      } catch {
        if (kept().some((one) => one.id === tap.id)) tell();
        else say(`No reception, and this browser keeps nothing: say it again (${tap.what}).`);
        if (button) button.disabled = false;
      }
    });
  });

  const span = (count) =>
    count < 120 ? `${count} min` : `${Math.floor(count / 60)} h ${count % 60} min`;
  const minutes = () => {
    const now = Date.now() / 1000;
    for (const each of document.querySelectorAll("[data-until]")) {
      const left = Math.round((Number(each.dataset.until) - now) / 60);
      each.textContent = left > 0 ? `in ${span(left)}` : `${span(-left)} ago`;
    }
  };

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
  const refresh = (after) => {
    const active = document.activeElement;
    const typing = active && active.matches("input, select");
    const live = document.body.dataset.live !== undefined && document.visibilityState === "visible";
    if (live && !typing && !kept().length && Date.now() - shown > after) location.reload();
  };
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    flush();
    refresh(LOOK_AGAIN_MS);
  });
  window.addEventListener("online", flush);
  window.addEventListener("pageshow", () => { shown = Date.now(); minutes(); });
  setInterval(() => { minutes(); refresh(FRESH_FOR_MS); }, 30000);
  setInterval(() => { if (kept().length) flush(); }, TRY_EVERY_MS);
  minutes();
  tell();
  if (kept().length) flush();
  // What was said of the last tap is not said again when the page is loaded anew.
  if (location.search.startsWith("?already=")) history.replaceState(null, "", location.pathname);
  if ("serviceWorker" in navigator && window.isSecureContext) {
    navigator.serviceWorker.register("/worker.js").catch(() => {});
  }
})();
