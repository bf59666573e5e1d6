// The times at any date of the year: by the slider, by its keys, by touching the picture.
// Without it a form asks for a date.
"use strict";
(() => {
  const box = document.getElementById("reading");
  if (!box) return;
  const { dataset: told } = box;
  const texts = JSON.parse(document.getElementById("texts").textContent);
  const { hours } = document.getElementById("clock").dataset;
  const slider = document.getElementById("through");
  const field = document.getElementById("on");
  const picture = document.querySelector("svg.year");
  const line = picture.querySelector(".chosen");
  const days = told.times.split(";").map((one) => one.split(","));
  const [weekdays, short, months] = [told.weekdays, told.shortWeekdays, told.months].map((one) => one.split("|"));
  const fill = (text, places) => text.replace(/\{(\w+)\}/g, (place, name) => places[name] ?? place);
  const two = (number) => String(number).padStart(2, "0");
  const dateOf = (number) => {
    const date = new Date(`${told.first}T00:00:00Z`);
    date.setUTCDate(date.getUTCDate() + number);
    return date;
  };
  const ofWeek = (names, date) => names[(date.getUTCDay() + 6) % 7];

  // As the site writes its times; one past midnight is told with its weekday.
  const clock = (minutes, date, number) => {
    const [hour, minute] = [Math.floor(minutes / 60) % 24, two(minutes % 60)];
    const half = hour < 12 ? texts.before_noon : texts.after_noon;
    const time = hours === "24"
      ? fill(texts.of_24_hours, { hour: two(hour), minute })
      : fill(half, { hour: ((hour + 11) % 12) + 1, minute });
    if (minutes < 1440) return time;
    return fill(texts.with_weekday, { time, weekday: ofWeek(short, dateOf(number + 1)) });
  };

  const show = (number) => {
    const date = dateOf(number);
    const [lock_up, latest, let_out, free_range] = days[number].map((one) =>
      one === "" ? "" : clock(Number(one), date, number));
    const places = {
      day: fill(told.day, { weekday: ofWeek(weekdays, date), day: date.getUTCDate(), month: months[date.getUTCMonth()] }),
      lock_up,
      latest,
      let_out: let_out || told.notToday,
      free_range,
    };
    for (const each of box.querySelectorAll("[data-of]")) each.textContent = places[each.dataset.of];
    box.querySelector("[data-of=free_range]").parentElement.hidden = !free_range;
    slider.value = number;
    slider.setAttribute("aria-valuetext", fill(free_range ? told.saidWithRange : told.said, places));
    const { top, day } = picture.dataset;
    line.setAttribute("transform", `translate(0 ${Number(top) + (number + 0.5) * Number(day)})`);
    if (field.type === "date") field.value = date.toISOString().slice(0, 10);
  };

  const at = (event) => {
    const { top, height } = picture.getBoundingClientRect();
    const y = ((event.clientY - top) / height) * picture.viewBox.baseVal.height;
    const number = Math.floor((y - Number(picture.dataset.top)) / Number(picture.dataset.day));
    return Math.min(Math.max(number, 0), days.length - 1);
  };
  // A finger on the picture scrolls the page, but on the grip, and moves the line where it taps.
  let drags = false;
  picture.addEventListener("pointerdown", (event) => {
    drags = event.pointerType === "mouse" || Boolean(event.target.closest(".chosen"));
    if (!drags) return;
    event.preventDefault();
    picture.setPointerCapture(event.pointerId);
    show(at(event));
  });
  picture.addEventListener("pointermove", (event) => { if (drags) show(at(event)); });
  for (const end of ["pointerup", "pointercancel"]) picture.addEventListener(end, () => { drags = false; });
  picture.addEventListener("click", (event) => show(at(event)));

  slider.addEventListener("input", () => show(Number(slider.value)));
  slider.hidden = false;
})();
