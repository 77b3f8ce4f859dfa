// Holds the program and its file. One window at a time: first the lock, then the file.
// Nothing is decided here: taps, replies and bytes are carried in, pages and requests out.
import init, { Phone, take_words, early_page, hand_over_of, join_begin, join_request, join_store, typed_is_whole } from "./phone.js";

const STORE = "dripleg.store";
const MAKING = "dripleg.making";
const JOINING = "dripleg.joining";
const COPY = "dripleg.copy";
const RESCUED = "dripleg.rescued";
const TYPED = "dripleg.typed";
const RETYPED = "dripleg.retyped";
const WAITING = "waiting";
const PREPARED = "prepared";
const TAKING = "dripleg.taking";
const LOCK = "dripleg-store";
const asks = new BroadcastChannel("dripleg");
const me = Math.random().toString(36).slice(2);

let root = null;
let phone = null;
let release = null;
let language = "en";
let exchanging = false;
let bell = null;
let bellWait = 5000;
let hushed = false;

const now = () => [Date.now() / 1000, -new Date().getTimezoneOffset()];
const pairs = (form) => Object.entries(form ?? {}).flat();
const words = (wrong) => String(wrong?.message ?? wrong);

// The words of a language other than English are a file of their own, fetched when somebody reads it.
const spoken = new Set(["en"]);
async function speak(language) {
  if (spoken.has(language)) return true;
  try {
    const signal = AbortSignal.timeout(4000);
    const answer = await fetch(new URL(`./words-${language}.txt`, import.meta.url), { signal });
    if (!answer.ok) return false;
    const file = await answer.text();
    run(() => take_words(language, file));
    spoken.add(language);
    return true;
  } catch {
    return false;
  }
}

// Until the words are here the screen speaks English.
let fetching = false;
async function translate(language) {
  if (!language || fetching) return;
  fetching = true;
  const got = await speak(language);
  fetching = false;
  if (got) show();
}

function early(stage, wrong = "", code = "", name = "") {
  postMessage({ page: early_page(stage, language, code, name, wrong), effects: [] });
}

// The page as it is now. `answers` says that it is the answer to a tap.
function show(answers = false) {
  if (!phone) return;
  const page = run(() => phone.page());
  if (page === undefined) return;
  // How much waits goes with every page: a newer program is never taken over unsent work.
  postMessage({ page, effects: phone.effects(), answers, unsent: run(() => phone.unsent()) });
  translate(run(() => phone?.lacks_words()));
}

// Runs something of the program. A trap leaves its memory in pieces: the window starts it anew.
function run(act) {
  try {
    return act();
  } catch (wrong) {
    if (wrong instanceof WebAssembly.RuntimeError) {
      phone = null;
      postMessage({ trapped: words(wrong) });
      return undefined;
    }
    throw wrong;
  }
}

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

async function fileHandle(name, create) {
  try {
    return await root.getFileHandle(name, { create });
  } catch (wrong) {
    if (wrong.name === "NotFoundError") return null;
    throw wrong;
  }
}

// A handle may still be closing in the window that let go: a bounded number of tries.
async function handleOf(file) {
  for (let tries = 0; ; tries += 1) {
    try {
      return await file.createSyncAccessHandle();
    } catch (wrong) {
      if (wrong.name !== "NoModificationAllowedError" || tries >= 40) throw wrong;
      await pause(50);
    }
  }
}

async function readAll(name) {
  const file = await fileHandle(name, false);
  if (!file) return null;
  const bytes = new Uint8Array(await (await file.getFile()).arrayBuffer());
  return bytes.length ? bytes : null;
}

async function writeAll(folder, name, bytes) {
  const file = await folder.getFileHandle(name, { create: true });
  const handle = await handleOf(file);
  try {
    handle.truncate(0);
    let done = 0;
    while (done < bytes.length) {
      const wrote = handle.write(bytes.subarray(done), { at: done });
      if (!wrote) throw new DOMException("no room", "QuotaExceededError");
      done += wrote;
    }
    handle.flush();
  } finally {
    handle.close();
  }
}

