// The other engine: it starts, keeps what is typed and what is entered, and starts again with the hub gone.
import { begin } from "./hands.mjs";
import { Phone, check } from "./kit.mjs";

export async function firefox_starts_saves_and_starts_again(hub, phones) {
  const phone = await Phone.fresh(hub, { width: 390, height: 844 }, true);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await hub.tell("stop");
  await phone.unit("UH-03");
  await begin(phone, "Take FOUND");
  await phone.digits("0");
  await phone.tap("next");
  await phone.digits("69");
  // The page again, with no hub: the shell and the record are on the phone.
  await phone.open();
  await phone.at("stop");
  await phone.sees("0.69");
  await phone.sees("1 entry only on this phone");
  await phone.digits("0");
  await phone.tap("next");
  await phone.home();
  // The browser again.
  await phone.browser.close();
  await phone.launch();
  await phone.open();
  await phone.at("units");
  await phone.unit("UH-03");
  await phone.sees("2 figures");
  const wrong = phone.said.filter((line) => /^pageerror/.test(line));
  check(wrong.length === 0, wrong.join("\n"));
}
