// Pictures of a visit: every screen, and those of the technician's guide once more where the guide has them.
import { copyFile, mkdir } from "node:fs/promises";
import { join } from "node:path";
import { begin, round } from "./hands.mjs";
import { Hub, PHONE, Phone, pause } from "./kit.mjs";

const { DRIPLEG_GUIDE: guide, DRIPLEG_PICTURES: all } = process.env;
await mkdir(guide, { recursive: true });
const hub = await Hub.start();
const phone = await Phone.fresh(hub, { ...PHONE, deviceScaleFactor: 1 });
let count = 0;
// A picture; with a name for the guide it is kept there too.
const shot = async (name, kept) => {
  await pause(150);
  await phone.page.evaluate(() => window.scrollTo(0, 0));
  count += 1;
  const own = `${String(count).padStart(2, "0")}-${name}`;
  await phone.picture(own);
  if (kept) await copyFile(join(all, `${own}.png`), join(guide, `${kept}.png`));
};
try {
  const code = await hub.code("Ilse");
  await phone.open(`/phone/#join=${code}`);
  await phone.at("join");
  await phone.page.waitForFunction(() => document.querySelector("[name=code]")?.value.length > 6);
  await shot("join", "join");
  await phone.click("[data-say=join]");
  await phone.at("sites");
  await phone.settled();
  await shot("buildings");
  await phone.today();
  await hub.tell("stop");
  await shot("units", "units");
  await phone.tap("go find");
  await phone.type("find", "uh 8");
  await shot("find");
  await phone.page.evaluate(() => (document.querySelector("[name=find]").value = ""));
  await phone.tap("back");
  await phone.unit("UH-06");
  await shot("unit", "unit");
  await phone.press("Take FOUND");
  await phone.at("condition");
  await shot("condition", "condition");
  await phone.press("So it is");
  await phone.at("stop");
  await phone.digits("0");
  await phone.tap("next");
  await phone.digits("69");
  await phone.tap("next");
  await shot("doubt", "doubt");
  await phone.tap("wipe");
  for (let n = 0; n < 3; n += 1) await phone.tap("wipe");
  await phone.digits("701");
  await phone.tap("next");
  await phone.digits("351");
  await shot("pad", "pad");
  await phone.tap("next");
  await phone.press("can't");
  await shot("cannot");
  await phone.tap("back");
  const flue = await round(phone, {}, "Flue");
  if (flue) await shot("flue", "flue");
  await round(phone);
  await shot("figures", "figures");
  await phone.press("Finding");
  await phone.at("found");
  await shot("finding");
  await phone.press("Flame rod coated (oxide, silica, salt, other residue)");
  await phone.tap("foundit");
  await phone.at("work");
  await phone.press("cleaned");
  await phone.press("ignition or flame sensing");
  await shot("work", "work");
  await phone.tap("didit");
  await phone.at("unit");
  await begin(phone, "Take LEFT");
  await shot("left", "left");
  await round(phone);
  await shot("figures-left");
  await phone.press("Checks");
  await phone.at("checks");
  await shot("checks", "checks");
  await phone.home();
  await phone.unit("UH-04");
  await phone.press("Not reached");
  await shot("not-reached", "not-reached");
  await phone.press("no lift");
  await phone.unit("UH-08B");
  await phone.press("More");
  await shot("more");
  for (const [key, name, kept] of [["Shut down", "shut-down", "shut-down"], ["Advise", "advise"], ["Part used", "part"], ["Gas parts", "gas-parts"], ["Plate", "plate"], ["Photo", "photo"], ["Note", "note"], ["Ask maker", "ask-maker"], ["Column slip", "slip"], ["Timer", "timer"], ["Padlocks", "padlocks"], ["Setting", "setting"]]) {
    await phone.press(key);
    await shot(name, kept);
    await phone.back();
    await phone.at("more");
  }
  await phone.home();
  await shot("units-after");
  await phone.tap("go sign");
  await phone.at("sign");
  await shot("sign", "sign");
  await phone.home();
  await phone.tap("go exchange");
  await shot("exchange");
  await phone.tap("go hand");
  await shot("hand");
  await phone.home();
  await hub.tell("start");
  // A second phone has read the same port otherwise: two answers.
  const dov = await Phone.fresh(hub, { ...PHONE, deviceScaleFactor: 1 });
  try {
    await dov.join("Dov");
    await dov.today();
    await dov.unit("UH-06");
    await begin(dov, "Take FOUND");
    await round(dov, { "Manifold, high fire": "332" });
    await dov.home();
    await dov.tap("go exchange");
    await dov.tap("sync");
    await dov.sees("Nothing waits on this phone");
  } finally {
    await dov.end();
  }
  await phone.tap("go exchange");
  await phone.tap("sync");
  await phone.sees("Nothing waits on this phone");
  await shot("exchanged", "exchanged");
  await phone.home();
  await phone.unit("UH-06");
  await phone.tap("go two");
  await phone.at("two");
  await shot("two", "two");
  await phone.home();
  await phone.tap("go settings");
  await shot("settings", "settings");
  for (const [key, name] of [["light", "light"], ["light, more contrast", "light-contrast"], ["more contrast", "contrast"]]) {
    await phone.press(key);
    await phone.home();
    await shot(`units-${name}`);
    await phone.unit("UH-05");
    await shot(`unit-${name}`);
    await phone.home();
    await phone.tap("go settings");
  }
  await phone.press("dark");
  for (const language of ["Fran\u00e7ais", "Espa\u00f1ol"]) {
    await phone.press(language);
    await phone.home();
    await shot(`units-${language.slice(0, 2)}`);
    await phone.unit("UH-05");
    await shot(`unit-${language.slice(0, 2)}`);
    await phone.home();
    await phone.tap("go settings");
  }
  await phone.press("English");
  await phone.tap("go instruments");
  await shot("instruments");
  await phone.home();
  const session = await phone.page.createCDPSession();
  await session.send("Page.setFontSizes", { fontSizes: { standard: 32, fixed: 26 } });
  await shot("units-200");
  await phone.unit("UH-05");
  await shot("unit-200");
  await session.send("Page.setFontSizes", { fontSizes: { standard: 16, fixed: 13 } });
  await phone.page.evaluate(() => (location.hash = "#gas"));
  await shot("gas", "gas");
  console.log(`pictures: ${count} in ${all}`);
} finally {
  await phone.end();
  await hub.end();
}