async function remove(name) {
  try {
    await root.removeEntry(name);
  } catch (wrong) {
    if (wrong.name !== "NotFoundError") throw wrong;
  }
}

// Gives a finished file its name. Renaming is one step; where there is none, a copy under the old name
// stays until the new one is whole.
async function rename(from, to) {
  const file = await root.getFileHandle(from);
  if (file.move) {
    await file.move(to);
    return;
  }
  await writeAll(root, to, new Uint8Array(await (await file.getFile()).arrayBuffer()));
  await remove(from);
}

// The lock, held until the page lets go or another window asks.
function own() {
  return new Promise((got, failed) => {
    const signal = AbortSignal.timeout(8000);
    navigator.locks
      .request(LOCK, { signal }, () => {
        got();
        return new Promise((done) => (release = done));
      })
      .catch(failed);
    asks.postMessage({ ask: me });
  });
}

asks.onmessage = (event) => {
  if (event.data?.ask && event.data.ask !== me && release) {
    letGo();
    early("elsewhere");
  }
};

function letGo() {
  bell?.abort();
  bell = null;
  if (phone) {
    const closing = phone;
    phone = null;
    try {
      closing.close();
    } catch (wrong) {
      console.error(words(wrong));
    }
  }
  release?.();
  release = null;
}

async function open({ check }) {
  try {
    root = await navigator.storage.getDirectory();
    await own();
  } catch (wrong) {
    if (wrong.name === "TimeoutError" || wrong.name === "AbortError") early("elsewhere");
    else early("nostorage");
    return;
  }
  const file = await fileHandle(STORE, false);
  if (!file) {
    const kept = await readAll(JOINING);
    if (kept) await join(kept);
    else early("join");
    return;
  }
  await openStore(file, check);
}

async function openStore(file, check) {
  let handle;
  try {
    handle = await handleOf(file);
  } catch {
    early("nostorage");
    return;
  }
  try {
    phone = run(() => Phone.open(handle, check, ...now()));
  } catch (wrong) {
    handle.close();
    early("damaged", words(wrong).replace(/^\w+ /, ""));
    return;
  }
  if (!phone) return;
  postMessage({ opened: true });
  if (await fileHandle(TAKING, false)) {
    phone.say("The program stopped while it took in what the hub sent. What was saved is safe. Exchange by hand to try it again.");
    show();
    return;
  }
  show();
  exchange();
}

// What only this phone has is copied beside the store, into two files in turn: one of them is always whole.
let copied = null;
let side = 0;
async function copy() {
  if (!phone || phone.changed() === copied) return;
  const now = phone.changed();
  const bytes = run(() => phone.rescue());
  if (!bytes) return;
  if (bytes.length) {
    side = 1 - side;
    await writeAll(root, `${COPY}.${side}`, bytes);
  } else {
    await remove(`${COPY}.0`);
    await remove(`${COPY}.1`);
  }
  copied = now;
}

// What is typed and not entered is copied likewise, after every key: it is small.
let typed = null;
let typedSide = 0;
async function copyTyped() {
  if (!phone || phone.typed_changed() === typed) return;
  const now = phone.typed_changed();
  const bytes = run(() => phone.typed_copy());
  if (!bytes) return;
  typedSide = 1 - typedSide;
  await writeAll(root, `${TYPED}.${typedSide}`, bytes);
  typed = now;
}

// The files of a copy, the newest first.
async function newestFirst(name) {
  const files = [];
  for (const own of [0, 1]) {
    const file = await fileHandle(`${name}.${own}`, false);
    if (file) files.push(await file.getFile());
  }
  return files.sort((one, other) => other.lastModified - one.lastModified);
}

// The hand-over file of the newest copy that is whole; null when there is none.
async function outOfCopies() {
  for (const file of await newestFirst(COPY)) {
    try {
      const bytes = new Uint8Array(await file.arrayBuffer());
      return run(() => hand_over_of(bytes));
    } catch (wrong) {
      console.error(words(wrong));
    }
  }
  return null;
}

