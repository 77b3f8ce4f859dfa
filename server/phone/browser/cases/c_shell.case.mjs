// What the browser does to a program: tabs, updates, a full disk, a damaged file, a program that dies.
import { cp, mkdtemp, readFile, readdir, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { begin, round } from "./hands.mjs";
import { Phone, check, pause } from "./kit.mjs";

async function one(hub, phones, who = "Ilse") {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join(who);
  await phone.today();
  return phone;
}

export async function two_tabs(hub, phones) {
  const phone = await one(hub, phones);
  const first = phone.page;
  await phone.unit("UH-01");
  await phone.use(await phone.browser.newPage());
  await phone.open();
  await phone.at("unit");
  await first.waitForFunction(() => document.querySelector("main").dataset.place === "elsewhere");
  await begin(phone, "Take FOUND");
  await phone.digits("7");
  // The first takes it back, with what the second typed.
  phone.page = first;
  await first.bringToFront();
  await phone.click("[data-say=take]");
  await phone.at("stop");
  await phone.sees("7");
}

// The same files under another version, as an update of the hub would hand them out.
async function newer(words) {
  const from = process.env.DRIPLEG_BUNDLE;
  const folder = await mkdtemp(join(tmpdir(), "dripleg-newer-"));
  await cp(from, folder, { recursive: true });
  const now = /VERSION = "(\w+)"/.exec(await readFile(join(folder, "offline.js"), "utf8"))[1];
  for (const name of await readdir(folder)) {
    if (/\.(br|gz)$/.test(name)) await rm(join(folder, name));
    else if (/\.(js|html)$/.test(name)) {
      const text = await readFile(join(folder, name), "utf8");
      await writeFile(join(folder, name), text.replaceAll(now, words));
    }
  }
  return folder;
}

export async function an_update_waits_for_unsent_work(hub, phones) {
  const phone = await one(hub, phones);
  await phone.unit("UH-01");
  await phone.press("Take FOUND");
  await phone.press("So it is");
  await phone.digits("0");
  await hub.tell("stop");
  await phone.tap("next");
  const folder = await newer("0123456789ab");
  try {
    const version = () => phone.page.evaluate(() => SHELL);
    const old = await version();
    await hub.tell(`phone ${folder}`);
    // The hub is there again, but this phone does not exchange: the bell is not hung yet.
    await phone.page.evaluate(() => navigator.serviceWorker.getRegistration().then((own) => own.update()));
    await pause(1500);
    check((await version()) === old, "the new program was taken over unsent work");
    await phone.sees("0");
    // After the exchange nothing waits any more: on the list the new one is taken.
    await phone.home();
    await phone.tap("go exchange");
    await phone.tap("sync");
    await phone.sees("Nothing waits on this phone");
    // The page may be renewed in the middle of this tap: nothing of it is waited for.
    await phone.page.evaluate(() => document.querySelector('#face [data-tap="home"]').click());
    await phone.page.waitForFunction(() => typeof SHELL !== "undefined" && SHELL === "0123456789ab");
    await phone.at("units");
    await hub.tell("stop");
    await phone.open();
    await phone.at("units");
    check((await version()) === "0123456789ab", "the old program came back");
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

export async function a_full_phone_keeps_what_is_typed(hub, phones) {
  const phone = await one(hub, phones);
  await hub.tell("stop");
  await phone.unit("UH-01");
  await phone.back();
  const session = await phone.page.createCDPSession();
  const { usage } = await phone.page.evaluate(() => navigator.storage.estimate());
  await session.send("Storage.overrideQuotaForOrigin", { origin: hub.url, quotaSize: usage });
  await phone.unit("UH-01");
  await phone.press("More");
  await phone.press("Note");
  let full = false;
  for (let n = 0; n < 200 && !full; n += 1) {
    // Words that do not repeat, so that they do not pack either.
    const long = Array.from({ length: 1000 }, () => Math.random().toString(36).slice(2, 8)).join(" ");
    await phone.page.evaluate((text) => (document.querySelector("#face [name=note]").value = text), long);
    await phone.tap("putnote");
    full = await phone.has("The phone is full");
  }
  check(full, "200 long notes fit into no room at all");
  const kept = await phone.page.evaluate(() => document.querySelector("#face [name=note]").value.length);
  check(kept > 6000, `the note that was not saved is gone: ${kept} letters are left`);
  await session.send("Storage.overrideQuotaForOrigin", { origin: hub.url });
  await phone.tap("putnote");
  await phone.page.waitForFunction(() => document.querySelector("#face [name=note]").value === "");
  await phone.open();
  await phone.at("notes");
}

// Bytes of the store as the browser keeps them, changed while nobody has it open.
async function tamper(phone, change) {
  await phone.browser.close();
  await phone.launch();
  await phone.page.goto(`${phone.hub.url}/healthz`);
  await phone.page.evaluate(async (how) => {
    const root = await navigator.storage.getDirectory();
    const file = await root.getFileHandle("dripleg.store");
    const bytes = new Uint8Array(await (await file.getFile()).arrayBuffer());
    const bent = how === "cut" ? bytes.slice(0, bytes.length / 2) : bytes;
    if (how === "flip") for (let at = 4096; at < bent.length; at += 997) bent[at] ^= 0x55;
    const out = await file.createWritable();
    await out.write(bent);
    await out.close();
  }, change);
}

export async function a_damaged_file_is_seen_and_loses_no_unsent_work(hub, phones) {
  for (const [how, unit] of [["cut", "UH-01"], ["flip", "UH-02"]]) {
    const phone = await one(hub, phones);
    await hub.tell("stop");
    await phone.unit(unit);
    await begin(phone, "Take FOUND");
    await round(phone);
    await phone.home();
    await hub.tell("start");
    await tamper(phone, how);
    await phone.open();
    await phone.at("damaged");
    await phone.click("[data-say=mend]");
    await phone.at("join");
    const kept = await phone.page.evaluate(async () => {
      const root = await navigator.storage.getDirectory();
      const names = [];
      for await (const name of root.keys()) names.push(name);
      return names;
    });
    check(kept.some((name) => name.startsWith("damaged-")), `the damaged file is gone: ${kept}`);
    await phone.join("Ilse");
    await phone.today();
    await phone.sees("Nothing waits on this phone");
    await phone.unit(unit);
    await phone.sees("11 figures");
    // And it is on the hub: another phone gets it from there.
    const other = await one(hub, phones, "Dov");
    await other.unit(unit);
    await other.sees("11 figures");
  }
}

export async function a_damaged_file_loses_no_key_that_was_typed(hub, phones) {
  const phone = await one(hub, phones);
  await phone.unit("UH-03");
  await begin(phone, "Take FOUND");
  await phone.digits("12");
  await pause(300);
  await tamper(phone, "cut");
  await phone.open();
  await phone.at("damaged");
  await phone.click("[data-say=mend]");
  await phone.at("join");
  await phone.join("Ilse");
  await phone.today();
  await phone.unit("UH-03");
  await begin(phone, "Take FOUND");
  await phone.sees("12");
}

// Digits are durable one by one: whatever the screen showed before the program died is there again.
export async function killed_again_and_again(hub, phones) {
  const rounds = Number(process.env.DRIPLEG_KILLS ?? 15);
  const phone = await one(hub, phones);
  await hub.tell("stop");
  const units = ["UH-01", "UH-02", "UH-03", "UH-04", "UH-05", "UH-06", "UH-07"];
  await phone.unit(units.shift());
  await begin(phone, "Take FOUND");
  let entered = 0;
  for (let n = 0; n < rounds; n += 1) {
    // From the block to the next pad, from the last figure to the next unit.
    while (!(await phone.page.$('#face [data-tap="digit 1"]'))) {
      if ((await phone.place()).startsWith("entered")) {
        await phone.home();
        await phone.unit(units.shift());
        await begin(phone, "Take FOUND");
      } else await phone.tap("next");
    }
    const digit = String(1 + (n % 9));
    await phone.tap(`digit ${digit}`);
    if (n % 3 === 2) {
      await phone.tap("next");
      if (await phone.has("You entered")) await phone.tap("again");
      if (await phone.has("Type it again")) await phone.tap("soitis");
      entered += 1;
    }
    const where = (await phone.place()).split(" ")[0];
    const before = (await phone.text()).split("\n").filter((line) => !/min$|^\d+:\d\d/.test(line));
    await phone.kill();
    await phone.launch();
    await phone.open();
    await phone.at(where);
    const after = (await phone.text()).split("\n").filter((line) => !/min$|^\d+:\d\d/.test(line));
    check(before.join("|") === after.join("|"), `round ${n}: before ${before.join("|")} after ${after.join("|")}`);
  }
  console.log(`browser: killed ${rounds} times, ${entered} entries, nothing lost`);
}
