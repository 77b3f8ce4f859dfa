// The supervisor's day in a real browser: settling, signing, reports, at a desk and on a phone, in light and
// dark and on paper, with a keyboard alone, without scripts, and axe on every page.
import { on_desk as axe_on } from "./axe.mjs";
import { Demo, Desk } from "./desk.mjs";
import { PHONE, check, pause } from "./kit.mjs";

async function with_desk(run, view) {
  const demo = await Demo.start();
  const desk = await Desk.open(demo, view);
  try {
    await run(desk, demo);
  } finally {
    await desk.end();
    await demo.end();
  }
}

// Every page there is, as links lead to it from the queue.
async function all_pages(desk) {
  await desk.go("/review");
  const visits = await desk.links("/visits/");
  const pages = ["/review", "/review/me", "/review/visits", "/review/sites", "/review/questions", "/review/people", "/review/search?q=UH",
    "/review/audit?verify=yes", "/review/quarantine", ...visits];
  for (const visit of visits) {
    await desk.go(visit);
    pages.push(...(await desk.links("/settle?")), ...(await desk.links("/report/")).filter((path) => /customer|visit\?|restock/.test(path)));
    const [slip] = (await desk.links("/report/column"));
    pages.push(slip);
  }
  const shut = (await desk.links("/report/shut_down"));
  pages.push(...shut.slice(0, 1));
  await desk.go("/review/sites");
  const [site] = (await desk.links("/review/sites/")).filter((path) => /sites\/[a-z0-9]+$/.test(path));
  pages.push(site, `${site}/building`, `${site}/import`, `${site}/labels`);
  await desk.go(site);
  const [unit] = await desk.links("/units/");
  pages.push(unit);
  return pages.filter(Boolean);
}

const told = (wrong) => check(wrong.length === 0, `\n${[...new Set(wrong)].join("\n")}`);

export async function review_axe_on_every_page() {
  await with_desk(async (desk) => {
    await desk.enter();
    const wrong = [];
    for (const path of await all_pages(desk)) {
      for (const [scheme, view] of [["light", { width: 1280, height: 900 }], ["dark", { ...PHONE, deviceScaleFactor: 1 }]]) {
        await desk.page.setViewport(view);
        await desk.look(scheme);
        await desk.go(path);
        await axe_on(desk, wrong, scheme);
      }
    }
    for (const line of desk.said.filter((line) => /^(error|warn|pageerror)/.test(line))) wrong.push(line);
    told(wrong);
  });
}

export async function review_the_nine_are_settled_signed_and_handed_out() {
  await with_desk(async (desk) => {
    await desk.enter();
    const visits = await desk.story();
    let settled = 0;
    for (const visit of visits) settled += await desk.settle(visit);
    check(settled >= 7, `${settled} differences were settled`);
    await desk.go(visits[1]);
    await desk.fill("form[action$='/query'] [name=text]", "Which rod was it?");
    await desk.send("form[action$='/query']");
    await desk.sees("Which rod was it?");
    for (const visit of visits) await desk.sign(visit);
    await desk.go("/review");
    const signed = await desk.page.$eval("section[aria-labelledby=signed]", (own) => own.innerText);
    check(["2024-10-08", "2025-01-22"].every((day) => signed.includes(day)), `both are signed: ${signed}`);
    // The customer's page, in French and SI units, printed; then by a link that needs no account.
    await desk.go(visits[1]);
    const [customer] = await desk.links("/report/customer");
    await desk.go(`${customer}&lang=fr&units=si`);
    await desk.page.emulateMediaType("print");
    const shown = await desk.page.evaluate(() => [...document.querySelectorAll("header.pipe nav, .bar, .feet form")].some((own) => own.offsetParent));
    check(!shown, "what is not the report is not printed");
    const paper = await desk.page.pdf({ format: "A4" });
    check(paper.length > 10000, "there is something on paper");
    await desk.page.emulateMediaType(undefined);
    await desk.go(visits[1]);
    await desk.send("form[action$='/share']");
    const link = await desk.page.$eval("p.pre a", (own) => own.href);
    const stranger = await Desk.open(desk.demo);
    try {
      await stranger.go(link);
      await stranger.sees("Ostrel Road");
      check(!(await stranger.page.$("nav")), "no way further in");
    } finally {
      await stranger.end();
    }
  });
}

