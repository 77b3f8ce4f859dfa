// What hands do at a unit, with the keys of the screen.
import { check } from "./kit.mjs";

// Begins a phase; the condition is asked once and carried.
export async function begin(phone, key) {
  await phone.press(key);
  while (!["stop", "entered"].includes((await phone.place()).split(" ")[0])) {
    const place = (await phone.place()).split(" ")[0];
    if (place === "condition") await phone.press("So it is");
    else if (place === "turn") await phone.click(".key.big");
    else throw new Error(`between the phases at '${place}': ${await phone.text()}`);
  }
}

// The figure that stands beside, as digits.
async function beside(phone) {
  const text = await phone.page.evaluate(() => document.querySelector("#face .was b")?.innerText ?? "");
  return text.replaceAll(/\D/g, "").replace(/^0+(?=.)/, "");
}

// Goes the whole round. `own` gives digits by the name of a figure; others are typed as they were last.
// With `until` it stops at the entered block that holds this figure.
export async function round(phone, own = {}, until = undefined) {
  const typed = [];
  for (let n = 0; n < 30 && !(await phone.place()).startsWith("entered"); n += 1) {
    const place = await phone.place();
    const block = await phone.page.evaluate(() => document.querySelectorAll("#face .four").length);
    if (place.startsWith("stop") && block) {
      const empty = await phone.page.evaluate(() => {
        const fields = [...document.querySelectorAll("#face .four")];
        return fields.find((field) => field.innerText.includes("\u2013"))?.dataset.tap;
      });
      if (!empty && until) return typed;
      await (empty ? phone.click(`[data-tap="${empty}"]`) : phone.tap("next"));
      continue;
    }
    const name = await phone.page.evaluate(() => document.querySelector("#face #what").innerText);
    const same = await phone.page.evaluate(() => document.querySelector('#face [data-tap="same"]') !== null);
    const digits = own[name] ?? (same ? "same" : await beside(phone)) ?? "";
    if (digits === "same") await phone.tap("same");
    else await phone.digits(digits || "0");
    typed.push(`${name} ${digits}`);
    await phone.tap("next");
    if (await phone.has("Type it again")) await phone.tap("soitis");
    if (await phone.has("Leave the first")) await phone.tap("again");
  }
  await phone.at("entered");
  check(typed.length > 0, "the round had no figure");
  return typed;
}

// An exchange by hand, and back to the list.
export async function exchange(phone) {
  await phone.tap("go exchange");
  await phone.at("exchange");
  await phone.tap("sync");
  await phone.settled();
  await phone.sees("Exchange complete");
  await phone.tap("home");
  await phone.at("units");
}
