// The supervisor's browser, against the demo's hub: what the two halves of the record disagree on is left to
// these pages.
import { spawn } from "node:child_process";
import { mkdtemp, mkdir, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { createInterface } from "node:readline";
import puppeteer from "puppeteer-core";
import { DESK, PATIENCE, check } from "./kit.mjs";

const PASSWORD = "a sentence that is long enough";

// `cargo demo` as a person starts it; it tells its address and a code, and is stopped by its own number.
export class Demo {
  static async start() {
    const demo = new Demo();
    demo.folder = await mkdtemp(join(tmpdir(), "dripleg-desk-"));
    const words = ["run", "--quiet", "-p", "tests", "--bin", "demo", "--", "--no-phone"];
    words.push("--folder", join(demo.folder, "demo"));
    demo.process = spawn("cargo", words, { stdio: ["ignore", "pipe", "inherit"] });
    for await (const line of createInterface({ input: demo.process.stdout })) {
      demo.url ??= /open (http\S+)\/review\/join/.exec(line)?.[1];
      demo.code ??= /with the code (\S+)/.exec(line)?.[1];
      if (demo.code) break;
    }
    check(demo.url && demo.code, "the demo tells no address and no code");
    return demo;
  }

  async end() {
    const ended = new Promise((done) => this.process.once("exit", done));
    if (this.process.exitCode === null) {
      this.process.kill("SIGINT");
      await ended;
    }
    await rm(this.folder, { recursive: true, force: true, maxRetries: 5 }).catch(() => {});
  }
}

export class Desk {
  static async open(demo, view = DESK) {
    const desk = new Desk();
    Object.assign(desk, { demo, said: [], password: PASSWORD });
    desk.browser = await puppeteer.launch({
      executablePath: process.env.DRIPLEG_CHROMIUM ?? "/usr/bin/chromium",
      userDataDir: join(demo.folder, `profile-${Math.random()}`),
      defaultViewport: view,
      args: ["--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-first-run", "--disable-quic",
        "--disable-background-networking", "--disable-component-update", "--disable-sync"],
    });
    const [page] = await desk.browser.pages();
    desk.page = page;
    page.setDefaultTimeout(PATIENCE);
    page.on("console", (line) => desk.said.push(`${line.type()}: ${line.text()}`));
    page.on("pageerror", (wrong) => desk.said.push(`pageerror: ${wrong.message}`));
    return desk;
  }

  async end() {
    await this.browser?.close().catch(() => {});
  }

  async go(path) {
    await this.page.goto(path.startsWith("http") ? path : this.demo.url + path, { waitUntil: "load" });
  }

  // Comes with the code the first time, with the password later.
  async enter() {
    if (this.demo.joined) {
      await this.go("/review/sign-in");
      await this.page.type("[name=name]", "oriane");
    } else {
      await this.go("/review/join");
      await this.page.type("[name=code]", this.demo.code);
      await this.page.type("[name=sign_in]", "oriane");
      await this.page.type("[name=again]", PASSWORD);
    }
    await this.page.type("[name=password]", PASSWORD);
    await this.send("main form");
    this.demo.joined = true;
    check(new URL(this.page.url()).pathname === "/review", `not let in: ${await this.text()}`);
  }

  // Sends a form by its key and waits for the page that comes.
  async send(form, key = "button[type=submit]") {
    const came = this.page.waitForNavigation({ waitUntil: "load" });
    await this.page.$eval(`${form} ${key}`, (own) => own.click());
    await came;
  }

  // Fills in a field of a form that may be folded up.
  async fill(field, text) {
    await this.page.$eval(field, (own, words) => { own.value = words; }, text);
  }

  text() {
    return this.page.$eval("main", (own) => own.innerText);
  }

  async sees(words) {
    const text = await this.text();
    check(text.includes(words), `'${words}' is not on ${this.page.url()}: ${text.slice(0, 600)}`);
  }

  links(part) {
    return this.page.$$eval("a", (all, own) => [...new Set(all.map((a) => a.href).filter((href) => href.includes(own)))], part);
  }

  // The two visits of the story, out of the queue; a plan for today is none of them.
  async story() {
    await this.go("/review");
    const of = (day) => this.page.$$eval("tr", (rows, own) => {
      const row = rows.find((row) => row.innerText.includes(own));
      return row?.querySelector("a[href*='/visits/']")?.href;
    }, day);
    const visits = [await of("2024-10-08"), await of("2025-01-22")];
    check(visits.every(Boolean), `the story's visits do not wait: ${await this.text()}`);
    return visits;
  }

  // Settles everything that a visit offers.
  async settle(visit) {
    await this.go(visit);
    let settled = 0;
    for (const path of await this.links("/settle?")) {
      await this.go(path);
      if (!(await this.page.$("form[action$='/settle']"))) continue;
      const choice = await this.page.$("form[action$='/settle'] [name=chosen]");
      if (choice) await choice.evaluate((own) => { own.checked = true; });
      const into = await this.page.$("select[name=into]");
      if (into) await into.evaluate((own) => { own.value = [...own.options].find((one) => one.text === "UH-04").value; });
      await this.fill("form[action$='/settle'] [name=reason]", "compared with the evidence beside it");
      await this.send("form[action$='/settle']");
      check(new URL(this.page.url()).pathname === new URL(visit).pathname, `not settled: ${await this.text()}`);
      settled += 1;
    }
    return settled;
  }

  // Excepts what still holds, and signs.
  async sign(visit) {
    await this.go(visit);
    while (await this.page.$("form[action$='/except']")) {
      await this.fill("form[action$='/except'] [name=reason]", "ports seen closed on the photo");
      await this.send("form[action$='/except']");
    }
    await this.send("form[action$='/sign']");
    await this.sees("Oriane Tullock, supervisor");
  }

  async look(scheme) {
    await this.page.emulateMediaFeatures([{ name: "prefers-color-scheme", value: scheme }]);
  }

  async picture(name, whole = false) {
    const folder = process.env.DRIPLEG_PICTURES;
    await mkdir(folder, { recursive: true });
    await this.page.screenshot({ path: join(folder, `${name}.png`), fullPage: whole });
  }
}
