"use strict";
// Comfort only: all jobs stand on the page without this. It sorts them and hides what was not
// asked for; nothing is fetched.
const tools = document.querySelector(".tools");
const sheet = document.querySelector(".sheet");
const jobs = [...sheet.children];
const by = (name) => tools.querySelector(`[name=${name}]`);
const compare = {
  told: (a, b) => a.dataset.place - b.dataset.place,
  grade: (a, b) => a.dataset.gravity - b.dataset.gravity,
  title: (a, b) => a.dataset.title.localeCompare(b.dataset.title),
  ink: (a, b) => b.dataset.grams - a.dataset.grams,
  boards: (a, b) => b.dataset.boards - a.dataset.boards,
};
function show() {
  const grade = by("grade").value;
  const ink = by("ink").value;
  const word = by("word").value.trim().toLowerCase();
  let shown = 0;
  for (const job of jobs) {
    job.hidden = !((grade === "" || job.dataset.grade === grade)
      && (ink === "" || job.dataset.inks.split("\n").includes(ink))
      && job.textContent.toLowerCase().includes(word));
    shown += job.hidden ? 0 : 1;
  }
  const order = compare[by("order").value];
  sheet.append(...[...jobs].sort((a, b) => order(a, b) || compare.told(a, b)));
  tools.querySelector("output").value = `${shown} of ${jobs.length} shown`;
}
tools.hidden = false;
for (const event of ["input", "change"]) { tools.addEventListener(event, show); }
tools.addEventListener("submit", (event) => event.preventDefault());
show();