export async function review_keyboard_landmarks_and_search() {
  await with_desk(async (desk) => {
    await desk.enter();
    const { keyboard } = desk.page;
    await desk.go("/review");
    await keyboard.press("Tab");
    const first = await desk.page.evaluate(() => document.activeElement.innerText);
    check(first === "To the content", `the first stop leads to the content: ${first}`);
    const order = [];
    for (let n = 0; n < 9; n += 1) {
      await keyboard.press("Tab");
      order.push(await desk.page.evaluate(() => document.activeElement.innerText.trim()));
    }
    check(order.join(" ").startsWith("Dripleg Queue Visits Sites Questions People"), `in the order of the page: ${order}`);
    const marks = await desk.page.evaluate(() => ["header", "nav", "main", "footer"].filter((own) => !document.querySelector(own)));
    check(marks.length === 0, `landmarks are missing: ${marks}`);
    await desk.go("/review/search");
    await desk.page.type("[name=q]", "UH-05");
    await desk.page.waitForFunction(() => document.querySelector("#found a")?.innerText.includes("UH-05"));
    await desk.page.waitForFunction(() => /found/.test(document.getElementById("count").innerText));
    await desk.page.type("[name=q]", " nowhere");
    await desk.page.waitForFunction(() => document.getElementById("count").innerText.includes("Nothing among your sites"));
  });
}

export async function review_without_scripts_and_in_large_text() {
  await with_desk(async (desk) => {
    await desk.page.setJavaScriptEnabled(false);
    await desk.enter();
    const [visit] = await desk.story();
    await desk.go(visit);
    const [path] = await desk.links("/settle?");
    await desk.go(path);
    await desk.page.click("[name=chosen]");
    await desk.page.type("form[action$='/settle'] [name=reason]", "by the photo of the plate");
    const came = desk.page.waitForNavigation();
    await desk.page.click("form[action$='/settle'] button");
    await came;
    check(desk.page.url() === visit, `settled without scripts: ${desk.page.url()}`);
    await desk.page.setJavaScriptEnabled(true);
    await desk.page.setViewport({ ...PHONE, deviceScaleFactor: 1 });
    const wrong = [];
    for (const page of await all_pages(desk)) {
      await desk.go(page);
      await desk.page.evaluate(() => document.documentElement.style.setProperty("font-size", "200%"));
      await pause(40);
      const wide = await desk.page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      if (wide > 0) wrong.push(`${new URL(page).pathname}: at 200 % text ${wide} px wider than the screen`);
    }
    told(wrong);
  });
}

// A passkey is bound to a name, so the hub is opened by one; the browser's own key stands for a real one.
async function with_passkeys(desk) {
  const client = await desk.page.createCDPSession();
  await client.send("WebAuthn.enable", { enableUI: false });
  const options = { protocol: "ctap2", transport: "internal", hasResidentKey: true, hasUserVerification: true,
    isUserVerified: true, automaticPresenceSimulation: true };
  const { authenticatorId } = await client.send("WebAuthn.addVirtualAuthenticator", { options });
  return async () => (await client.send("WebAuthn.getCredentials", { authenticatorId })).credentials;
}

