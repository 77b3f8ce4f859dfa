// Two phones at one building: each without a network, then everything once.
import { mkdtemp, readdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { begin, exchange, round } from "./hands.mjs";
import { PATIENCE, Phone, check, pause } from "./kit.mjs";

async function pair(hub, phones) {
  const [ilse, dov] = [await Phone.fresh(hub), await Phone.fresh(hub)];
  phones.push(ilse, dov);
  await ilse.join("Ilse");
  await dov.join("Dov");
  await hub.tell("stop");
  await ilse.today();
  await dov.today();
  return [ilse, dov];
}

// One figure of the found block, and back to the list.
async function manifold(phone, digits) {
  await phone.unit("UH-06");
  await begin(phone, "Take FOUND");
  for (const own of ["0", "701", digits]) {
    await phone.digits(own);
    await phone.tap("next");
  }
  await phone.at("stop");
  await phone.home();
}

export async function contradiction_settled_and_signed(hub, phones) {
  const [ilse, dov] = await pair(hub, phones);
  await manifold(ilse, "320");
  await manifold(dov, "351");
  await hub.tell("start");
  await exchange(ilse);
  await exchange(dov);
  await exchange(ilse);
  for (const phone of [ilse, dov]) {
    await phone.unit("UH-06");
    await phone.sees("Two answers");
    await phone.sees("3.20 in w.c.");
    await phone.sees("3.51 in w.c.");
  }
  await ilse.tap("go two");
  await ilse.at("two");
  await ilse.tap("settle");
  await ilse.sees("A reason is needed");
  await ilse.type("settle", "read again together, hose was kinked");
  await ilse.tap("settle");
  await ilse.sees("Nothing here has two answers");
  await ilse.home();
  await exchange(ilse);
  await dov.home();
  await exchange(dov);
  await dov.unit("UH-06");
  check(!(await dov.has("Two answers")), "the settlement did not arrive");
  await dov.home();
  // The visit is not signed while something blocks it; each blocker leads to its unit.
  await dov.tap("go sign");
  await dov.at("sign");
  await dov.sees("UH-06: a gas test port was opened");
  check(!(await dov.has("Sign as")), "it can be signed although something blocks it");
  await dov.click(".said");
  await dov.at("unit");
  await dov.press("More");
  await dov.press("Checks");
  await dov.at("checks");
  await dov.click('[aria-label="Test ports closed"] [data-tap$="pass"]');
  await dov.sees("pass");
  await dov.home();
  await dov.tap("go sign");
  await dov.sees("Nothing blocks the signature");
  await dov.tap("signit");
  await dov.sees("Signed by Dov");
  await dov.tap("home");
  await exchange(dov);
  await exchange(ilse);
  await ilse.tap("go sign");
  await ilse.sees("Signed by Dov");
}

export async function hand_over_without_the_hub(hub, phones) {
  const [ilse, dov] = await pair(hub, phones);
  const folder = await mkdtemp(join(tmpdir(), "dripleg-hand-"));
  try {
    await ilse.unit("UH-06");
    await begin(ilse, "Take FOUND");
    await round(ilse, { "Manifold, high fire": "333" });
    await ilse.home();
    await ilse.tap("go exchange");
    await ilse.tap("go hand");
    const session = await ilse.browser.target().createCDPSession();
    await session.send("Browser.setDownloadBehavior", { behavior: "allow", downloadPath: folder });
    await ilse.tap("export");
    let files = [];
    for (let n = 0; n < 50 && !files.some((name) => name.endsWith(".dripleg")); n += 1) {
      await pause(100);
      files = await readdir(folder);
    }
    const file = files.find((name) => name.endsWith(".dripleg"));
    check(file, `no hand-over file was written: ${files}`);
    await dov.tap("go exchange");
    await dov.tap("go hand");
    const [chooser] = await Promise.all([dov.page.waitForFileChooser({ timeout: PATIENCE }), dov.tap("takein")]);
    await chooser.accept([join(folder, file)]);
    await dov.sees("entries taken in");
    await dov.home();
    await dov.unit("UH-06");
    await dov.sees("11 figures");
    await dov.press("Go on");
    await dov.sees("3.33 in w.c.");
    await dov.home();
    // Dov reaches the hub first and brings Ilse's work; her phone learns that it is there.
    await hub.tell("start");
    await exchange(dov);
    await dov.sees("Nothing waits on this phone");
    await ilse.home();
    await exchange(ilse);
    await ilse.sees("Nothing waits on this phone");
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

// Half a signal: the hub's machine takes the connection and says nothing.
export async function the_work_goes_on_while_an_exchange_hangs(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await phone.unit("UH-04");
  await begin(phone, "Take FOUND");
  await phone.digits("0");
  await phone.tap("next");
  await phone.home();
  await phone.tap("go exchange");
  process.kill(hub.process.pid, "SIGSTOP");
  try {
    const start = Date.now();
    await phone.tap("sync");
    await phone.sees("You can go on working");
    await phone.tap("home");
    await phone.unit("UH-04");
    await phone.press("Go on");
    await phone.at("stop");
    await phone.sees("Inlet, firing");
    const took = (Date.now() - start) / 1000;
    check(took < 30, `the screens waited ${took} s for the exchange`);
  } finally {
    process.kill(hub.process.pid, "SIGCONT");
  }
  await phone.home();
  await phone.settled();
  await phone.sees("Nothing waits on this phone");
}
