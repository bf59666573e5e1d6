// What helps where scripts run; every page works without.
// A tap is kept on this device before it is sent, so that nothing loses it: no reception, half a
// reception, a phone that is pocketed. It goes out later with the time it was made.
"use strict";
(() => {
  const QUEUE = "duskfold-kept";
  const REFUSED = "duskfold-refused";
  const READ = "duskfold-read"; // what was folded away on this device once it was read
  const MOST_READ = 20;
  const TRY_EVERY_MS = 15000;
  const PATIENCE_MS = 8000;
  const LOOK_AGAIN_MS = 60000;
  const FRESH_FOR_MS = 300000;
  const PRESSING_FOR_MS = 25000;
  const SILENT_FOR_MS = 120000;

  const byId = (id) => document.getElementById(id);
  const made = (tag, className, text) =>
    Object.assign(document.createElement(tag), { className, textContent: text });

  // What is said here comes with the page, in its language. What stands in a place is never read.
  const texts = JSON.parse(byId("texts").textContent);
  const fill = (text, places) => text.replace(/\{(\w+)\}/g, (place, name) => places[name] ?? place);
  const told = (name, places = {}) => fill(texts[name], places);

  // -- taps that wait ---------------------------------------------------------------------------

  const read = (name) => {
    try { return JSON.parse(localStorage.getItem(name)) || []; } catch { return []; }
  };
  const write = (name, taps) => {
    try { localStorage.setItem(name, JSON.stringify(taps)); } catch { /* private windows keep nothing */ }
  };
  const kept = () => read(QUEUE);
  const drop = (tap) => write(QUEUE, kept().filter((one) => one.id !== tap.id));
  // As the site writes its times; a page of nobody knows neither its zone nor its region.
  const FORMAT = { hour: "2-digit", minute: "2-digit", hourCycle: "h23" };
  const time = (ms, { hours = "24", zone } = {}) => {
    const parts = new Intl.DateTimeFormat("en-GB", { timeZone: zone, ...FORMAT }).formatToParts(ms);
    const { hour, minute } = Object.fromEntries(parts.map((part) => [part.type, part.value]));
    if (hours === "24") return told("of_24_hours", { hour, minute });
    return told(hour < 12 ? "before_noon" : "after_noon", { hour: ((Number(hour) + 11) % 12) + 1, minute });
  };
  const clock = (seconds) => {
    try { return time(seconds * 1000, byId("clock")?.dataset); } catch { return time(seconds * 1000); }
  };
  const named = (taps) =>
    taps
      .map((tap) => told("tap_at", { tap: tap.what, time: clock(tap.at) }))
      .reduceRight((rest, first) => told("more_taps", { first, rest }));

  // The doors or the jobs that a form is about: while a tap waits, nobody presses there again.
  const ABOUT = ["coop", "house", "job"];
  const about = (action, fields) => {
    const path = new URL(action, location.href).pathname;
    return fields.filter(([name]) => ABOUT.includes(name)).map(([, value]) => `${path} ${value}`);
  };
  const hold = (noted) => {
    const waiting = new Set(kept().flatMap((tap) => about(tap.action, tap.fields)));
    for (const form of document.querySelectorAll("form[data-kept]")) {
      const waits = about(form.action, [...new FormData(form)]).some((one) => waiting.has(one));
      if (!waits && !form.hasAttribute("data-holds")) continue;
      form.toggleAttribute("data-holds", waits);
      for (const button of form.elements) if (button.matches("button:not([hidden])")) button.disabled = waits;
      for (const field of form.querySelectorAll("[data-expected]")) follow(field);
      form.querySelector(".waits")?.remove();
      if (waits && noted) form.append(made("p", "small waits", told("will_be_sent")));
    }
  };

  // Looked up each time: what a form answers takes the place of the whole page.
  const say = (text, label, pressed) => {
    const banner = byId("kept");
    banner.textContent = text;
    banner.hidden = !text;
    if (!label) return;
    const button = made("button", "quiet", label);
    button.type = "button";
    button.addEventListener("click", () => { pressed(); tell(); });
    banner.append(" ", button);
  };
  const tell = () => {
    const refused = read(REFUSED);
    const waiting = kept();
    hold(true);
    if (refused.length) {
      const each = refused.map((tap) =>
        told(tap.why ? "did_not_count_because" : "did_not_count", { tap: named([tap]), why: tap.why }));
      say([...each, told("say_again")].join(" "), told("got_it"), () => write(REFUSED, []));
    } else if (waiting.length) {
      const text = told("waiting", { taps: named(waiting) });
      say(text, told(waiting.length > 1 ? "take_back_last" : "take_back"), () => drop(waiting[waiting.length - 1]));
    } else {
      say("");
    }
  };

  const patience = () => {
    const controller = new AbortController();
    setTimeout(() => controller.abort(), PATIENCE_MS);
    return controller.signal;
  };
  const send = (tap, late) =>
    fetch(tap.action, {
      method: "POST",
      headers: { "Content-Type": "application/x-www-form-urlencoded;charset=UTF-8" },
      body: new URLSearchParams(late ? [...tap.fields, ["at", String(tap.at)]] : tap.fields),
      credentials: "same-origin",
      signal: patience(),
    });

  // One tap after the other; where browsers have locks, over all tabs.
  let turn = Promise.resolve();
  const alone = (work) => {
    const locked = () =>
      navigator.locks ? navigator.locks.request("duskfold", work) : work();
    turn = turn.then(locked, locked);
    return turn;
  };

  // Why a tap that came late was not kept, in the words of the page that answers it.
  const why = (body) => {
    const page = new DOMParser().parseFromString(body, "text/html");
    const newer = page.querySelector("[data-why]")?.dataset.why;
    const text = newer || (page.querySelector(".wrong") || page.querySelector("h1"))?.textContent.trim();
    return text ? text.charAt(0).toUpperCase() + text.slice(1).replace(/\.$/, "") : "";
  };

  const flush = () => alone(async () => {
    let answered = 0;
    try {
      for (const tap of kept()) {
        const response = await send(tap, true);
        if (response.status >= 500 || response.status === 429) break;
        const body = await response.text();
        const counts = response.ok && response.redirected && !response.url.includes("?overtaken=");
        if (!counts) write(REFUSED, [...read(REFUSED), { ...tap, why: why(body) }]);
        drop(tap);
        answered += 1;
      }
    } catch { /* still out of reach */ }
    if (answered && !kept().length) location.reload();
    else tell();
  });

  // The worker never sees what a form leads to: what it keeps must not be older than the tap.
  const shelve = async (there, body) => {
    if (there.pathname !== "/" || !navigator.serviceWorker?.controller) return;
    const shelf = await caches.open("duskfold-1");
    await shelf.put("/", new Response(body, { headers: { "Content-Type": "text/html; charset=utf-8" } }));
  };

  // A summary that has the focus says what lies under it; it is not opened for that.
  const unfold = (one) => {
    const inside = one?.matches("summary") ? one.parentElement.parentElement : one;
    for (let fold = inside?.closest("details"); fold; fold = fold.parentElement.closest("details")) fold.open = true;
  };

  // What was typed in other forms, and what was opened, is still so on the page that follows.
  const left = (form) => {
    const typed = [...document.querySelectorAll("main input[id]")]
      .filter((one) => one.form !== form && one.value !== one.defaultValue)
      .map(({ id, value }) => [id, value]);
    const opened = [...document.querySelectorAll("main details[id][open]")].map((one) => one.id);
    return () => {
      for (const [id, value] of typed) {
        const field = byId(id);
        if (!field) continue;
        field.value = value;
        if (field.dataset.expected) follow(field);
      }
      for (const id of opened) byId(id)?.setAttribute("open", "");
    };
  };

  // The page that a form answers takes the place of this one; the focus goes back to its line.
  const show = (response, body, back, form) => {
    const page = new DOMParser().parseFromString(body, "text/html");
    const there = new URL(response.url);
    if (response.redirected && response.ok && there.pathname !== location.pathname) {
      location.assign(response.url);
    } else if (page.getElementById("main")) {
      if (response.redirected && response.ok) shelve(there, body);
      const restore = left(form);
      document.body.replaceWith(page.body);
      arrive();
      restore();
      const place = document.querySelector("[aria-invalid]") || byId(back) || byId("main");
      unfold(place);
      place.focus();
      const card = place.closest(".card");
      if (card?.getBoundingClientRect().top < 0) card.scrollIntoView();
    } else {
      say(told("not_saved"));
    }
  };

  // The second tap of two in a row would press what the first one has put there.
  document.addEventListener("click", (event) => {
    if (event.detail > 1 && event.target.closest("form[data-kept] button:not([data-step])")) event.preventDefault();
  }, true);

  let ahead = 0; // in milliseconds: a made-up garden has a clock of its own
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
      at: Math.floor((Date.now() + ahead) / 1000),
      what: form.dataset.kept === label ? label : told("said_of", { about: form.dataset.kept, said: label }),
    };
    if (button) button.disabled = true;
    write(QUEUE, [...kept(), tap]);
    hold(false);
    alone(async () => {
      try {
        const response = await send(tap, false);
        if (response.status >= 500) throw new Error("not now");
        const body = await response.text();
        drop(tap);
        show(response, body, form.dataset.back, form);
      } catch {
        if (kept().some((one) => one.id === tap.id)) {
          tell();
        } else {
          say(told("cannot_save", { tap: tap.what }));
          if (button) button.disabled = false;
        }
      }
    });
  });

  // -- the number of birds, and what the button will do with it ---------------------------------

  const follow = (field) => {
    const expected = Number(field.dataset.expected);
    const count = Number(field.value);
    const button = field.form.querySelector("[data-all]");
    const counted = field.value !== "";
    if (counted) {
      const { all, fewer, more } = button.dataset;
      button.textContent = count === expected ? all : fill(count < expected ? fewer : more, { count });
    }
    // What was typed is not lost to a button that says nothing of it.
    const other = [...field.form.elements].find((one) => one.matches("[data-uncounted]"));
    if (other && counted && count !== expected) other.disabled = true;
    else if (other) other.disabled = field.form.hasAttribute("data-holds");
  };
  document.addEventListener("input", (event) => {
    if (event.target.dataset.expected) follow(event.target);
  });
  document.addEventListener("click", (event) => {
    const step = event.target.closest("[data-step]");
    if (!step) return;
    const field = step.parentElement.querySelector("input");
    field.value = Math.max(Number(field.min), Number(field.value) + Number(step.dataset.step));
    if (field.dataset.expected) follow(field);
  });

  // What was opened by a tap is not left below the edge.
  document.addEventListener("click", (event) => {
    const fold = event.target.closest("main summary")?.parentElement;
    if (fold && !fold.open) fold.addEventListener("toggle", () => fold.scrollIntoView({ block: "nearest" }), { once: true });
  });
  // On a shared screen the question stands there already: the browser says it in no other words.
  document.addEventListener("invalid", ({ target }) => {
    if (target.name === "by") target.setCustomValidity(target.closest("fieldset").querySelector("legend").textContent);
  }, true);
  document.addEventListener("change", ({ target }) => {
    if (target.name === "by") for (const one of target.form.querySelectorAll("[name=by]")) one.setCustomValidity?.("");
  });
  document.addEventListener("toggle", ({ target }) => {
    const name = target.dataset?.read;
    if (!name) return;
    const others = read(READ).filter((one) => one !== name);
    write(READ, target.open ? others : [...others, name].slice(-MOST_READ));
  }, true);

  // -- the time, and whether the page is of now -------------------------------------------------

  const span = (count, inMinutes, inHours) =>
    count < 120
      ? told(inMinutes, { minutes: count })
      : told(inHours, { hours: Math.floor(count / 60), minutes: count % 60 });
  // The mark of now and the sun go along the evening's sky; off its ends they stay away.
  const sky = (at) => {
    const strip = document.querySelector("svg.strip");
    const now = strip?.querySelector(".mark.now");
    const share = strip && (at - strip.dataset.from) / (strip.dataset.to - strip.dataset.from);
    if (!now || !(share >= 0 && share <= 1)) return;
    const sun = strip.querySelector("svg.sun");
    const heights = strip.dataset.heights.split(",").map(Number);
    const place = share * (heights.length - 1);
    const before = Math.min(Math.floor(place), heights.length - 2);
    for (const one of [now, sun]) one?.setAttribute("x", `${(100 * share).toFixed(2)}%`);
    sun?.setAttribute("y", heights[before] + (place - before) * (heights[before + 1] - heights[before]));
  };
  let shown = Date.now();
  let asOf = "";
  const minutes = () => {
    const now = Date.now();
    for (const each of document.querySelectorAll("[data-until]")) {
      const left = Math.floor(Number(each.dataset.until) / 60) - Math.floor((now + ahead) / 60000);
      if (left > 0) each.textContent = span(left, "in_minutes", "in_hours");
      else each.textContent = left ? span(-left, "minutes_ago", "hours_ago") : told("now");
    }
    const head = byId("clock");
    if (!head) return;
    sky((now + ahead) / 1000);
    try {
      const at = head.dataset.at * 1000 + now - shown;
      head.textContent = time(at, head.dataset);
      // Once midnight has passed, a card says of which evening it is; sv-SE writes dates as we do.
      const day = new Intl.DateTimeFormat("sv-SE", { timeZone: head.dataset.zone }).format(at);
      for (const each of document.querySelectorAll("[data-day]")) each.hidden = each.dataset.day === day;
    } catch { /* a browser that does not know the zone leaves it as it was sent */ }
  };

  let heard = Date.now();
  const answers = async () => {
    let fault = true;
    try {
      const response = await fetch("/robots.txt", { method: "HEAD", cache: "no-store", signal: patience() });
      fault = response.status >= 500;
    } catch { /* nobody there */ }
    if (!fault) heard = Date.now();
    const silent = fault && Date.now() - heard > SILENT_FOR_MS;
    const line = byId("stale");
    line.hidden = !silent;
    line.textContent = silent ? told("no_connection", { time: asOf }) : "";
    byId("clock").parentElement.hidden = silent;
    return !fault;
  };
  // As a reload, but for what was opened and where one was.
  const renew = async () => {
    try {
      const response = await fetch(location.href, { cache: "no-store", signal: patience() });
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      if (!response.ok || response.redirected || !page.getElementById("main")) return location.reload();
      const [restore, height, focused] = [left(null), scrollY, document.activeElement?.id];
      document.body.replaceWith(page.body);
      arrive();
      restore();
      scrollTo(scrollX, height);
      byId(focused)?.focus({ preventScroll: true });
    } catch { /* next time */ }
  };
  const look = async (after) => {
    if (!byId("clock") || document.visibilityState !== "visible") return;
    const answered = await answers();
    const active = document.activeElement;
    const typing = active && active.matches("input, select");
    const typed = [...document.querySelectorAll("main input")].some((one) => one.value !== one.defaultValue);
    const live = document.body.dataset.live !== undefined;
    if (answered && live && !typing && !typed && !kept().length && Date.now() - shown > after) renew();
  };

  const arrive = () => {
    shown = heard = Date.now();
    const head = byId("clock");
    if (head) {
      asOf = head.textContent;
      if (document.querySelector(".made-up")) ahead = head.dataset.at * 1000 - shown;
      // A page that this device kept is as old as it says.
      heard = Math.min(heard, head.dataset.at * 1000 - ahead);
    }
    for (const field of document.querySelectorAll("[data-copy]")) {
      const button = made("button", "quiet", told("copy"));
      button.type = "button";
      button.setAttribute("aria-label", told("copy_of", { what: field.getAttribute("aria-label") }));
      button.addEventListener("click", async () => {
        field.select();
        try { await navigator.clipboard.writeText(field.value); } catch { document.execCommand("copy"); }
        button.textContent = told("copied");
      });
      field.after(button);
    }
    for (const step of document.querySelectorAll("[data-step]")) step.hidden = false;
    for (const fold of document.querySelectorAll("[data-read]")) {
      if (read(READ).includes(fold.dataset.read)) fold.open = false;
    }
    if (location.hash) unfold(byId(decodeURIComponent(location.hash.slice(1))));
    for (const field of document.querySelectorAll("[data-expected]")) follow(field);
    minutes();
    tell();
    if (shown - heard > SILENT_FOR_MS) look(FRESH_FOR_MS);
  };

  // What was pressed on a message goes out as well; once it has, the page shows it.
  const wake = async () => {
    const registration = window.isSecureContext && (await navigator.serviceWorker?.getRegistration());
    registration?.active?.postMessage("flush");
  };
  navigator.serviceWorker?.addEventListener("message", () => look(0));

  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState !== "visible") return;
    flush();
    wake();
    look(LOOK_AGAIN_MS);
  });
  window.addEventListener("online", () => { flush(); wake(); });
  window.addEventListener("pageshow", (event) => { if (event.persisted) look(LOOK_AGAIN_MS); });
  // From dusk on others may say something at any moment.
  const pressing = () => document.querySelector(".columns.dusk, .columns.night");
  setInterval(() => { minutes(); look(pressing() ? PRESSING_FOR_MS : FRESH_FOR_MS); }, 15000);
  setInterval(() => { if (kept().length) flush(); }, TRY_EVERY_MS);
  arrive();
  if (kept().length) flush();
  // What was said of the last tap is not said again when the page is loaded anew.
  if (/^\?(already|overtaken)=/.test(location.search)) history.replaceState(null, "", location.pathname);
  if ("serviceWorker" in navigator && window.isSecureContext) {
    navigator.serviceWorker.register("/worker.js").then(wake).catch(() => {});
  }
})();
