// A photo is kept on the phone under the hash of its bytes, and is there again with the hub gone.
import { writeFile, rm, mkdtemp } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Phone, check } from "./kit.mjs";

export async function a_photo_is_kept_and_shown_without_a_network(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
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
    const shown = () =>
      phone.page.waitForFunction(() => {
        const own = document.querySelector("#face .shots img[data-blob]");
        return own?.complete && own.naturalWidth > 0 ? own.naturalWidth : false;
      });
    const width = await (await shown()).jsonValue();
    check(width <= 240, `the small picture is ${width} px wide`);
    await phone.sees("1 entry only on this phone");
    await phone.open();
    await phone.at("photos");
    await shown();
    // Its name is the hash of what lies there.
    const names = await phone.page.evaluate(async () => {
      const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle("photos");
      const names = [];
      for await (const name of folder.keys()) names.push(name);
      return names;
    });
    const blob = await phone.page.evaluate(() => document.querySelector("#face img[data-blob]").dataset.blob);
    check(names.includes(`${blob}.jpg`) && names.includes(`${blob}.small.jpg`), `kept: ${names}, shown: ${blob}`);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}
