// The search for a fault with taps, from what a unit does to the proved repair: the results are those that the
// true cause shows, read from the tables as a technician reads them at the unit.
import { on_phone } from "./axe.mjs";
import { begin_search, in_order, keys, shows, tables } from "./faults.mjs";
import { begin, round } from "./hands.mjs";
import { DESK, Phone, check } from "./kit.mjs";

// A search that takes longer than this has lost its way.
const STEPS = 25;

// One tap a result until a cause is offered; answers the tests made. `see` looks at each screen.
async function search(phone, tests, cause, see = async () => {}) {
  const made = [];
  for (let n = 0; n < STEPS; n += 1) {
    await see();
    const settles = await keys(phone, "itis");
    if (settles.length) {
      check(settles.some((tap) => tap.endsWith(` ${cause}`)), `${cause} is not offered: ${settles}`);
      return made;
    }
    const results = await keys(phone, "gave");
    if (results.length) {
      const test = results[0].split(" ").at(2);
      check(!made.includes(test), `${test} is asked twice: ${made}`);
      made.push(test);
      await phone.tap(`gave ${results[0].split(" ")[1]} ${test} ${shows(tests, test, cause)}`);
      continue;
    }
    // A third trial waits for a gas check; another test is made meanwhile.
    check((await keys(phone, "gaschecked")).length, `neither test nor end: ${await phone.text()}`);
    await phone.press("Can't");
    await phone.at("tests");
    await see();
    await phone.tap("picktest");
    await phone.at("fault");
  }
  throw new Error(`no end after ${made}`);
}

// From the cause to the unit working again: finding, work, part, as-left.
async function repaired(phone, { cause, kind, system, part }, see = async () => {}) {
  await phone.tap((await keys(phone, "itis")).find((tap) => tap.endsWith(` ${cause}`)));
  await phone.at("work");
  await see();
  await phone.press(kind);
  await phone.press(system);
  await phone.press("Part used");
  await phone.type("part", part);
  await see();
  await phone.tap("usepart");
  // What was chosen of the work is still chosen.
  await phone.at("work");
  await phone.tap("didit");
  await phone.at("unit");
  await see();
  await begin(phone, "Take LEFT");
  await round(phone);
  const text = await phone.text();
  check(!/not saved/i.test(text), text);
}

export async function fault_from_tries_to_the_proved_repair(hub, phones) {
  const [phone, tests] = [await Phone.fresh(hub), await tables()];
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await hub.tell("stop");
  phone.taps = 0;
  await begin_search(phone, "UH-01", "Tries but does not light");
  await phone.picture("fault-tries");
  const made = await search(phone, tests, "hv_lead");
  await phone.picture("fault-tries-end");
  check(made.length <= 10, `${made.length} tests: ${made}`);
  console.log(`browser: ${made.length} tests and ${phone.taps} taps to hv_lead on UH-01: ${made}`);
  await repaired(phone, { cause: "hv_lead", kind: "replaced", system: "ignition or flame sensing", part: "ignition lead" });
  await phone.home();
  await phone.unit("UH-01");
}

export async function fault_from_a_weak_flame_to_the_wrong_kit(hub, phones) {
  const [phone, tests] = [await Phone.fresh(hub), await tables()];
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await hub.tell("stop");
  phone.taps = 0;
  await begin_search(phone, "UH-08B", "Stays on weak flame");
  await phone.sees("findings in this building");
  await phone.picture("fault-weak");
  const made = await search(phone, tests, "conversion_mismatch");
  check(made.length <= 6, `${made.length} tests: ${made}`);
  console.log(`browser: ${made.length} tests and ${phone.taps} taps to conversion_mismatch on UH-08B: ${made}`);
  await repaired(phone, { cause: "conversion_mismatch", kind: "replaced", system: "a gas joint opened", part: "natural gas kit" });
}

// axe, targets and width on every screen of a search, dark and light.
export async function fault_screens_for_everybody(hub, phones) {
  const [phone, tests] = [await Phone.fresh(hub), await tables()];
  phones.push(phone);
  await phone.join("Ilse");
  const wrong = [];
  for (const [look, no, cause] of [["dark", "UH-02", "hv_lead"], ["light", "UH-04", "electrode"]]) {
    await phone.tap("go settings");
    await phone.press(look);
    await phone.back();
    if ((await phone.place()).startsWith("sites")) await phone.today();
    let shot = 0;
    const see = async () => {
      await on_phone(phone, wrong, 92, `${look} `);
      shot += 1;
      await phone.picture(`fault-${look}-${String(shot).padStart(2, "0")}`);
    };
    await phone.unit(no);
    await phone.press("More");
    await phone.press("Fault");
    await see();
    await phone.press("In order");
    await see();
    await phone.back();
    await in_order(phone);
    await phone.press("Follow a start");
    await see();
    await phone.press("Call for heat is on");
    await see();
    await phone.press("Seen");
    await see();
    await phone.press("Last seen");
    await see();
    await phone.back();
    await phone.back();
    await phone.at("fault");
    await phone.press("Tries but does not light");
    await phone.press("Can't");
    await see();
    await phone.back();
    await search(phone, tests, cause, see);
    await phone.home();
  }
  for (const line of phone.said.filter((line) => /^(error|warn|pageerror)/.test(line))) wrong.push(line);
  check(wrong.length === 0, `\n${[...new Set(wrong)].join("\n")}`);
}

// A keyboard alone: Tab to the key, Enter.
export async function fault_by_keyboard_alone(hub, phones) {
  const [phone, tests] = [await Phone.fresh(hub, DESK), await tables()];
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await begin_search(phone, "UH-01", "Tries but does not light");
  const { keyboard } = phone.page;
  for (let step = 0; step < 4; step += 1) {
    const results = await keys(phone, "gave");
    if (!results.length) break;
    const test = results[0].split(" ").at(2);
    const wanted = `gave ${results[0].split(" ")[1]} ${test} ${shows(tests, test, "hv_lead")}`;
    let ringed;
    for (let n = 0; n < 60; n += 1) {
      await keyboard.press("Tab");
      ringed = await phone.page.evaluate(() => {
        const own = document.activeElement;
        return { tap: own.dataset?.tap, ring: getComputedStyle(own).outlineStyle !== "none" };
      });
      if (ringed.tap === wanted) break;
    }
    check(ringed.tap === wanted && ringed.ring, `no ring on '${wanted}': ${JSON.stringify(ringed)}`);
    await keyboard.press("Enter");
    await phone.page.waitForFunction((own) => !document.querySelector(`#face [data-tap="${own}"]`), {}, wanted);
  }
}
