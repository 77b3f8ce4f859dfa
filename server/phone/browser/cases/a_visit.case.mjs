// The thread: join by code, everything else with the hub gone, exchange at the end.
import { begin, round } from "./hands.mjs";
import { Phone, check, same } from "./kit.mjs";

const lines = async (phone) => (await phone.text()).split("\n").filter((line) => line.trim()).slice(0, 60);

export async function a_whole_visit_without_a_network(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await hub.tell("stop");

  // A clean unit: found block, left as found.
  phone.taps = 0;
  await phone.unit("UH-01");
  await begin(phone, "Take FOUND");
  await round(phone);
  await phone.press("Left as found");
  await phone.at("units");
  console.log(`browser: a clean unit, found block and left as found: ${phone.taps} taps`);
  check(phone.taps < 45, `a clean unit takes ${phone.taps} taps`);

  // Reload: the list stands as it was.
  const before = await lines(phone);
  await phone.open();
  await phone.at("units");
  same(await lines(phone), before, "after a reload");

  // Killed in the middle of a figure: the digits are there.
  await phone.unit("UH-02");
  await begin(phone, "Take FOUND");
  await phone.digits("0");
  await phone.tap("next");
  await phone.digits("69");
  await phone.kill();
  await phone.launch();
  await phone.open();
  await phone.at("stop");
  await phone.sees("0.69");
  await phone.tap("digit 0");
  await phone.sees("6.90");
  await phone.tap("next");
  await round(phone);

  // Found, work, left.
  await phone.press("Left as found");
  await phone.at("units");
  const unsent = (await phone.text()).match(/(\d+) entr(?:y|ies) only on this phone/);
  check(unsent && Number(unsent[1]) > 20, `unsent entries are counted: ${await phone.text()}`);

  // The signal is back.
  await hub.tell("start");
  await phone.tap("go exchange");
  await phone.at("exchange");
  await phone.tap("sync");
  await phone.sees("Nothing waits on this phone");

  // Another phone of the same person sees it all.
  const other = await Phone.fresh(hub);
  phones.push(other);
  await other.join("Dov");
  await other.today();
  await other.unit("UH-02");
  await other.sees("11 figures");
  await other.press("Go on");
  await other.sees("6.90");
}