// What was rescued out of a damaged store is taken in as from another phone, once its buildings are here.
async function bringBack() {
  const keys = await readAll(RETYPED);
  if (keys && phone) {
    run(() => phone.take_typed(keys));
    await remove(RETYPED);
  }
  const bytes = await readAll(RESCUED);
  if (!bytes || !phone) return false;
  if (!run(() => phone.take_in(bytes, ...now()))) return false;
  await remove(RESCUED);
  return true;
}

// A failed write (no room, a broken disk) leaves the store as it was and unwilling: it is opened again, with
// what was typed. Where that fails too, what was typed waits in memory for "Start again".
let left = null;
async function again() {
  left ??= run(() => phone.leave());
  phone = null;
  try {
    const handle = await handleOf(await root.getFileHandle(STORE));
    try {
      phone = run(() => Phone.again(handle, left, ...now()));
    } catch (wrong) {
      handle.close();
      throw wrong;
    }
    left = null;
    show();
  } catch (wrong) {
    early("stopped", words(wrong).replace(/^\w+ /, ""));
  }
}

// Joining: the key is kept before it is sent, the store gets its name when it is whole.
async function join(kept) {
  let reply;
  try {
    const answer = await post("/enrol/1", run(() => join_request(kept)));
    if (!answer.ok) {
      await remove(JOINING);
      early("join", (await answer.text()).trim() || String(answer.status));
      return;
    }
    reply = new Uint8Array(await answer.arrayBuffer());
  } catch {
    early("join", "no signal; the code is kept and tried again when this page is opened");
    return;
  }
  const file = await root.getFileHandle(MAKING, { create: true });
  const handle = await handleOf(file);
  try {
    run(() => join_store(handle, kept, reply));
  } catch (wrong) {
    handle.close();
    await remove(JOINING);
    early("join", words(wrong).replace(/^\w+ /, ""));
    return;
  }
  await rename(MAKING, STORE);
  await remove(JOINING);
  postMessage({ joined: true });
  await openStore(await root.getFileHandle(STORE), false);
}

// The exchange that is under way ends when the radio has to be still.
let talking = new AbortController();
function post(path, body, signal = AbortSignal.any([talking.signal, AbortSignal.timeout(60000)])) {
  const headers = { "content-type": "application/octet-stream" };
  return fetch(path, { method: "POST", body, headers, signal, credentials: "omit", cache: "no-store" });
}

async function exchange() {
  if (!phone || exchanging || hushed) return;
  exchanging = true;
  let more = false;
  try {
    for (;;) {
      const request = run(() => phone.exchange_request(...now()));
      if (!request) return;
      show();
      const answer = await post("/exchange/1", request);
      if (!phone) return;
      if (!answer.ok) {
        phone.exchange_failed((await answer.text()).trim().slice(0, 300) || `status ${answer.status}`);
        break;
      }
      const bytes = new Uint8Array(await answer.arrayBuffer());
      if (!phone) return;
      // A reply that stops the program is not asked for again by itself.
      await writeAll(root, TAKING, new Uint8Array([1]));
      if (!phone) return;
      const again = run(() => phone.exchange_reply(bytes, ...now()));
      if (!phone) return;
      await remove(TAKING);
      if (!again) break;
    }
    listen();
    if (run(() => phone.unsent()) === 0) await forget();
    if (await bringBack()) more = true;
  } catch (wrong) {
    const signal = wrong instanceof TypeError || ["TimeoutError", "AbortError"].includes(wrong.name);
    phone?.exchange_failed(signal ? "no signal" : words(wrong));
    if (signal) await prepare().catch((wrong) => console.error(words(wrong)));
  } finally {
    exchanging = false;
    show();
    queue = queue.then(copy).catch((wrong) => console.error(words(wrong)));
  }
  if (more) await exchange();
  else photos();
}

// What waits, as a request that the service worker sends when a signal comes back though the app is closed. It
// cannot read the store, so the request lies where it finds it. Nothing here says that it has arrived: the next
// exchange does.
async function prepare() {
  if (!phone || hushed) return;
  const request = run(() => phone.prepared_request(...now()));
  if (!request) return;
  if (!request.length) return forget();
  const shelf = await caches.open(WAITING);
  await shelf.put(PREPARED, new Response(request));
  postMessage({ waits: true });
}

