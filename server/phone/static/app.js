// The window: taps to the worker, pages from it, and what only a window may do.
"use strict";

const policy = window.trustedTypes?.createPolicy("dripleg", {
  createHTML: (text) => text,
  createScriptURL: (url) => url,
}) ?? { createHTML: (text) => text, createScriptURL: (url) => url };

const SHELL = "@version@";
const TRAPS_MAX = 3;
let worker = null;
let traps = 0;
let place = "";
let unsent = -1;
let stream = null;
let install = null;
let opened = false;
let renewing = false;
const remembered = (key) => {
  try {
    return localStorage.getItem(key);
  } catch {
    return null;
  }
};
const remember = (key, value) => {
  try {
    localStorage.setItem(key, value);
  } catch {
    // Without storage the worker says so.
  }
};

// What stands in the shell itself is in the language of the last time at once.
document.documentElement.lang = remembered("language") || navigator.language.slice(0, 2);

// --- the worker ---

let trappedOut = false;
function start(check, stopped) {
  worker?.terminate();
  worker = new Worker(policy.createScriptURL("worker.js"), { type: "module" });
  worker.onmessage = (event) => heard(event.data);
  worker.onerror = (event) => failed(event.message);
  // After several traps in a row nothing is opened by itself any more: the person says when.
  const kind = stopped === undefined ? "open" : "stopped";
  send({ kind, language: remembered("language") || navigator.language.slice(0, 2), check, words: stopped });
}

const send = (message, moved) => worker.postMessage(message, moved ?? []);

function heard(message) {
  if (message.unsent !== undefined) unsent = message.unsent;
  if (message.page !== undefined) {
    draw(message.page);
    for (const effect of message.effects) carry(effect);
    if (message.answers) performance.mark("answered");
  }
  if (message.trapped !== undefined) trapped(message.trapped);
  if (message.opened) afterOpening();
  if (message.joined) navigator.storage?.persist?.();
  if (message.unsent !== undefined) renewWhenSafe();
  if (message.file) share(message.file, message.name);
  if (message.waits) sendLater();
  if (message.failed) failed(message.failed);
}

// A trapped program is started anew, and its file is checked. Three times in a row is enough.
function trapped(words) {
  traps += 1;
  console.error(words);
  trappedOut = traps > TRAPS_MAX;
  start(true, trappedOut ? words : undefined);
}

function failed(words) {
  const face = document.getElementById("face");
  const note = document.createElement("p");
  note.className = "note now";
  note.setAttribute("role", "alert");
  note.textContent = words;
  face.prepend(note);
}

function afterOpening() {
  opened = true;
  setTimeout(() => (traps = 0), 60000);
  navigator.storage?.persist?.();
}

// --- the page ---

function draw(page) {
  const template = document.createElement("template");
  template.innerHTML = policy.createHTML(page);
  const next = template.content.firstElementChild;
  const face = document.getElementById("face");
  // Another screen takes the place of the one before. The same one is changed where it differs: what is being
  // typed stays; a key that has the focus is drawn anew like any other.
  const another = next.querySelector("main")?.dataset.place !== place;
  const typing = document.activeElement?.matches("input,textarea") ?? false;
  if (another) face.replaceWith(next);
  else Idiomorph.morph(face, next, { morphStyle: "outerHTML", ignoreActiveValue: typing });
  const now = document.getElementById("face");
  document.documentElement.className = now.className;
  document.documentElement.lang = now.lang;
  remember("language", now.lang);
  const main = now.querySelector("main");
  if (main && main.dataset.place !== place) {
    place = main.dataset.place;
    window.scrollTo(0, 0);
    now.querySelector("h1")?.focus({ preventScroll: true });
    renewWhenSafe();
  }
  tick();
  abilities();
  blobs();
  storage();
  const key = now.querySelector("[data-say=install]");
  if (key) key.hidden = !install;
  fill();
  performance.mark("drawn");
}

function form() {
  const form = {};
  for (const line of document.querySelectorAll("#face [name]")) form[line.name] = line.value;
  return form;
}

function tap(words) {
  performance.mark("tapped");
  send({ kind: "tap", tap: words, form: form() });
}

document.addEventListener("click", (event) => {
  const key = event.target.closest("[data-tap],[data-say]");
  if (!key) return;
  if (key.dataset.tap !== undefined) tap(key.dataset.tap);
  else say(key.dataset.say);
});

