// A signature is drawn with a mouse and with a finger, is kept while it is drawn, and stands beside the
// answer; and the same can be entered without drawing.
import { Phone, check, pause } from "./kit.mjs";

export async function a_signature_is_drawn_and_stands_beside_the_answer(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await hub.tell("stop");
  await phone.unit("UH-02");
  await phone.press("More");
  await phone.press("Advise");
  await phone.type("advice", "vent terminal too near the dock door");
  await phone.tap("severity advise");
  await phone.tap("putadvice");
  await phone.at("told");
  const pad = await phone.page.waitForSelector("#face svg[data-draw]");
  await pad.evaluate((own) => own.scrollIntoView({ block: "center" }));
  const box = await pad.boundingBox();
  const path = () => phone.page.evaluate(() => document.querySelector("#face svg[data-draw] path").getAttribute("d"));
  const at = (x, y) => [box.x + box.width * x, box.y + box.height * y];
  await phone.page.mouse.move(...at(0.1, 0.5));
  await phone.page.mouse.down();
  for (let n = 1; n <= 8; n += 1) await phone.page.mouse.move(...at(0.1 + n * 0.04, 0.5 + (n % 2 ? 0.2 : -0.2)));
  await phone.page.mouse.up();
  await phone.page.waitForSelector('#face [data-tap^="undraw"]');
  const one = await path();
  check(one.split("L").length > 5, `too few points: ${one}`);
  // A second line, by touch.
  const finger = await phone.page.touchscreen.touchStart(...at(0.6, 0.3));
  await finger.move(...at(0.7, 0.7));
  await finger.move(...at(0.8, 0.3));
  await finger.end();
  await phone.page.waitForFunction(() => document.querySelector("#face svg[data-draw] path").getAttribute("d").split("M").length === 3);
  await pause(300);
  const both = await path();
  // What is drawn is kept like anything typed.
  await phone.open();
  await phone.at("told");
  check((await path()) === both, `after opening again: ${await path()}, drawn: ${both}`);
  await phone.type("told", "shift lead");
  await phone.tap("puttold");
  await phone.at("unit");
  await phone.page.waitForSelector("#face svg.sign.done");
  await phone.sees("shift lead");
  const entered = await phone.page.evaluate(() => document.querySelector("#face svg.sign.done path").getAttribute("d"));
  check(entered === both, `entered: ${entered}, drawn: ${both}`);
  // Without drawing: the name, the answer, and words.
  await phone.tap("go told");
  await phone.type("told", "yard office");
  await phone.press("refused to acknowledge");
  await phone.tap("puttold");
  await phone.at("unit");
  await phone.sees("yard office");
  check((await phone.page.$$("#face svg.sign.done")).length === 1, "an answer that nobody signed has a signature");
}
