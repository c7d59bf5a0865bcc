// Live checks of a sheet: what is typed is sent after a pause, and each problem is shown at its field.
"use strict";
(() => {
  const form = document.querySelector("form[data-check]");
  const told = form && form.querySelector("[data-told]");
  if (!form || !told) return;
  let timer = 0;
  let asked = 0;

  function typed() {
    const whole = form.elements.namedItem("toml");
    if (whole) return { toml: whole.value };
    const fields = {};
    for (const [name, value] of new FormData(form)) {
      if (name !== "base" && name !== "change") fields[name] = value;
    }
    return { fields };
  }

  function show(problems) {
    for (const place of form.querySelectorAll("[data-wrong]")) place.replaceChildren();
    for (const field of form.elements) field.removeAttribute("aria-invalid");
    for (const one of problems) {
      const place = form.querySelector(`[data-wrong="${CSS.escape(one.key)}"]`);
      if (!place) continue;
      const words = document.createElement("span");
      words.className = "wrong";
      words.textContent = `${one.at}${one.found}; allowed: ${one.allowed}. ${one.advice}`;
      place.append(words);
      const field = form.elements.namedItem(one.key);
      if (field instanceof Element) field.setAttribute("aria-invalid", "true");
    }
    const first = problems[0];
    told.textContent = first
      ? `${problems.length} to put right. ${first.where}: ${first.found}; allowed: ${first.allowed}.`
      : "Nothing wrong with it.";
  }

  async function check() {
    const mine = ++asked;
    try {
      const answer = await fetch(form.dataset.check, {
        method: "POST",
        headers: { "Content-Type": "application/json", "X-Boottop": "1" },
        body: JSON.stringify(typed()),
      });
      const found = await answer.json();
      if (mine === asked) show(found.problems);
    } catch {
      if (mine === asked) told.textContent = "The server does not answer; nothing was checked.";
    }
  }

  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(check, 500);
  });
})();
