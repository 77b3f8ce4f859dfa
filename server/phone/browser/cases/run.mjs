// Runs the cases whose name holds one of the words given, all without: one line each. Two at a time, each
// with a hub of its own, because most of a case is waiting.
import { readdir } from "node:fs/promises";
import { Hub } from "./kit.mjs";

const AT_A_TIME = Number(process.env.DRIPLEG_AT_A_TIME ?? 2);
const only = process.argv.slice(2);
const cases = [];
for (const file of (await readdir(".")).filter((name) => name.endsWith(".case.mjs")).sort()) {
  for (const [name, run] of Object.entries(await import(`./${file}`))) {
    const words = `${file.replace(".case.mjs", "")} ${name}`;
    if (!only.length || only.some((word) => words.includes(word))) cases.push({ words, run });
  }
}
let [passed, failed] = [0, 0];

async function one({ words, run }) {
  const start = Date.now();
  const phones = [];
  const hub = await Hub.start();
  try {
    await run(hub, phones);
    passed += 1;
    console.log(`browser: ${words} passed (${((Date.now() - start) / 1000).toFixed(1)} s)`);
  } catch (wrong) {
    failed += 1;
    console.log(`browser: ${words} FAILED: ${wrong.stack}`);
    const quiet = (line) => !line.includes("beforeinstallprompt");
    for (const phone of phones) console.log(phone.said.filter(quiet).slice(-20).join("\n"));
  } finally {
    for (const phone of phones) await phone.end();
    await hub.end();
  }
}

async function lane() {
  for (let next = cases.shift(); next; next = cases.shift()) await one(next);
}

await Promise.all(Array.from({ length: AT_A_TIME }, lane));
console.log(`browser: ${passed} passed, ${failed} failed`);
if (failed || !passed) process.exitCode = 1;
