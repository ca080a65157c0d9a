"use strict";
// Sheets that the server has not answered for. The desk puts them into the
// browser's box (trainer/shelf, Outbox); every page of a member sends them as soon
// as the server answers. What is refused is told and left alone: it can be sent
// again by hand, kept as a file to be brought on a stick, or forgotten.

(() => {
const zone = document.getElementById("outbox");
if (!zone || !globalThis.indexedDB) return;
const range = IDBKeyRange.bound("unsent/", "unsent/\uffff");
const shortest = 2000, longest = 30000; // ms between two tries

// box opens the desk's box for one transaction.
async function box(mode, work) {
  const db = await new Promise((ok, no) => {
    const r = indexedDB.open("driftdrill", 1);
    r.onupgradeneeded = () => r.result.createObjectStore("box");
    r.onsuccess = () => ok(r.result);
    r.onerror = r.onblocked = () => no(r.error);
  });
  try {
    return await new Promise((ok, no) => {
      const t = db.transaction("box", mode), got = work(t.objectStore("box"));
      t.oncomplete = () => ok(got);
      t.onabort = () => no(t.error);
    });
  } finally { db.close(); }
}

// sheets are all that lie there, oldest first.
async function sheets() {
  const [keys, values] = await box("readonly", (s) => [s.getAllKeys(range), s.getAll(range)]);
  return keys.result.map((key, i) => {
    const value = values.result[i], end = value.indexOf(10);
    return { key, sheet: value.subarray(end + 1), ...JSON.parse(new TextDecoder().decode(value.subarray(0, end))) };
  });
}

// note writes why a sheet waits, unless another page has sent it meanwhile.
const note = (key, said) => box("readwrite", (s) => {
  const r = s.get(key);
  r.onsuccess = () => {
    if (!r.result) return;
    const end = r.result.indexOf(10), head = JSON.parse(new TextDecoder().decode(r.result.subarray(0, end)));
    const line = new TextEncoder().encode(JSON.stringify({ ...head, said }));
    const value = new Uint8Array(line.length + r.result.length - end);
    value.set(line);
    value.set(r.result.subarray(end), line.length);
    s.put(value, key);
  };
});

const forget = (key) => box("readwrite", (s) => { s.delete(key); });

// send sends one sheet; false where nobody answers or the answer is "later".
async function send(one) {
  let answer, text;
  try {
    answer = await fetch("/sheets?call=" + encodeURIComponent(one.call), { method: "POST", body: one.sheet, headers: { "Content-Type": "application/jsonl" }, signal: AbortSignal.timeout?.(20000) });
    text = (await answer.text()).trim();
  } catch { return false; }
  if (answer.status === 429 || answer.status >= 500) return false;
  if (answer.status === 201) await forget(one.key);
  else if (answer.status === 401) await note(one.key, "This browser has not joined as " + one.call + " any more: join with that call, then send it again.");
  else if (answer.status === 422) await note(one.key, JSON.parse(text).reason);
  else await note(one.key, text);
  return true;
}

function button(text, label, act) {
  const b = document.createElement("button");
  b.className = "quietly";
  b.textContent = text;
  b.setAttribute("aria-label", label);
  b.onclick = act;
  return b;
}

let links = [];
// show lists what lies there.
function show(all) {
  zone.hidden = !all.length;
  zone.querySelector(".quiet").hidden = all.every((one) => one.said);
  for (const l of links) URL.revokeObjectURL(l);
  links = [];
  zone.querySelector("ul").replaceChildren(...all.map((one) => {
    const li = document.createElement("li"), at = new Date(one.at), name = one.call + ", " + at.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
    const b = document.createElement("b"), why = document.createElement("span"), file = document.createElement("a"), acts = document.createElement("p");
    b.textContent = name;
    why.textContent = one.said || (one.call === zone.dataset.call ? "The server does not answer. It is sent by itself as soon as it does." : "It is sent as soon as this browser has joined as " + one.call + ".");
    file.href = URL.createObjectURL(new Blob([one.sheet], { type: "application/jsonl" }));
    links.push(file.href);
    file.download = (one.call.replaceAll("/", "-") + "-" + one.at.replace(/\.\d+/, "").replaceAll(/[-:]/g, "") + ".jsonl").toLowerCase();
    file.textContent = "Keep it as a file";
    acts.append(file);
    if (one.said) acts.append(button("Send again", "Send " + name + " again", () => again(one.key)), button("Forget it", "Forget " + name, async () => { await forget(one.key); look(); }));
    li.append(b, why, acts);
    return li;
  }));
}

async function again(key) {
  await note(key, "");
  look();
}

let wait = shortest, timer = 0, busy = false, more = false;
// look sends what waits, and comes back as long as something does.
async function look() {
  if (busy) { more = true; return; }
  busy = true;
  clearTimeout(timer);
  try {
    let answered = true;
    const mine = (await sheets()).filter((one) => !one.said && one.call === zone.dataset.call);
    for (const one of mine) answered = (await send(one)) && answered;
    show(await sheets());
    wait = answered ? shortest : Math.min(longest, 2 * wait);
    if (!answered) timer = setTimeout(look, wait);
  } catch { timer = setTimeout(look, longest); /* the box is busy or cannot be had */ }
  busy = false;
  if (more) { more = false; look(); }
}

addEventListener("unsent", look); // the desk has put something in
addEventListener("online", look);
document.addEventListener("visibilitychange", () => { if (!document.hidden) { wait = shortest; look(); } });
look();
})();
