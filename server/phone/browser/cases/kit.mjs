// What every test has at hand: the hub, phones that are kept in folders of their own, and sentences that
// fail with what the screen showed.
import { spawn } from "node:child_process";
import { mkdtemp, rm, mkdir } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import puppeteer from "puppeteer-core";

const SLOW = Number(process.env.DRIPLEG_PATIENCE ?? 1);
export const PATIENCE = 20000 * SLOW;
export const pause = (ms) => new Promise((done) => setTimeout(done, ms));

export function check(holds, words) {
  if (!holds) throw new Error(words);
}

export function same(found, wanted, words) {
  const [one, other] = [JSON.stringify(found), JSON.stringify(wanted)];
  if (one !== other) throw new Error(`${words}: found ${one}, wanted ${other}`);
}

// The hub as a process: a line in, a line out.
export class Hub {
  static async start() {
    const hub = new Hub();
    const { DRIPLEG_HUB_PROGRAM: program, DRIPLEG_BUNDLE: bundle } = process.env;
    hub.process = spawn(program, ["hub", bundle], { stdio: ["pipe", "pipe", "inherit"] });
    const lines = createInterface({ input: hub.process.stdout });
    hub.lines = lines[Symbol.asyncIterator]();
    const first = await hub.lines.next();
    check(!first.done, "the hub did not start");
    hub.url = JSON.parse(first.value).url;
    return hub;
  }

  async tell(words) {
    this.process.stdin.write(`${words}\n`);
    const { value, done } = await this.lines.next();
    check(!done, `the hub ended at '${words}'`);
    const answer = JSON.parse(value);
    check(!answer.wrong, `the hub at '${words}': ${answer.wrong}`);
    return answer;
  }

  async code(who) {
    return (await this.tell(`code ${who}`)).code;
  }

  async end() {
    const ended = new Promise((done) => this.process.once("exit", done));
    this.process.stdin.end();
    await ended;
  }
}

// Nothing of the browser's own goes out, and nothing but the page is drawn.
const QUIET = ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--disable-quic", "--no-first-run", "--mute-audio"];
QUIET.push("--disable-background-networking", "--disable-component-update", "--disable-sync");

export const PHONE = { width: 390, height: 844, deviceScaleFactor: 2, isMobile: true, hasTouch: true };
export const DESK = { width: 1280, height: 900, deviceScaleFactor: 1 };

// One phone: a browser with a folder of its own, which survives the browser.
export class Phone {
  constructor(hub, folder, view) {
    Object.assign(this, { hub, folder, view, taps: 0, said: [] });
  }

  static async fresh(hub, view = PHONE, firefox = false) {
    const folder = await mkdtemp(join(tmpdir(), "dripleg-phone-"));
    const phone = new Phone(hub, folder, view);
    phone.firefox = firefox;
    await phone.launch();
    return phone;
  }

  async launch() {
    const common = { userDataDir: join(this.folder, "profile"), defaultViewport: this.view, protocolTimeout: 120000 * SLOW };
    this.browser = await (this.firefox
      ? puppeteer.launch({ ...common, browser: "firefox", executablePath: process.env.DRIPLEG_FIREFOX ?? "/usr/bin/firefox-esr" })
      : puppeteer.launch({ ...common, executablePath: process.env.DRIPLEG_CHROMIUM ?? "/usr/bin/chromium", args: QUIET }));
    const [page] = await this.browser.pages();
    await this.use(page ?? (await this.browser.newPage()));
  }

  async use(page) {
    this.page = page;
    page.setDefaultTimeout(PATIENCE);
    page.on("console", (line) => this.said.push(`${line.type()}: ${line.text()}`));
    page.on("pageerror", (wrong) => this.said.push(`pageerror: ${wrong.message}`));
  }

  async open(path = "/phone/") {
    await this.page.goto(this.hub.url + path, { waitUntil: "domcontentloaded" });
  }

  // Opens the link of a code, as a technician does, and joins.
  async join(who) {
    const code = await this.hub.code(who);
    await this.open(`/phone/#join=${code}`);
    await this.at("join");
    await this.page.waitForFunction(() => document.querySelector("[name=code]")?.value.length > 6);
    await this.click("[data-say=join]");
    await this.at("sites");
    await this.settled();
  }

  // Waits until the shell is on the phone and nothing is being exchanged.
  async settled() {
    await this.page.evaluate(() => navigator.serviceWorker.ready.then(() => null));
    await this.page.waitForFunction(() => !document.querySelector("[data-busy]"));
  }