function say(word) {
  const value = (name) => document.querySelector(`#face [name=${name}]`)?.value ?? "";
  if (word === "join") {
    send({ kind: "join", code: value("code"), name: value("name"), address: location.origin });
  } else if (word === "take") start(false);
  else if (word === "mend") send({ kind: "mend" });
  else if (word === "rescue") send({ kind: "rescue" });
  else if (word === "again") {
    traps = 0;
    if (trappedOut) start(true);
    else send({ kind: "open", language: document.documentElement.lang });
  } else if (word === "install") install?.prompt();
}

// Keys of a keyboard do what the keys of the screen do.
const KEYS = { Backspace: "wipe", Enter: "next", "-": "minus", Escape: "back" };
document.addEventListener("keydown", (event) => {
  if (event.target.matches("input,textarea") || event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.key === "Enter" && event.target.closest("button,a,label")) return;
  const words = /^\d$/.test(event.key) ? `digit ${event.key}` : KEYS[event.key];
  if (!words) return;
  const key = document.querySelector(`#face [data-tap="${words}"]`);
  if (!key && words !== "back") return;
  event.preventDefault();
  tap(words);
});

// Texts are kept while they are typed.
let typing = 0;
document.addEventListener("input", (event) => {
  if (!event.target.name) return;
  clearTimeout(typing);
  const live = event.target.dataset.live !== undefined;
  typing = setTimeout(() => send({ kind: "typed", form: form(), live }), live ? 150 : 400);
});

document.addEventListener("change", async (event) => {
  const subject = event.target.dataset?.photo;
  const file = event.target.files?.[0];
  if (subject === undefined || !file) return;
  const [picture, thumb] = await Promise.all([shrunk(file, 1600, 0.8), shrunk(file, 240, 0.7)]);
  send({ kind: "photo", picture, thumb, subject }, [picture, thumb]);
  event.target.value = "";
});

async function shrunk(file, most, quality) {
  const image = await createImageBitmap(file);
  const scale = Math.min(1, most / Math.max(image.width, image.height));
  const canvas = new OffscreenCanvas(Math.max(1, Math.round(image.width * scale)), Math.max(1, Math.round(image.height * scale)));
  canvas.getContext("2d").drawImage(image, 0, 0, canvas.width, canvas.height);
  return (await canvas.convertToBlob({ type: "image/jpeg", quality })).arrayBuffer();
}

// Photos lie beside the records; the page names them by their hash. What is not here yet may be shown small
// instead.
const shown = new Map();
async function blob(name) {
  if (!name) return null;
  if (!shown.has(name)) {
    try {
      const root = await navigator.storage.getDirectory();
      const folder = await root.getDirectoryHandle("photos");
      const file = await (await folder.getFileHandle(`${name}.jpg`)).getFile();
      shown.set(name, URL.createObjectURL(file));
    } catch {
      return null;
    }
  }
  return shown.get(name);
}
async function blobs() {
  for (const image of document.querySelectorAll("img[data-blob]")) {
    const source = (await blob(image.dataset.blob)) ?? (await blob(image.dataset.instead));
    if (source) image.src = source;
    else image.dataset.missing = "";
  }
}

async function storage() {
  const line = document.querySelector("[data-storage]");
  if (!line || line.dataset.storage) return;
  const { usage = 0 } = (await navigator.storage?.estimate?.()) ?? {};
  const kept = await navigator.storage?.persisted?.();
  line.dataset.storage = "said";
  line.append(` ${(usage / 1e6).toFixed(1)} MB${kept ? "" : " *"} \u00b7 ${SHELL}`);
}

// --- a signature, drawn with a finger, a pen or a mouse ---

// Lines of points on the pad's own grid, as text in the line behind it. The line is the truth: what is drawn
// is made of it, here while the finger moves and by the program afterwards.
let pen = null;
document.addEventListener("pointerdown", (event) => {
  const pad = event.target.closest?.("[data-draw]");
  if (!pad || pen || event.button > 0) return;
  event.preventDefault();
  pad.setPointerCapture(event.pointerId);
  const line = document.getElementsByName(pad.dataset.draw)[0];
  pen = { pad, line, id: event.pointerId, before: line.value, points: [] };
  penned(event);
});
document.addEventListener("pointermove", (event) => event.pointerId === pen?.id && penned(event));
for (const end of ["pointerup", "pointercancel"]) {
  document.addEventListener(end, (event) => {
    if (event.pointerId !== pen?.id) return;
    pen = null;
    send({ kind: "typed", form: form(), live: true });
  });
}

