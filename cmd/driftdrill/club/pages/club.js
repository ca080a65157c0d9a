"use strict";
// One script for all pages: it keeps them up to date, walks the birds over the
// hill, turns the wall's pages and sends sheets that are dropped.

const live = document.getElementById("live");
let ahead = 0; // the server's clock less this machine's, ms
let shown = "", page = 0;

function settle() {
  const clock = document.getElementById("clock");
  if (clock) ahead = Number(clock.dataset.now) - Date.now();
  turn(0);
  walk();
}

// turn shows the wall's page that lies so many pages on.
function turn(by) {
  const pages = [...document.querySelectorAll(".page")];
  if (!pages.length) return;
  const at = pages.findIndex((p) => p.dataset.page === shown);
  page = ((at < 0 ? 0 : at) + by) % pages.length;
  pages.forEach((p, i) => p.classList.toggle("now", i === page));
  shown = pages[page].dataset.page;
}

// height finds the hill's y at x by its points.
let points = [], pointsText = "";
function height(x) {
  let i = points.findIndex((p) => p[0] >= x);
  if (i <= 0) i = 1;
  const [a, b] = [points[i - 1], points[i]];
  return a[1] + ((b[1] - a[1]) * (x - a[0])) / (b[0] - a[0]);
}

const minutes = (ms) => {
  const s = Math.max(0, Math.ceil(ms / 1000));
  return Math.floor(s / 60) + ":" + String(s % 60).padStart(2, "0");
};

function walk() {
  const birds = document.getElementById("birds");
  if (!birds) return;
  if (birds.dataset.points !== pointsText) {
    pointsText = birds.dataset.points;
    points = pointsText.split(" ").map((p) => p.split(",").map(Number));
  }
  const [pass, top, from, long] = ["pass", "top", "from", "for"].map((k) => Number(birds.dataset[k]));
  const now = Date.now() + ahead;
  const flying = [];
  for (const b of birds.children) {
    const gone = now - Number(b.dataset.first);
    const x = (1840 * gone) / pass, up = gone >= from && gone <= Math.min(pass, from + long);
    b.classList.toggle("up", up);
    if (up) {
      const y = height(x);
      b.setAttribute("transform", `translate(${x.toFixed(1)} ${(y - 9).toFixed(1)})`);
      const line = b.querySelector("line");
      if (line) line.setAttribute("y2", (259 - y).toFixed(1));
    }
    if (up && b.classList.contains("flyer")) flying.push([x, b.querySelector("text")]);
    if (b.classList.contains("lead")) tell(gone, pass, top, from, long, x);
  }
  spread(flying);
}

// spread keeps the calls over the birds apart: in two rows, and where those are
// full the call stands in the list below alone.
function spread(flying) {
  const free = [-1e9, -1e9];
  for (const [x, text] of flying.sort((a, b) => a[0] - b[0])) {
    const row = free.findIndex((edge) => x - 66 > edge);
    text.setAttribute("visibility", row < 0 ? "hidden" : "inherit");
    if (row < 0) continue;
    text.setAttribute("y", -16 - 28 * row);
    free[row] = x + 66;
  }
}

// tell writes the wall's clock.
function tell(gone, pass, top, from, long, x) {
  const end = Math.min(pass, from + long);
  const [left, words] = gone < from ? [from - gone, "to the start"] : gone < top && top < end ? [top - gone, "to the top"] : gone < end ? [end - gone, "to the end"] : [0, "the pass is over"];
  document.getElementById("clock").textContent = minutes(left);
  document.getElementById("clock-words").textContent = words;
  document.getElementById("done-rect").setAttribute("width", Math.max(0, Math.min(x, (1840 * end) / pass)).toFixed(1));
}

// refresh fetches the moving part of the page, one after another, and shows it
// where it has changed.
let busy = false, again = false, before = "";
async function refresh() {
  if (busy) { again = true; return; }
  busy = true;
  try {
    const answer = await fetch(live.dataset.live);
    if (answer.ok) show(await answer.text());
  } catch { /* the network comes back, and with it the next event */ }
  setTimeout(() => { busy = false; if (again) { again = false; refresh(); } }, 400);
}

