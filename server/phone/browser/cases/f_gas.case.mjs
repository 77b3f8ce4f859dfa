// The gas screen: there before anything else is, quiet, and it asks for nothing.
import { begin } from "./hands.mjs";
import { Phone, check, pause } from "./kit.mjs";

const shown = (phone, id) =>
  phone.page.evaluate((own) => {
    const section = document.getElementById(own);
    return getComputedStyle(section).display === "none" ? "" : section.innerText;
  }, id);

export async function gas_smell_without_the_program(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.page.setJavaScriptEnabled(false);
  await phone.open("/phone/#gas");
  const words = await shown(phone, "gas");
  for (const own of ["Do not use this phone here", "Get people out", "close it only if it is on your way out", "Put the phone away now"]) {
    check(words.includes(own), `'${own}' is not on the gas screen: ${words}`);
  }
  check(!(await phone.page.$("#gas input, #gas textarea, #gas form")), "the gas screen asks for something");
}

export async function gas_smell_in_the_middle_of_a_reading(hub, phones) {
  const phone = await Phone.fresh(hub);
  phones.push(phone);
  await phone.join("Ilse");
  await phone.today();
  await phone.unit("UH-02");
  await begin(phone, "Take FOUND");
  await phone.digits("3");
  const asked = [];
  await phone.page.evaluate(() => document.querySelector("#face a.stop").click());
  check((await shown(phone, "gas")).includes("Stop."), "the key with eight corners does not open the gas screen");
  phone.page.on("request", (request) => asked.push(request.url()));
  await pause(3000);
  check(asked.length === 0, `the radio is used on the gas screen: ${asked}`);
  // The phone's own key back leads to where the hands were, with what was typed.
  await phone.page.goBack();
  await phone.at("stop");
  await phone.sees("3");
  await phone.page.evaluate(() => document.querySelector("#face a.stop").click());
  await phone.page.evaluate(() => document.querySelector('#gas div[lang=en] a[href="#outside"]').click());
  check((await shown(phone, "outside")).includes("Call emergency services"), "outside has its own words");
  await phone.page.evaluate(() => document.querySelector('#outside div[lang=en] [data-tap="outside"]').click());
  await phone.at("record");
  await phone.sees("Emergency numbers of this site");
  await phone.type("emergency", "gas smell at door 3, utility called from the yard");
  await phone.tap("putemergency");
  await phone.at("units");
}
