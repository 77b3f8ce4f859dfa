// Taps and times on the screens, printed: no case fails because a machine is slow.
import { readdir, readFile } from "node:fs/promises";
import { begin_search, keys, shows, tables } from "./faults.mjs";
import { begin, round } from "./hands.mjs";
import { Hub, Phone, pause } from "./kit.mjs";

const SLOWER = 4;
const VISITS = Number(process.env.DRIPLEG_VISITS ?? 10000);
const at = (all, share) => [...all].sort((one, other) => one - other)[Math.min(all.length - 1, Math.floor(all.length * share))];
const line = (name, value) => console.log(`${name.padEnd(64)} ${value}`);
const ms = (value) => `${value.toFixed(0)} ms`;

// Milliseconds from a tap to the frame that shows its answer.
async function timed(phone, tap) {
  await phone.page.evaluate(() => performance.clearMarks());
  await phone.tap(tap);
  return phone.page.evaluate(
    () =>
      new Promise((done) => {
        requestAnimationFrame(() => {
          const at = (name) => performance.getEntriesByName(name).at(-1)?.startTime ?? 0;
          done([performance.now() - at("tapped"), at("answered") - at("tapped")]);
        });
      }),
  );
}

// Plays one visit of the scenario with the keys of the screens; taps and texts of each unit, then of the rest.
// Two people did it: here all of it goes through one phone.
async function visit(phone, scenario, id) {
  const of = (list, no) => scenario[list].filter((one) => one.visit === id && one.appliance === no);
  const units = [...new Set(scenario.checks.filter((one) => one.visit === id).map((one) => one.appliance))];
  const counted = [];
  let texts = 0;
  const type = async (name, text) => {
    texts += 1;
    await phone.type(name, text);
  };
  // The unit that was shut down then has been replaced since: its successor stands in for it.
  const today = await phone.page.evaluate(() => [...document.querySelectorAll("#face .tile .n")].map((own) => own.innerText));
  for (const no of units) {
    const [before, written] = [phone.taps, texts];
    await phone.unit(today.includes(`${no}B`) ? `${no}B` : no);
    await begin(phone, "Take FOUND");
    await round(phone);
    const advised = of("advisories", no).some((one) => one.severity === "shut_down");
    for (const finding of of("findings", no)) {
      if (!(await phone.place()).startsWith("found")) await phone.tap("go found");
      await phone.click(`[data-tap^="cause "][data-tap$=" ${finding.cause}"]`);
      await phone.tap("foundit");
      await phone.at("work");
      await phone.back();
    }
    if (!advised) {
      for (const action of of("actions", no)) {
        if (!(await phone.place()).startsWith("work")) {
          if (!(await phone.place()).startsWith("found")) await phone.tap("go found");
          await phone.tap("go work");
        }
        await phone.tap(`kind ${action.kind}`);
        await phone.tap("touch ");
        await phone.tap("didit");
        await phone.at("unit");
      }
      await begin(phone, "Take LEFT");
      await round(phone);
      await phone.tap("go checks");
    } else {
      await toUnit(phone);
      await phone.tap("go shutdown");
      await type("reason", "exchanger open, CO in the room");
      await phone.tap("isolate gas_cock_closed");
      await phone.tap("isolate disconnect_locked");
      await type("lock", "14");
      await type("told", "customer contact");
      await phone.tap("putshutdown");
      await phone.at("told");
      await type("told", "customer contact");
      await phone.tap("choose decision accepted");
      await phone.tap("puttold");
      await phone.at("unit");
      await phone.tap("go more");
      await phone.tap("go checks");
    }
    for (const check of of("checks", no)) {
      const key = `[data-tap^="check "][data-tap$=" ${check.item} ${check.result}"]`;
      if (await phone.page.$(`#face ${key}`)) await phone.click(key);
    }
    await phone.tap("done");
    await phone.at("units");
    counted.push([no, phone.taps - before, texts - written]);
  }
  const [before, written] = [phone.taps, texts];
  await phone.tap("go sign");
  await phone.tap("go hours");
  for (const _ of scenario.labour.filter((one) => one.visit === id)) await phone.tap("labour ");
  await phone.home();
  counted.push(["hours and the way to the signature", phone.taps - before, texts - written]);
  return counted;
}

// Back to the unit's own screen, as hands go there.
async function toUnit(phone) {
  for (let n = 0; n < 6 && !(await phone.place()).startsWith("unit "); n += 1) await phone.back();
  await phone.at("unit");
}

async function slow(phone) {
  const session = await phone.page.createCDPSession();
  await session.send("Emulation.setCPUThrottlingRate", { rate: SLOWER });
}