function penned(event) {
  const box = pen.pad.getBoundingClientRect();
  const grid = pen.pad.viewBox.baseVal;
  for (const own of event.getCoalescedEvents?.() ?? [event]) {
    const x = Math.round(((own.clientX - box.left) / box.width) * grid.width);
    const y = Math.round(((own.clientY - box.top) / box.height) * grid.height);
    const last = pen.points.at(-1);
    if (!last || Math.abs(last[0] - x) + Math.abs(last[1] - y) > 1) pen.points.push([x, y]);
  }
  const stroke = pen.points.map((point) => point.join(",")).join(" ");
  pen.line.value = pen.before ? `${pen.before};${stroke}` : stroke;
  const path = pen.line.value.split(";").map((one) => `M${one.split(" ").join("L")}${one.includes(" ") ? "" : "h0"}`);
  pen.pad.querySelector("path").setAttribute("d", path.join(""));
}

// --- what this browser can and cannot ---

const can = { sync: "SyncManager" in window, wake: "wakeLock" in navigator };
function abilities() {
  for (const line of document.querySelectorAll("[data-can]")) line.hidden = !can[line.dataset.can];
  for (const line of document.querySelectorAll("[data-cannot]")) line.hidden = can[line.dataset.cannot];
}

// The browser wakes the service worker when a signal comes back, also with the app closed.
async function sendLater() {
  const shell = await navigator.serviceWorker?.getRegistration();
  await shell?.sync?.register("send").catch(() => (can.sync = false));
  abilities();
}

// --- time ---

