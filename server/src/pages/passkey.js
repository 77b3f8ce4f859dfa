// Passkeys: the hub says what to ask, the reader's device answers, the hub judges. The forms stay hidden
// where a browser cannot; the password needs none of this.
"use strict";

const credential = window.PublicKeyCredential;
const kinds = {
  create: [credential?.parseCreationOptionsFromJSON, (publicKey) => navigator.credentials.create({ publicKey })],
  get: [credential?.parseRequestOptionsFromJSON, (publicKey) => navigator.credentials.get({ publicKey })],
};

// What the hub wants asked. It says why not in a sentence of its own.
async function begun(form) {
  const fields = new URLSearchParams(new FormData(form));
  const answer = await fetch(form.dataset.begin, { method: "POST", body: fields, redirect: "error" });
  const found = await answer.json();
  if (!answer.ok) throw new Error(found.says);
  return found;
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
  const [parse, ask] = kinds[form.dataset.passkey];
  if (!parse) continue;
  form.hidden = false;
  for (const note of document.querySelectorAll("[data-passkey-not]")) note.hidden = true;
  const says = form.querySelector("[data-says]");
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    says.hidden = true;
    const key = form.querySelector("button");
    key.disabled = true;
    try {
      const answer = await ask(parse.call(credential, await begun(form)));
      form.elements.answer.value = JSON.stringify(answer.toJSON());
      // It has done its work, and goes nowhere twice.
      if (form.elements.password) form.elements.password.value = "";
      form.submit();
    } catch (wrong) {
      const plain = wrong instanceof DOMException || wrong instanceof TypeError || wrong instanceof SyntaxError;
      says.textContent = plain ? `No passkey came of it (${wrong.name}). Try again, or use the password.` : wrong.message;
      says.hidden = false;
      key.disabled = false;
    }
  });
}
