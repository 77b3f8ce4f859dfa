// The search for a fault as hands and eyes do it: what each test shows under a true cause, out of the tables.
import { readFile } from "node:fs/promises";
import { check } from "./kit.mjs";

const DATA = `${process.env.DRIPLEG_BUNDLE}/../../client-core/src/fault/data/tests.txt`;
const CARES = ["live", "locked", "port", "firing", "height", "roof"];

// Tests by key: chances of each result, in general and by cause.
export async function tables() {
  const tests = new Map();
  let last;
  for (const line of (await readFile(DATA, "utf8")).split("\n")) {
    if (/^(#|setup|$)/.test(line)) continue;
    if (line.startsWith("=")) {
      last.usual = line.slice(1).split("|").map((own) => Number(own.trim().split(" ").at(-1)));
    } else if (line.startsWith(" ")) {
      for (const own of line.split(";").map((own) => own.trim().split(/\s+/))) last.given.set(own[0], own.slice(1).map(Number));
    } else {
      last = { given: new Map() };
      tests.set(line.split("|")[0].trim(), last);
    }
  }
  return tests;
}

// The result that a cause shows most often.
export function shows(tests, key, cause) {
  const test = tests.get(key);
  check(test, `the tables have no test ${key}`);
  const chances = test.given.get(cause) ?? test.usual;
  return chances.indexOf(Math.max(...chances));
}

// Taps that the screen offers with this first word.
export const keys = (phone, word) => phone.page.$$eval("#face [data-tap]", (all, own) => all.map((key) => key.dataset.tap).filter((tap) => tap.split(" ")[0] === own), word);

// Smell, room and means, once: the search carries them. The figure of the room leads back to the search.
export async function in_order(phone) {
  await phone.press("In order");
  await phone.at("inorder");
  for (const care of CARES) {
    // What can be met is said once for the day, at whatever unit.
    const met = await phone.page.$eval(`#face [data-tap="able ${care}"]`, (key) => key.getAttribute("aria-pressed") === "true");
    if (!met) await phone.tap(`able ${care}`);
  }
  await phone.press("No gas smell");
  await phone.press("Room CO");
  await phone.digits("0");
  await phone.tap("next");
  await phone.at("fault");
}

// Opens the search at a unit and says what it does.
export async function begin_search(phone, no, symptom) {
  await phone.unit(no);
  await phone.press("More");
  await phone.press("Fault");
  await phone.at("fault");
  await phone.sees("What does it do?");
  await in_order(phone);
  await phone.press(symptom);
  await phone.at("fault");
  await phone.sees(symptom);
}
