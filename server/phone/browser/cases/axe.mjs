// axe on what a browser shows, for phones and for desks, with targets that a glove hits and no sideways roll.
import { createRequire } from "node:module";
import { readFile } from "node:fs/promises";

const axe = await readFile(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// What axe and the width say of the page as it stands; `rules` are axe's own options for single rules.
async function seen(page, rules) {
  // The page's own policy lets no foreign script in: axe comes through the debugger.
  await page.evaluate(`if (!window.axe) { ${axe} }`);
  return page.evaluate(async (rules) => {
    const tags = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"];
    const result = await axe.run(document, { runOnly: tags, rules });
    const said = result.violations.map((one) => `${one.id}: ${one.nodes.length} x ${one.nodes[0].html.slice(0, 200)} (${one.nodes[0].failureSummary.split("\n").at(1) ?? ""})`);
    const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
    return wide > 0 ? [...said, `${wide} px wider than the screen`] : said;
  }, rules);
}

// A screen of the phone; `targets` is the least height of a key.
export async function on_phone(phone, wrong, targets, words = "") {
  const place = `${words}${(await phone.place()).split(" ")[0]}`;
  for (const own of await seen(phone.page, { region: { enabled: false } })) wrong.push(`${place}: ${own}`);
  const small = await phone.page.evaluate((least) => {
    const keys = [...document.querySelectorAll("#face button, #face a")].filter((key) => key.offsetParent);
    const small = keys.filter((key) => !key.matches(".line,.said") && (key.offsetHeight < least || key.offsetWidth < least - 24));
    return small.map((key) => `${key.innerText.replaceAll("\n", " ")} ${key.offsetWidth}x${key.offsetHeight}`);
  }, targets);
  for (const own of small) wrong.push(`${place}: too small for a glove: ${own}`);
}

// A page of the review, everything that folds opened.
export async function on_desk(desk, wrong, words) {
  await desk.page.evaluate(() => {
    for (const one of document.querySelectorAll("details")) one.open = true;
  });
  const place = new URL(desk.page.url()).pathname.replace(/[a-z0-9]{13}/g, "*");
  for (const own of await seen(desk.page, {})) wrong.push(`${words} ${place}: ${own}`);
}
