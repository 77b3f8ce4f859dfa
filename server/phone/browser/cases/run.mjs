// Runs the tests whose name holds one of the words given, all without: one line each.
import { readdir } from "node:fs/promises";
import { Hub } from "./kit.mjs";

const only = process.argv.slice(2);
const files = (await readdir(".")).filter((name) => name.endsWith(".case.mjs")).sort();
let [passed, failed] = [0, 0];
for (const file of files) {
  for (const [name, run] of Object.entries(await import(`./${file}`))) {
    const words = `${file.replace(".case.mjs", "")} ${name}`;
    if (only.length && !only.some((word) => words.includes(word))) continue;
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
      for (const phone of phones) console.log(phone.said.slice(-20).join("\n"));
    } finally {
      for (const phone of phones) await phone.end();
      await hub.end();
    }
  }
}
console.log(`browser: ${passed} passed, ${failed} failed`);
if (failed || !passed) process.exitCode = 1;