export async function review_a_passkey_opens_the_pages() {
  await with_desk(async (desk, demo) => {
    // By its number the hub offers none, and says why.
    await desk.enter();
    await desk.go("/review/me");
    await desk.page.type("[name=label]", "this computer");
    await desk.page.type("[data-passkey] [name=password]", desk.password);
    await desk.page.click("form[data-passkey] button");
    await desk.page.waitForFunction(() => document.querySelector("[data-says]").innerText.includes("reached by a number"));

    demo.url = demo.url.replace("127.0.0.1", "localhost");
    const kept = await with_passkeys(desk);
    await desk.enter();
    await desk.go("/review/me");
    await desk.page.type("[name=label]", "this computer");
    await desk.page.type("[data-passkey] [name=password]", "not the password, not at all");
    await desk.page.click("form[data-passkey] button");
    await desk.page.waitForFunction(() => document.querySelector("[data-says]").innerText.includes("not the password"));
    check((await kept()).length === 0, "nothing is made before the password was given");
    await desk.fill("[data-passkey] [name=password]", desk.password);
    const added = desk.page.waitForNavigation({ waitUntil: "load" });
    await desk.page.click("form[data-passkey] button");
    await added;
    await desk.sees("this computer");
    check((await kept()).length === 1, "the browser keeps one");
    const wrong = [];
    await axe_on(desk, wrong, "own page");
    told(wrong);

    await desk.send("form[action='/review/sign-out']");
    await desk.page.waitForSelector("form[data-passkey]", { visible: true });
    const opened = desk.page.waitForNavigation({ waitUntil: "load" });
    await desk.page.click("form[data-passkey] button");
    await opened;
    check(new URL(desk.page.url()).pathname === "/review", `not let in: ${await desk.text()}`);
    await desk.go("/review/audit");
    await desk.sees("signed in with a passkey");

    await desk.go("/review/me");
    await desk.send("form[action='/review/me/passkey/remove']");
    await desk.sees("none");
    await desk.send("form[action='/review/sign-out']");
    const refused = desk.page.waitForNavigation({ waitUntil: "load" });
    await desk.page.click("form[data-passkey] button");
    await refused;
    await desk.sees("This passkey opens nothing here");
    // The password goes on working.
    await desk.enter();
    for (const line of desk.said.filter((line) => /^pageerror/.test(line))) wrong.push(line);
    told(wrong);
  });
}

export async function review_the_bell_says_what_has_arrived() {
  await with_desk(async (desk, demo) => {
    await desk.enter();
    const [visit] = await desk.story();
    // Nobody's own deeds ring: somebody of the office comes with a code.
    await desk.go("/review/people");
    await desk.page.$eval("form[action='/review/people/code']", (form) => {
      form.elements.role.value = "office";
      form.elements.every.checked = true;
    });
    await desk.send("form[action='/review/people/code']");
    const code = await desk.page.$eval(".big-code", (own) => own.innerText);
    await desk.go(visit);
    const other = await Desk.open(demo);
    try {
      await other.go("/review/join");
      for (const [name, words] of [["code", code], ["name", "Maren"], ["sign_in", "maren"], ["password", desk.password], ["again", desk.password]]) {
        await other.page.type(`[name=${name}]`, words);
      }
      await other.send("main form");
      await other.go(visit);
      await other.fill("form[action$='/query'] [name=text]", "Which instrument was it?");
      await other.send("form[action$='/query']");
    } finally {
      await other.end();
    }
    await desk.page.waitForSelector("#news", { visible: true });
    check(!(await desk.text()).includes("Which instrument"), "nothing moves under the reader's hands");
    const anew = desk.page.waitForNavigation({ waitUntil: "load" });
    await desk.page.click("#news a");
    await anew;
    await desk.sees("Which instrument was it?");
  });
}

// Pictures for the supervisor's guide.
export async function review_pictures() {
  await with_desk(async (desk) => {
    await desk.enter();
    await desk.look("light");
    await desk.picture("review-01-queue");
    const visits = await desk.story();
    await desk.go(visits[1]);
    await desk.picture("review-02-visit");
    await desk.go((await desk.links("/settle?")).find((path) => path.includes("unit%2Fstatus")));
    await desk.picture("review-03-settle");
    await desk.go("/review/people");
    await desk.fill("form[action='/review/firm'] [name=name]", "Quillhatch Heat Service");
    await desk.send("form[action='/review/firm']");
    for (const visit of visits) {
      await desk.settle(visit);
      await desk.sign(visit);
    }
    await desk.go(visits[1]);
    const [customer] = await desk.links("/report/customer");
    const slips = [...(await desk.links("/report/shut_down")), ...(await desk.links("/report/column"))];
    await desk.go(customer);
    await desk.picture("review-04-customer");
    await desk.go(slips[0]);
    await desk.picture("review-05-slip");
    await desk.go("/review/search?q=UH-06");
    await desk.go((await desk.links("/units/"))[0]);
    await desk.picture("review-06-unit");
  });
}
