// "Use where I am now", where the browser allows it; without, the page says why it is missing.
"use strict";
(() => {
  const here = document.getElementById("here");
  if (!here || !window.isSecureContext || !navigator.geolocation) return;
  const form = document.getElementById("place");
  const button = here.querySelector("button");
  const label = button.textContent;
  document.getElementById("not-here").hidden = true;
  here.hidden = false;
  button.addEventListener("click", () => {
    button.disabled = true;
    button.textContent = button.dataset.asking;
    navigator.geolocation.getCurrentPosition(
      ({ coords }) => {
        // Four digits are some ten metres; dusk needs no more.
        form.typed.value = `${coords.latitude.toFixed(4)}, ${coords.longitude.toFixed(4)}`;
        form.requestSubmit();
      },
      () => {
        button.disabled = false;
        button.textContent = label;
        const said = document.getElementById("not-here");
        said.textContent = button.dataset.refused;
        said.hidden = false;
      },
      { maximumAge: 600000, timeout: 20000 },
    );
  });
})();