async function forget() {
  const shelf = await caches.open(WAITING);
  await shelf.delete(PREPARED);
}

// The bell: a signed request whose answer stays open and says when a site has news.
async function listen() {
  if (bell || !phone || hushed) return;
  const own = new AbortController();
  bell = own;
  try {
    const request = run(() => phone.bell_request(...now()));
    if (!request) return;
    const answer = await post("/bell/1", request, own.signal);
    if (!answer.ok || !answer.body) return;
    const reader = answer.body.pipeThrough(new TextDecoderStream()).getReader();
    let rest = "";
    for (;;) {
      const { value, done } = await reader.read();
      if (done) break;
      bellWait = 5000;
      const lines = (rest + value).split("\n");
      rest = lines.pop();
      if (lines.some((line) => line.trim() === "event: ring" || line.trim() === "event:ring")) exchange();
    }
  } catch {
    // No signal: it is hung again after the next exchange or the wait.
  } finally {
    if (bell === own) bell = null;
  }
  bellWait = Math.min(bellWait * 2, 300000);
  setTimeout(() => navigator.onLine && listen(), bellWait);
}

async function photo({ picture, thumb, subject }) {
  const bytes = new Uint8Array(picture);
  const name = run(() => phone.photo_name(bytes));
  const small = new Uint8Array(thumb ?? []);
  const folder = await root.getDirectoryHandle("photos", { create: true });
  try {
    await writeAll(folder, `${name}.jpg`, bytes);
    if (small.length) await writeAll(folder, `${run(() => phone.photo_name(small))}.jpg`, small);
    run(() => phone.photo_taken(bytes, small, subject, ...now()));
  } catch (wrong) {
    phone?.say(`The photo was not kept: ${words(wrong)}`);
  }
  show();
}

async function fileIn(folder, name) {
  try {
    return await (await folder.getFileHandle(name)).getFile();
  } catch (wrong) {
    if (wrong.name === "NotFoundError") return null;
    throw wrong;
  }
}

async function writeAt(folder, name, at, bytes) {
  const handle = await handleOf(await folder.getFileHandle(name, { create: true }));
  try {
    handle.truncate(at);
    if (handle.write(bytes, { at }) !== bytes.length) throw new DOMException("no room", "QuotaExceededError");
    handle.flush();
  } finally {
    handle.close();
  }
}

// Pictures to the hub and from it, piece by piece, small ones first. A cut link costs one piece.
let carrying = false;
async function photos() {
  if (!phone || carrying || exchanging || hushed) return;
  carrying = true;
  try {
    run(() => phone.photos_begin());
    for (;;) {
      const next = run(() => phone?.photo_next());
      if (!next || exchanging) break;
      const folder = await root.getDirectoryHandle("photos", { create: true });
      if (!(await onePiece(folder, ...next.split(" ")))) break;
      for (const lost of run(() => phone?.photos_looked_for()) ?? []) {
        const file = await fileIn(folder, `${lost.file()}.jpg`);
        if (file) run(() => phone?.photo_found(lost, file.size));
      }
    }
  } catch (wrong) {
    // No signal, or no room: tried again after the next exchange.
    console.info(words(wrong));
  } finally {
    carrying = false;
    show();
  }
}

