(() => {
  "use strict";
  const root = document.documentElement, sheet = document.body.dataset.sheet, name = "ladderday-" + sheet;
  const rows = [...document.querySelectorAll("li[data-n]")];
  const box = row => row.querySelector(".tick"), count = row => row.querySelector(".count input");
  const by = id => document.getElementById(id);
  root.classList.add("js");
  let kept = {}, keeps = true;
  try { kept = JSON.parse(localStorage.getItem(name)) || {}; } catch (e) { keeps = false; }
  const show = () => {
    const parts = [];
    let from = 0, to = 0;
    const end = () => { if (from) parts.push(from === to ? "" + from : from + "-" + to); from = 0; };
    kept = {};
    for (const row of rows) {
      const n = +row.dataset.n, some = count(row) ? count(row).value : "";
      row.classList.toggle("done", box(row).checked);
      if (box(row).checked) {
        kept[n] = true;
        if (from && n === to + 1) { to = n; } else { end(); from = to = n; }
      } else if (some !== "") {
        kept[n] = some;
        end();
        parts.push(n + "=" + some);
      }
    }
    end();
    by("line").value = parts.length ? "ladderday step paper " + sheet + " " + parts.join(" ") : "";
    try { localStorage.setItem(name, JSON.stringify(kept)); } catch (e) { keeps = false; }
    by("kept").textContent = keeps ? "Ticks stay in this browser." : "This browser keeps nothing: leave the page open.";
  };
  const filter = () => {
    const who = by("who").value, where = by("where").value;
    for (const row of rows) {
      const at = row.closest(".place").dataset.where, people = row.dataset.who.split("|");
      row.classList.toggle("hidden", (who && !people.includes(who)) || (where && at !== where));
    }
    for (const part of document.querySelectorAll(".place,.session")) {
      part.classList.toggle("hidden", !part.querySelector("li:not(.hidden)"));
    }
  };
  const fill = (id, words) => {
    for (const word of [...new Set(words)].filter(w => w).sort()) by(id).add(new Option(word));
    by(id).addEventListener("change", filter);
  };
  fill("who", rows.flatMap(row => row.dataset.who.split("|")));
  fill("where", rows.map(row => row.closest(".place").dataset.where));
  for (const row of rows) {
    const was = kept[row.dataset.n];
    box(row).checked = was === true;
    if (count(row) && was && was !== true) count(row).value = was;
    row.addEventListener("input", show);
  }
  for (const part of document.querySelectorAll(".caution")) part.addEventListener("click", () => part.classList.toggle("open"));
  by("words").addEventListener("change", e => root.classList.toggle("words", e.target.checked));
  by("line").addEventListener("focus", e => e.target.select());
  show();
})();