  async kill() {
    const gone = new Promise((done) => this.browser.process().once("exit", done));
    this.browser.process().kill("SIGKILL");
    await gone;
    await pause(300);
  }

  async end() {
    await this.browser?.close().catch(() => {});
    await rm(this.folder, { recursive: true, force: true, maxRetries: 5 }).catch(() => {});
  }

  // --- looking ---

  text() {
    return this.page.evaluate(() => document.getElementById("face").innerText);
  }

  place() {
    return this.page.evaluate(() => document.querySelector("#face main")?.dataset.place ?? "");
  }

  // Waits for a screen by the first words of its place.
  async at(place) {
    try {
      await this.page.waitForFunction(
        (own) => {
          const here = document.querySelector("#face main")?.dataset.place ?? "";
          return here === own || here.startsWith(`${own} `);
        },
        {},
        place,
      );
    } catch (wrong) {
      throw new Error(`not at '${place}' but at '${await this.place()}': ${await this.text()} (${wrong.message})`);
    }
  }

  async sees(words) {
    try {
      await this.page.waitForFunction((own) => document.getElementById("face").innerText.includes(own), {}, words);
    } catch {
      throw new Error(`'${words}' is not on '${await this.place()}': ${await this.text()}`);
    }
  }

  async gone(words) {
    await this.page.waitForFunction((own) => !document.getElementById("face").innerText.includes(own), {}, words);
  }

  async has(words) {
    return (await this.text()).includes(words);
  }

  // --- touching ---

  async click(selector) {
    const mark = selector.startsWith("[data-say") ? "drawn" : "answered";
    const count = () => this.page.evaluate((own) => performance.getEntriesByName(own).length, mark);
    const before = await count();
    const key = await this.page.waitForSelector(`#face ${selector}`, { visible: true }).catch(async () => {
      throw new Error(`no key ${selector} on '${await this.place()}': ${await this.text()}`);
    });
    await key.evaluate((own) => own.scrollIntoView({ block: "center" }));
    await key.click();
    this.taps += 1;
    await this.page.waitForFunction((own, n) => performance.getEntriesByName(own).length > n, { polling: 20 }, mark, before);
  }

  // One screen back, as the phone's own key does it.
  async back() {
    const before = await this.page.evaluate(() => performance.getEntriesByName("answered").length);
    await this.page.evaluate(() => history.back());
    await this.page.waitForFunction((n) => performance.getEntriesByName("answered").length > n, { polling: 20 }, before);
  }

  // Taps the key whose words begin so.
  tap(words) {
    return this.click(`[data-tap^="${words}"]`);
  }

  // Taps the key that says this.
  async press(says) {
    const tap = await this.page.evaluate((own) => {
      const keys = [...document.querySelectorAll("#face [data-tap]")];
      const key = keys.find((key) => key.innerText.trim().split("\n")[0].trim() === own);
      return key?.dataset.tap;
    }, says);
    check(tap !== undefined, `no key says '${says}' on '${await this.place()}': ${await this.text()}`);
    await this.click(`[data-tap="${tap}"]`);
  }

  async digits(text) {
    for (const digit of text) await this.tap(`digit ${digit}`);
  }

  async type(name, text) {
    await this.page.waitForSelector(`#face [name=${name}]`);
    await this.page.type(`#face [name=${name}]`, text);
    await pause(600);
  }

  // Opens a unit from the list by its number.
  async unit(no) {
    await this.at("units");
    const tap = await this.page.evaluate((own) => {
      const tiles = [...document.querySelectorAll("#face .tile")];
      return tiles.find((tile) => tile.querySelector(".n").innerText === own)?.dataset.tap;
    }, no);
    check(tap, `no unit ${no} in the list`);
    await this.click(`[data-tap="${tap}"]`);
    await this.at("unit");
  }

  // Opens the visit that is planned for today.
  async today() {
    await this.at("sites");
    await this.tap("visit ");
    await this.at("units");
  }

  async home() {
    for (let n = 0; n < 12 && !(await this.place()).startsWith("units"); n += 1) await this.back();
    await this.at("units");
  }

  async picture(name) {
    const folder = process.env.DRIPLEG_PICTURES;
    await mkdir(folder, { recursive: true });
    await this.page.screenshot({ path: join(folder, `${name}.png`) });
  }
}
