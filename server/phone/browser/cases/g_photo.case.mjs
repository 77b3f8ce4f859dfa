// A photo is kept on the phone under the hash of its bytes, and is there again with the hub gone; then it goes
// to the hub, its small picture to the colleague by itself and the large one when somebody looks.
import { writeFile, rm, mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { exchange } from "./hands.mjs";
import { Phone, check } from "./kit.mjs";

// The width of the picture on the screen, once it is there.
async function width(phone, least = 1) {
  const shown = await phone.page.waitForFunction((least) => {
    const own = document.querySelector("#face .shots img[data-blob]");
    return own?.complete && own.naturalWidth >= least ? own.naturalWidth : false;
  }, {}, least);
  return shown.jsonValue();
}

export async function a_photo_is_kept_without_a_network_and_travels(hub, phones) {
  const [phone, other] = [await Phone.fresh(hub), await Phone.fresh(hub)];
  phones.push(phone, other);
  await phone.join("Ilse");
  await other.join("Dov");
  await phone.today();
  await other.today();
  await hub.tell("stop");
  await phone.unit("UH-01");
  await phone.press("More");
  await phone.press("Photo");
  const folder = await mkdtemp(join(tmpdir(), "dripleg-photo-"));
  try {
    // A picture of the page itself, larger than a phone keeps.
    const file = join(folder, "plate.png");
    await writeFile(file, await phone.page.screenshot());
    const line = await phone.page.$('input[data-photo="plate"]');
    await line.uploadFile(file);
    const small = await width(phone);
    check(small <= 240, `the small picture is ${small} px wide`);
    await phone.sees("1 entry only on this phone");
    await phone.open();
    await phone.at("photos");
    await width(phone);
    // Its name is the hash of what lies there.
    const names = await phone.page.evaluate(async () => {
      const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle("photos");
      const names = [];
      for await (const name of folder.keys()) names.push(name);
      return names;
    });
    const blob = await phone.page.evaluate(() => document.querySelector("#face img[data-blob]").dataset.blob);
    check(names.includes(`${blob}.jpg`) && names.length === 2, `kept: ${names}, shown: ${blob}`);
    await phone.sees("2 pictures wait");

    await hub.tell("start");
    await phone.home();
    await exchange(phone);
    await phone.gone("pictures wait");
    await exchange(other);
    await other.unit("UH-01");
    await other.press("More");
    await other.press("Photo");
    check((await width(other)) === small, "the colleague has the same small picture");
    await other.picture("photo-small");
    await other.page.click("#face .shot");
    const large = await width(other, 241);
    check(large > small, `and the large one after a look: ${large} px`);
    await other.picture("photo-large");
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