// Timers that have buzzed already, by the second at which they were over. One that was over before the page
// was opened does not buzz any more.
const over = new Set();
const began = Date.now() / 1000;
function tick() {
  const now = Date.now() / 1000;
  for (const line of document.querySelectorAll("[data-until]")) {
    if (Number(line.dataset.until) < began) over.add(line.dataset.until);
    const left = Math.max(0, Math.ceil(Number(line.dataset.until) - now));
    line.textContent = `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
    if (left === 0 && !over.has(line.dataset.until)) {
      over.add(line.dataset.until);
      if (!quiet()) navigator.vibrate?.([400, 200, 400]);
    }
  }
}
setInterval(tick, 1000);

// A page in a dark pocket is put to sleep and cannot buzz: while a timer runs the screen stays on.
let awake = null;
async function stayAwake() {
  const now = Date.now() / 1000;
  const lines = [...document.querySelectorAll("[data-until]")];
  const runs = !quiet() && lines.some((line) => Number(line.dataset.until) > now);
  if (!runs) {
    awake?.release();
    awake = null;
  } else if (!awake && document.visibilityState === "visible") {
    try {
      awake = (await navigator.wakeLock?.request("screen")) ?? null;
      awake?.addEventListener("release", () => (awake = null));
    } catch {
      // The battery is low, or it is not allowed: the timer still counts, and the screen says so.
      can.wake = false;
      abilities();
    }
  }
}
setInterval(stayAwake, 2000);

// --- effects ---

function carry(effect) {
  const [word] = effect.split(" ", 1);
  const rest = effect.slice(word.length + 1);
  if (word === "buzz") navigator.vibrate?.(rest === "1" ? 40 : [60, 60, 60]);
  else if (word === "exchange") send({ kind: "exchange" });
  else if (word === "photos") send({ kind: "photos" });
  else if (word === "copy") navigator.clipboard?.writeText(rest);
  else if (word === "file") send({ kind: "file", name: rest });
  else if (word === "pick") document.getElementById("pick").click();
  else if (word === "lamp") lamp();
  else if (word === "scan") scan();
  else if (word === "hush") hush();
  else if (word === "renew") renew();
}

async function share(bytes, name) {
  const file = new File([bytes], name, { type: "application/octet-stream" });
  if (navigator.canShare?.({ files: [file] })) {
    try {
      await navigator.share({ files: [file] });
      return;
    } catch (wrong) {
      if (wrong.name === "AbortError") return;
    }
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = name;
  link.click();
}

document.getElementById("pick").addEventListener("change", async (event) => {
  const file = event.target.files[0];
  if (file) send({ kind: "taken", bytes: await file.arrayBuffer() });
  event.target.value = "";
});

async function camera() {
  return navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
}

function dark() {
  stream?.getTracks().forEach((track) => track.stop());
  stream = null;
}

async function lamp() {
  if (stream) return dark();
  try {
    stream = await camera();
    await stream.getVideoTracks()[0].applyConstraints({ advanced: [{ torch: true }] });
  } catch {
    dark();
    send({ kind: "say", words: "This browser does not switch the lamp." });
  }
}

// A unit label, where the browser reads codes.
async function scan() {
  const view = document.getElementById("scan");
  if (!("BarcodeDetector" in window)) {
    send({ kind: "say", words: "This browser does not read labels. Find the unit in the list." });
    return;
  }
  try {
    dark();
    stream = await camera();
    const video = view.querySelector("video");
    video.srcObject = stream;
    view.hidden = false;
    await video.play();
    const detector = new BarcodeDetector({ formats: ["qr_code"] });
    for (let tries = 0; tries < 150 && stream && !view.hidden; tries += 1) {
      const [code] = await detector.detect(video);
      if (code) {
        send({ kind: "tap", tap: "label", form: { label: code.rawValue } });
        navigator.vibrate?.(40);
        break;
      }
      await new Promise((done) => setTimeout(done, 200));
    }
  } catch {
    send({ kind: "say", words: "The camera is not to be had." });
  } finally {
    view.hidden = true;
    dark();
  }
}
document.getElementById("scan-off").addEventListener("click", () => (document.getElementById("scan").hidden = true));

// --- gas smell: everything that makes a sound, a light or a radio wave stops ---

function hush() {
  dark();
  navigator.vibrate?.(0);
  send({ kind: "hush" });
}
const quiet = () => location.hash === "#gas" || location.hash === "#outside";
window.addEventListener("hashchange", () => {
  if (location.hash === "#gas") hush();
  invited();
});

// --- coming and going ---

document.addEventListener("visibilitychange", () => {
  if (!opened || quiet()) return;
  send({ kind: document.visibilityState === "visible" ? "exchange" : "leave" });
});
window.addEventListener("online", () => opened && !quiet() && send({ kind: "exchange" }));
window.addEventListener("pagehide", () => send({ kind: "close" }));
window.addEventListener("pageshow", (event) => event.persisted && start(false));
// The phone's own key back is the key of the screen; to and from the gas screen it only goes there.
let hash = location.hash;
window.addEventListener("popstate", () => {
  if (location.hash !== hash) {
    hash = location.hash;
    return;
  }
  history.pushState(null, "");
  if (opened) tap("back");
});
window.addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  install = event;
  const key = document.querySelector("[data-say=install]");
  if (key) key.hidden = false;
});

// --- the shell: a newer one is taken when nothing waits to be sent ---

let waiting = null;
async function shell() {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.addEventListener("message", (event) => {
    if (event.data?.newer && event.data.newer !== SHELL) {
      waiting = event.data.newer;
      send({ kind: "newer" });
      renewWhenSafe();
    }
    if (event.data?.using && renewing) location.reload();
    if (event.data?.sent && opened && !quiet() && document.visibilityState === "visible") send({ kind: "exchange" });
  });
  const registered = await navigator.serviceWorker.register(policy.createScriptURL("offline.js"));
  registered.update().catch(() => {});
  const active = await navigator.serviceWorker.ready;
  active.active.postMessage({ which: SHELL });
}

function renewWhenSafe() {
  if (waiting && unsent === 0 && !renewing && document.visibilityState === "visible" && place === "units") renew();
}

async function renew() {
  if (!waiting) return;
  renewing = true;
  const active = await navigator.serviceWorker.ready;
  active.active.postMessage({ use: waiting });
}

// A link to join carries its code behind the #, which never travels to a server. It may also be opened
// while the page is open already.
let code = "";
function invited() {
  const found = /^#(?:join=)?([\w-]{8,})$/.exec(location.hash)?.[1];
  if (!found || found === "outside") return;
  code = found;
  history.replaceState(null, "", location.pathname);
  hash = location.hash;
  fill();
}
function fill() {
  const line = document.querySelector("#face [name=code]");
  if (line && code && !line.value) line.value = code;
}
invited();
history.pushState(null, "");
start(false);
shell();
