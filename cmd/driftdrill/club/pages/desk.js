"use strict";
// Fetches the desk, starts it with the first click, which the sound needs, and
// says in words where something is in the way.

const gate = document.getElementById("gate"), state = document.getElementById("state"), go = document.getElementById("go"), far = document.getElementById("far");
const page = document.body.dataset;

// pageName tells this page from others of the same browser, and stays when it
// is loaded again.
function pageName() {
  try {
    let name = sessionStorage.getItem("page");
    if (!name) {
      name = [...crypto.getRandomValues(new Uint8Array(8))].map((b) => b.toString(16).padStart(2, "0")).join("");
      sessionStorage.setItem("page", name);
    }
    return name;
  } catch { return ""; }
}

function stopped(why) {
  for (const c of document.querySelectorAll("canvas")) c.remove();
  gate.hidden = false;
  document.body.classList.remove("running");
  state.textContent = "The desk has stopped" + (why ? " (" + why + ")" : "") + ". What was flown up to the last second is kept.";
  far.hidden = true;
  go.disabled = false;
  go.textContent = "Load it again";
  go.onclick = () => location.reload();
}

// leave goes to the member's page, and waits here while the server does not answer.
async function leave() {
  for (let first = true; ; first = false) {
    try {
      await fetch("/night");
      location.href = "/";
      return;
    } catch { /* it is away */ }
    if (first) {
      for (const c of document.querySelectorAll("canvas")) c.remove();
      gate.hidden = false;
      document.body.classList.remove("running");
      far.hidden = go.hidden = true;
      state.textContent = "The server does not answer. Leave this page open: it goes on as soon as it does.";
    }
    await new Promise((ok) => setTimeout(ok, 1000));
  }
}

globalThis.driftdrill = { page: JSON.stringify({ ...JSON.parse(page.told), page: pageName() }) };

// drawnBySoftware tells whether this machine draws without a graphics chip.
function drawnBySoftware() {
  try {
    const gl = document.createElement("canvas").getContext("webgl2");
    const more = gl.getExtension("WEBGL_debug_renderer_info");
    const name = String(gl.getParameter(more ? more.UNMASKED_RENDERER_WEBGL : gl.RENDERER));
    gl.getExtension("WEBGL_lose_context")?.loseContext();
    return /swiftshader|llvmpipe|softpipe|basic render|software/i.test(name);
  } catch { return false; }
}

// Fewer pixels than the screen has: where every pixel is worked out by the
// processor, which the sound needs, and on telephones with three to a point.
const software = drawnBySoftware();
const ratio = Math.min(devicePixelRatio || 1, 2) * (software ? 0.75 : 1);
Object.defineProperty(globalThis, "devicePixelRatio", { get: () => ratio });

// The picture has smooth edges of its own, and covers the page: what a browser
// does for smooth edges, and for what shines through, is not needed.
const context = HTMLCanvasElement.prototype.getContext;
HTMLCanvasElement.prototype.getContext = function (kind, more) {
  return context.call(this, kind, kind === "webgl2" ? { ...more, alpha: false, antialias: false, depth: false, stencil: false } : more);
};

// And thirty pictures a second at the most, for the same reason: a frame that
// comes a little before its time still counts.
if (software) {
  const ask = requestAnimationFrame.bind(globalThis), apart = 1000 / 30, early = 5;
  let due = 0;
  globalThis.requestAnimationFrame = function paced(draw) {
    return ask((now) => {
      if (now < due - early) { paced(draw); return; }
      due = Math.max(due + apart, now);
      draw(now);
    });
  };
}

// counted gives an answer whose bytes are counted as they come.
function counted(answer) {
  let got = 0;
  const size = Number(page.size), reader = answer.body.getReader();
  const stream = new ReadableStream({
    async pull(to) {
      const { done, value } = await reader.read();
      if (done) { to.close(); return; }
      got += value.byteLength;
      far.value = Math.min(100, (100 * got) / size);
      to.enqueue(value);
    },
  });
  return new Response(stream, { headers: { "Content-Type": "application/wasm" } });
}

async function load() {
  if (!globalThis.WebAssembly || !WebAssembly.instantiateStreaming) throw new Error("this browser is too old for it");
  const runner = new Go();
  const answer = await fetch(page.program);
  if (!answer.ok) throw new Error("the server answers " + answer.status);
  const { instance } = await WebAssembly.instantiateStreaming(counted(answer), runner.importObject);
  return { runner, instance };
}

load().then(({ runner, instance }) => {
  state.textContent = "Ready.";
  far.hidden = true;
  go.disabled = false;
  go.focus();
  go.onclick = async () => {
    gate.hidden = true;
    document.body.classList.add("running");
    let why = "", failed = false;
    globalThis.driftdrill.stopped = (text) => { why = text; failed = true; };
    runner.exit = (code) => { failed = failed || code !== 0; };
    try { await runner.run(instance); } catch (e) { why = e.message; failed = true; }
    if (failed) stopped(why); else leave();
  };
}, (e) => {
  state.textContent = "The desk cannot be loaded: " + e.message + ".";
  far.hidden = true;
});

// A touch that the system takes away (a call, a shade that is pulled down) is
// over for the desk too: the key must not stay down.
addEventListener("touchcancel", (e) => {
  const lists = { touches: [...e.touches], targetTouches: [...e.targetTouches], changedTouches: [...e.changedTouches] };
  e.target.dispatchEvent(new TouchEvent("touchend", { bubbles: true, cancelable: true, ...lists }));
}, true);