const hub = await Hub.start();
const phone = await Phone.fresh(hub);
try {
  let [bytes, later] = [0, 0];
  const bundle = process.env.DRIPLEG_BUNDLE;
  for (const name of await readdir(bundle, { recursive: true })) {
    if (!/\.(br|woff2)$/.test(name) || name.includes("LICENSE")) continue;
    const { length } = await readFile(`${bundle}/${name}`);
    if (name.startsWith("words-")) later += length;
    else bytes += length;
  }
  line("first download, brotli", `${(bytes / 1000).toFixed(0)} kB`);
  line("words of other languages, afterwards", `${(later / 1000).toFixed(0)} kB`);
  await hub.tell(`visits ${VISITS}`);
  const start = Date.now();
  await phone.join("Ilse");
  line(`joining: today's visit usable, ${VISITS} visits on the hub`, ms(Date.now() - start));
  await phone.today();
  for (let n = 0; n < 600; n += 1) {
    await phone.settled();
    await phone.tap("go exchange");
    if (!(await phone.has("still coming"))) break;
    await phone.tap("sync");
    await phone.home();
  }
  await phone.home();
  await hub.tell("stop");

  // Taps.
  phone.taps = 0;
  await phone.unit("UH-01");
  await begin(phone, "Take FOUND");
  await round(phone);
  await phone.press("Left as found");
  await phone.at("units");
  line("taps, a clean unit: found block, left as found", phone.taps);
  phone.taps = 0;
  await phone.unit("UH-03");
  await begin(phone, "Take FOUND");
  await round(phone);
  await phone.press("Finding");
  await phone.press("Flame rod coated (oxide, silica, salt, other residue)");
  await phone.tap("foundit");
  await phone.press("cleaned");
  await phone.press("ignition or flame sensing");
  await phone.tap("didit");
  await phone.at("unit");
  await begin(phone, "Take LEFT");
  await round(phone);
  await phone.tap("go checks");
  await phone.at("checks");
  for (const item of ["Test ports closed", "Leak check at the joints opened", "Flame failure"]) {
    await phone.click(`[aria-label="${item}"] [data-tap$="pass"]`);
  }
  await phone.tap("done");
  await phone.at("units");
  line("taps, a repaired unit: found, finding, work, left, 3 checks", phone.taps);

  // The next test: a picked test alone draws the search anew, a result is entered and durable besides. The
  // core runs in a worker, which the browser does not slow down: the plain time is taken and multiplied.
  const tests = await tables();
  const [next, entered, plain] = [[], [], []];
  for (const no of ["UH-01", "UH-04"]) {
    await begin_search(phone, no, "Tries but does not light");
    for (let n = 0; n < 8; n += 1) {
      const [result] = await keys(phone, "gave");
      if (!result) break;
      plain.push((await timed(phone, "go shutdown"))[1]);
      await phone.back();
      await phone.press("Can't");
      next.push((await timed(phone, "picktest"))[1]);
      const [, unit, test] = (await keys(phone, "gave"))[0].split(" ");
      entered.push((await timed(phone, `gave ${unit} ${test} ${shows(tests, test, "hv_lead")}`))[1]);
    }
    await phone.home();
  }
  const both = (all) => `${ms(SLOWER * at(all, 0.5))} / ${ms(SLOWER * at(all, 0.95))}`;
  line(`next test answered, times ${SLOWER}, median / 95th of ${next.length}`, both(next));
  line(`another screen of the unit, without a search, times ${SLOWER}`, both(plain));
  line(`a result entered and the next test answered, times ${SLOWER}, median / 95th`, both(entered));

  // The scenario's second visit as a whole, unit by unit, with what it says was found and done.
  const scenario = JSON.parse(await readFile(process.env.DRIPLEG_SCENARIO, "utf8"));
  const second = await visit(phone, scenario, "V-2");
  for (const [no, taps, texts] of second) line(`taps, second visit, ${no}`, `${taps} and ${texts} short texts`);
  const sum = (at) => second.reduce((all, one) => all + one[at], 0);
  line(`taps, the second visit as a whole: ${second.length - 1} units`, `${sum(1)} and ${sum(2)} short texts`);

  // Times, the window slowed down.
  await slow(phone);
  const [paint, saved, screens] = [[], [], []];
  await phone.unit("UH-04");
  await begin(phone, "Take FOUND");
  for (let n = 0; n < 40; n += 1) {
    paint.push((await timed(phone, `digit ${n % 10}`))[0]);
    paint.push((await timed(phone, "wipe"))[0]);
  }
  await phone.home();
  for (let n = 0; n < 12; n += 1) {
    screens.push((await timed(phone, "go unit"))[0]);
    screens.push((await timed(phone, "go more"))[0]);
    screens.push((await timed(phone, "go checks"))[0]);
    saved.push((await timed(phone, n % 2 ? "check" : "check"))[1]);
    await phone.home();
  }
  line(`digit to the frame that shows it, ${SLOWER} times slower, median / 95th`, `${ms(at(paint, 0.5))} / ${ms(at(paint, 0.95))}`);
  line(`screen to screen, ${SLOWER} times slower, median / 95th`, `${ms(at(screens, 0.5))} / ${ms(at(screens, 0.95))}`);
  line("an entry durable and answered, median / 95th", `${ms(at(saved, 0.5))} / ${ms(at(saved, 0.95))}`);
  const starts = [];
  for (let n = 0; n < 5; n += 1) {
    await phone.browser.close();
    await phone.launch();
    await slow(phone);
    await phone.open();
    await phone.at("units");
    starts.push(await phone.page.evaluate(() => performance.getEntriesByName("drawn").at(-1).startTime));
    await pause(300);
  }
  line(`start with no network to the list, ${VISITS} visits, ${SLOWER} times slower`, starts.map(ms).join(", "));
} finally {
  await phone.end();
  await hub.end();
}