async function onePiece(folder, way, name, at, most) {
  let piece = new Uint8Array();
  let size = 0;
  if (way === "up") {
    const file = await fileIn(folder, `${name}.jpg`);
    if (!file) {
      run(() => phone?.photo_lost());
      return true;
    }
    size = file.size;
    piece = new Uint8Array(await file.slice(Number(at), Number(at) + Number(most)).arrayBuffer());
  } else if (at === "0") {
    const begun = await fileIn(folder, `${name}.begun`);
    if (begun?.size) run(() => phone?.photo_begun(begun.size));
  }
  const request = run(() => phone?.photo_request(piece, size, ...now()));
  if (!request?.length) return false;
  const answer = await post("/photo/1", request);
  if (!answer.ok || !phone) return false;
  const bytes = new Uint8Array(await answer.arrayBuffer());
  const came = run(() => phone?.photo_reply(bytes));
  if (!came) return Boolean(phone);
  await writeAt(folder, `${name}.begun`, came.at(), came.bytes());
  if (!came.last()) return true;
  const whole = new Uint8Array(await (await fileIn(folder, `${name}.begun`)).arrayBuffer());
  if (run(() => phone?.photo_name(whole)) === name) {
    await writeAll(folder, `${name}.jpg`, whole);
    await folder.removeEntry(`${name}.begun`);
    run(() => phone?.photo_over());
    show();
  } else {
    await folder.removeEntry(`${name}.begun`);
    run(() => phone?.photo_bent());
  }
  return true;
}

async function handle(message) {
  switch (message.kind) {
    case "open":
      language = message.language || "en";
      if (["fr", "es"].includes(language)) await speak(language);
      if (left) await again();
      else await open(message);
      break;
    case "stopped":
      language = message.language || "en";
      early("stopped", message.words);
      break;
    case "tap":
      if (!phone) break;
      run(() => phone.tap(message.tap, pairs(message.form), ...now()));
      show(true);
      break;
    case "typed":
      run(() => phone?.typed(pairs(message.form)));
      if (message.live) show(true);
      break;
    case "exchange":
      hushed = false;
      // Not waited for: with half a signal it may take a minute, and the work goes on meanwhile.
      exchange();
      break;
    case "photo":
      if (phone) await photo(message);
      break;
    case "photos":
      photos();
      break;
    case "taken":
      run(() => phone?.take_in(new Uint8Array(message.bytes), ...now()));
      show();
      break;
    case "file":
      postMessage({ file: run(() => phone?.file()), name: message.name });
      break;
    case "say":
      run(() => phone?.say(message.words));
      show();
      break;
    case "newer":
      run(() => phone?.newer_waits());
      break;
    case "join": {
      const kept = run(() => join_begin(message.code, message.name, message.address));
      await writeAll(root, JOINING, kept);
      await join(kept);
      break;
    }
    case "mend":
      await mend();
      break;
    case "rescue": {
      const bytes = await outOfCopies();
      if (bytes) postMessage({ file: bytes, name: `hand-over-${new Date().toISOString().slice(0, 10)}.dripleg` });
      else early("damaged", "nothing is waiting to be sent in the copy");
      break;
    }
    case "leave":
      if (!exchanging) await prepare();
      break;
    case "close":
      letGo();
      postMessage({ closed: true });
      break;
  }
}

// A damaged store is kept under another name. What only it had comes out of the copy beside it and waits for
// the store that joining makes.
async function mend() {
  const bytes = await outOfCopies();
  if (bytes) await writeAll(root, RESCUED, bytes);
  for (const file of await newestFirst(TYPED)) {
    const keys = new Uint8Array(await file.arrayBuffer());
    if (!run(() => typed_is_whole(keys))) continue;
    await writeAll(root, RETYPED, keys);
    break;
  }
  await rename(STORE, `damaged-${Date.now()}.store`);
  await remove(`${COPY}.0`);
  await remove(`${COPY}.1`);
  early("join", bytes ? "what only this phone had is kept and comes back; join again with a new code" : "the damaged file is kept; join again with a new code");
}

let queue = init({ module_or_path: new URL("./phone.wasm", import.meta.url) });
function hush() {
  hushed = true;
  talking.abort();
  talking = new AbortController();
  bell?.abort();
  bell = null;
  // Nor does anything go out by itself later.
  forget().catch((wrong) => console.error(words(wrong)));
}

onmessage = (event) => {
  // The radio is still at once, whatever is under way.
  if (event.data.kind === "hush") return hush();
  queue = queue
    .then(() => handle(event.data))
    .then(() => (phone?.stuck() ? again() : undefined))
    .then(copyTyped)
    .then(copy)
    .catch((wrong) => {
      console.error(words(wrong));
      postMessage({ failed: words(wrong) });
    });
};
