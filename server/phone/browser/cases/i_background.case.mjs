// What waits is sent by the service worker when a signal comes back, with the app closed; and nothing says that
// it is on the hub before the app has heard it from there.
import { begin } from "./hands.mjs";
import { Phone, check, pause } from "./kit.mjs";

const prepared = (phone) =>
  phone.page.evaluate(async () => {
    const kept = await (await caches.open("waiting")).match("/phone/prepared");
    return kept ? (await kept.arrayBuffer()).byteLength : 0;
  });

// Lets the browser's own "the signal is back" happen.
async function signal(phone) {
  const session = await phone.page.createCDPSession();
  const found = new Promise((done) => {
    session.on("ServiceWorker.workerRegistrationUpdated", ({ registrations }) => {
      const own = registrations.find((one) => one.scopeURL.endsWith("/phone/") && !one.isDeleted);
      if (own) done(own.registrationId);
    });
  });
  await session.send("ServiceWorker.enable");
  const registrationId = await found;
  await session.send("ServiceWorker.dispatchSyncEvent", { origin: phone.hub.url, registrationId, tag: "send", lastChance: false });
}

// Waits until nothing is prepared any more.
async function sent(phone) {
  for (let n = 0; n < 60; n += 1) {
    if (!(await prepared(phone))) return;
    await pause(250);
  }
  throw new Error("the service worker did not send what waited");
}

export async function what_waits_is_sent_while_the_app_is_closed(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  check((await prepared(phone)) === 0, "something is prepared although nothing waits");
  // The hub stands still: the phone hears nothing, and no line breaks that it would notice.
  hub.process.kill("SIGSTOP");
  await phone.unit("UH-01");
  await begin(phone, "Take FOUND");
  await phone.digits("0");
  await phone.tap("next");
  await phone.page.evaluate(() => send({ kind: "leave" }));
  for (let n = 0; n < 40 && !(await prepared(phone)); n += 1) await pause(100);
  check((await prepared(phone)) > 100, `nothing is prepared for the service worker: ${await phone.text()}`);
  // The app is closed, and then the signal comes back.
  await phone.page.goto("about:blank");
  hub.process.kill("SIGCONT");
  await signal(phone);
  await phone.page.goto(`${hub.url}/healthz`);
  await sent(phone);
  // It is on the hub: the other phone has it from there.
  const other = await Phone.fresh(hub);
  phones.push(other);
  await other.join("Dov");
  await other.today();
  await other.unit("UH-01");
  await other.sees("1 figure");
  // The first phone has not heard so yet, and says that it has not.
  await hub.tell("stop");
  await phone.open();
  await phone.sees("1 entry only on this phone");
  await hub.tell("start");
  await phone.home();
  await phone.tap("go exchange");
  await phone.tap("sync");
  await phone.sees("Nothing waits on this phone");
  check((await prepared(phone)) === 0, "a request is still prepared");
}

// At a gas smell nothing goes out by itself, now or later.
export async function a_gas_smell_takes_back_what_was_prepared(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await hub.tell("stop");
  await phone.unit("UH-01");
  await begin(phone, "Take FOUND");
  await phone.digits("0");
  await phone.tap("next");
  await phone.page.evaluate(() => send({ kind: "leave" }));
  for (let n = 0; n < 40 && !(await prepared(phone)); n += 1) await pause(100);
  check((await prepared(phone)) > 0, "nothing is prepared");
  await phone.page.evaluate(() => (location.hash = "#gas"));
  for (let n = 0; n < 40 && (await prepared(phone)); n += 1) await pause(100);
  check((await prepared(phone)) === 0, "what was prepared would still be sent");
}
