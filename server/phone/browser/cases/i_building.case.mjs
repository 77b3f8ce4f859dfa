// The page of a building in a browser: what keeps failing, where, and what would change it stand before
// anything folds; the plan and the parts are on paper too.
import { on_desk } from "./axe.mjs";
import { Demo, Desk } from "./desk.mjs";
import { PHONE, check } from "./kit.mjs";

const DESKTOP = { width: 1280, height: 900 };

export async function building_page_seen_in_ten_seconds() {
  const demo = await Demo.start();
  const desk = await Desk.open(demo);
  try {
    await desk.enter();
    await desk.go("/review/sites");
    const [site] = (await desk.links("/review/sites/")).filter((path) => /sites\/[a-z0-9]+$/.test(path));
    const wrong = [];
    for (const [look, view] of [["light", DESKTOP], ["dark", DESKTOP], ["light", { ...PHONE, deviceScaleFactor: 1 }], ["dark", { ...PHONE, deviceScaleFactor: 1 }]]) {
      await desk.page.setViewport(view);
      await desk.look(look);
      await desk.go(`${site}/building`);
      const words = `${look} ${view.width}`;
      await desk.picture(`building-${look}-${view.width}`, true);
      // On the first screen, without rolling or unfolding: the cause that leads, its areas, what would change it.
      const answer = await desk.page.$eval(".answer", (own) => [own.getBoundingClientRect().bottom, own.innerText]);
      if (answer[0] > view.height) wrong.push(`${words}: the answer ends at ${answer[0].toFixed(0)} px`);
      for (const part of ["flame rod coated, 6 of", "A3", "2 of 3 units", "outside combustion air"]) {
        if (!answer[1].includes(part)) wrong.push(`${words}: '${part}' is not in the answer: ${answer[1]}`);
      }
      await on_desk(desk, wrong, words);
    }
    await desk.page.setViewport(DESKTOP);
    await desk.look("light");
    await desk.go(`${site}/building?people=3`);
    await desk.sees("Person 3");
    await desk.page.emulateMediaType("print");
    const shown = await desk.page.$$eval("header.pipe nav, .no-print, .feet form", (all) => all.some((own) => own.offsetParent));
    if (shown) wrong.push("what is not the page is printed");
    const plan = await desk.page.$$eval("#morning, #carry", (all) => all.filter((own) => own.offsetParent).length);
    if (plan !== 2) wrong.push(`plan and parts on paper: ${plan} of 2`);
    await desk.picture("building-print", true);
    for (const line of desk.said.filter((line) => /^(error|warn|pageerror)/.test(line))) wrong.push(line);
    check(wrong.length === 0, `\n${[...new Set(wrong)].join("\n")}`);
  } finally {
    await desk.end();
    await demo.end();
  }
}
