// For everybody: axe on every screen, a keyboard alone, targets for gloves, text twice as large, and no
// complaint of the browser.
import { on_phone as look } from "./axe.mjs";
import { begin, round } from "./hands.mjs";
import { DESK, Phone, check, pause } from "./kit.mjs";

// Every screen that a visit goes through.
async function walk(phone, see) {
  await see();
  await phone.today();
  await see();
  await phone.unit("UH-05");
  await see();
  await phone.press("More");
  await see();
  for (const key of ["Checks", "Finding", "Work", "Setting", "Part used", "Gas parts", "Photo", "Note", "Another figure", "Plate", "Ask maker", "Advise", "Shut down", "Padlocks", "Timer", "Column slip"]) {
    await phone.press(key);
    await see();
    await phone.back();
    await phone.at("more");
  }
  await phone.back();
  await phone.at("unit");
  await phone.press("Not reached");
  await see();
  await phone.back();
  await phone.at("unit");
  await phone.press("Take FOUND");
  await see();
  await begin(phone, "So it is");
  await see();
  await phone.press("can't");
  await see();
  await phone.back();
  await phone.at("stop");
  await round(phone);
  await see();
  await phone.click(".said");
  await see();
  await phone.home();
  for (const key of ["go sign", "go exchange", "go settings"]) {
    await phone.tap(key);
    await see();
    if (key === "go settings") {
      for (const deeper of ["go instruments", "go hand", "go timers"]) {
        await phone.tap(deeper);
        await see();
        await phone.back();
        await phone.at("settings");
      }
    }
    await phone.back();
    await phone.at("units");
  }
}

export async function axe_targets_and_no_complaints(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  const wrong = [];
  await walk(phone, () => look(phone, wrong, 92));
  for (const line of phone.said.filter((line) => /^(error|warn|pageerror)/.test(line))) wrong.push(line);
  check(wrong.length === 0, `\n${[...new Set(wrong)].join("\n")}`);
}

export async function light_and_large_text(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Dov");
  await phone.tap("go settings");
  await phone.press("light");
  await phone.tap("back");
  const wrong = [];
  // The person's own text size, as the browser's settings make it: em and rem both follow.
  const session = await phone.page.createCDPSession();
  await walk(phone, async () => {
    await look(phone, wrong, 92);
    await session.send("Page.setFontSizes", { fontSizes: { standard: 32, fixed: 26 } });
    await pause(60);
    const wide = await phone.page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    if (wide > 0) wrong.push(`${await phone.place()}: at 200 % text ${wide} px wider than the phone`);
    await session.send("Page.setFontSizes", { fontSizes: { standard: 16, fixed: 13 } });
  });
  check(wrong.length === 0, `\n${[...new Set(wrong)].join("\n")}`);
}

export async function keyboard_alone(hub, phones) {
  const phone = await Phone.fresh(hub, DESK);
  phones.push(phone);
  await phone.join("Ilse");
  const { keyboard } = phone.page;
  // Tab goes through the keys in their order until the one that is wanted, Enter presses it.
  const reach = async (wanted) => {
    for (let n = 0; n < 120; n += 1) {
      await keyboard.press("Tab");
      const [tap, ring] = await phone.page.evaluate(() => {
        const own = document.activeElement;
        return [`${own?.dataset?.tap ?? ""} ${own?.innerText ?? ""}`, own ? getComputedStyle(own).outlineStyle : ""];
      });
      if (!tap.includes(wanted)) continue;
      check(ring !== "none", `no ring round '${wanted}'`);
      await keyboard.press("Enter");
      await pause(250);
      return;
    }
    throw new Error(`Tab does not reach '${wanted}' on '${await phone.place()}'`);
  };
  await reach("visit ");
  await phone.at("units");
  await reach("UH-01");
  await phone.at("unit");
  await reach("Take FOUND");
  await phone.at("condition");
  await reach("So it is");
  await phone.at("stop");
  await keyboard.type("0");
  await phone.sees("0");
  await phone.page.evaluate(() => document.activeElement?.blur());
  await keyboard.press("Enter");
  await phone.sees("stop 2 of 7");
  await keyboard.type("69");
  await phone.sees("0.69");
  await keyboard.press("Backspace");
  await phone.sees("0.06");
  await keyboard.press("Escape");
  await phone.at("unit");
}

// Words of other languages come after the shell, and are there without a network from then on.
export async function words_come_after_the_shell(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await phone.page.waitForFunction(async () => {
    for (const name of await caches.keys()) {
      if (name.startsWith("shell-") && (await (await caches.open(name)).match("words-fr.txt"))) return true;
    }
    return false;
  });
  await hub.tell("stop");
  await phone.tap("go settings");
  await phone.at("settings");
  await phone.tap("set language fr");
  await phone.sees("Taille des touches");
  // The next start is in that language from its first screen on.
  await phone.open();
  await phone.at("settings");
  await phone.sees("Taille des touches");
  check((await phone.page.evaluate(() => document.documentElement.lang)) === "fr", "the page says its language");
  await phone.tap("set language en");
  await phone.sees("Target size");
}