function show(text) {
  const same = text.replace(/data-now="\d+"/, "");
  if (same === before) return;
  before = same;
  const next = new DOMParser().parseFromString(text, "text/html");
  if (next.querySelector("main")) { location.reload(); return; } // a page of its own: the session is over
  const held = live.contains(document.activeElement) ? document.activeElement : null;
  live.replaceChildren(...next.body.childNodes);
  if (held) hold(held);
  settle();
}

// hold gives the keys back to what had them, with what was chosen there.
function hold(held) {
  const name = (e) => [e.tagName, e.name, e.getAttribute("aria-label") || (e.tagName === "SELECT" ? "" : e.textContent), e.form?.elements.namedItem("heat")?.value].join("|");
  const e = [...live.querySelectorAll("a, button, select")].find((e) => name(e) === name(held));
  if (!e) return;
  if (e.tagName === "SELECT") e.value = held.value;
  e.focus({ preventScroll: true });
}

// listen waits for news. The server tells each change, and every 15 s that it is
// there. Where it has not been heard for long, the page says that it may be old.
let heard = Date.now(), news = null, begun = false;
function listen() {
  news = new EventSource("/events");
  news.onmessage = () => { heard = Date.now(); if (begun) refresh(); begun = true; };
}

const away = document.createElement("p");
away.className = "away";
away.setAttribute("role", "status");
function watch() {
  const quiet = Math.round((Date.now() - heard) / 1000);
  const lost = quiet > (news.readyState === EventSource.OPEN ? 35 : 5);
  if (news.readyState === EventSource.CLOSED) listen();
  const words = lost ? `The server has not answered for ${quiet < 90 ? quiet + " s" : Math.round(quiet / 60) + " minutes"}. What stands here may be old.` : "";
  if (away.textContent !== words) away.textContent = words;
  if (lost !== away.isConnected) lost ? document.body.append(away) : away.remove();
}

if (live) {
  listen();
  settle();
  setInterval(watch, 1000);
  if (document.querySelector(".hill")) {
    setInterval(walk, 200);
    setInterval(() => turn(1), 9000);
    addEventListener("keydown", (e) => { if (e.key === "ArrowRight") turn(1); if (e.key === "ArrowLeft") turn(document.querySelectorAll(".page").length - 1); });
  }
}

// A sheet that is chosen or dropped goes to the server as it is.
for (const zone of document.querySelectorAll("[data-drop]")) {
  const out = zone.querySelector("output"), input = zone.querySelector("input[type=file]");
  async function send(files) {
    out.textContent = "";
    for (const f of files) {
      const whose = new URLSearchParams();
      if (zone.dataset.call) for (const [name, from] of [["call", "#drop-call"], ["class", "#drop-class"]]) {
        const v = zone.querySelector(from)?.value;
        if (v) whose.set(name, v);
      }
      let text;
      try {
        const answer = await fetch(zone.dataset.drop + "?" + whose, { method: "POST", body: f, headers: { "Content-Type": "application/jsonl" } });
        const said = await answer.text();
        if (answer.status === 201) text = "taken, hold index " + Math.round(JSON.parse(said).marks.hold_index);
        else if (answer.status === 422) text = JSON.parse(said).reason;
        else text = said.trim();
      } catch { text = "the server does not answer; keep the sheet and try again"; }
      out.textContent += f.name + ": " + text + "\n";
    }
  }
  input.addEventListener("change", () => { send([...input.files]); });
  zone.addEventListener("dragover", (e) => { e.preventDefault(); zone.classList.add("over-it"); });
  zone.addEventListener("dragleave", () => zone.classList.remove("over-it"));
  zone.addEventListener("drop", (e) => { e.preventDefault(); zone.classList.remove("over-it"); send([...e.dataTransfer.files]); });
}
