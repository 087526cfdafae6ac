// The stages of a batch: nothing typed is ever lost.
//
// What is typed is kept on the phone, by batch and stage, until the server says that it is saved;
// it goes to the server whenever the cook pauses or leaves. Without this script the form works too.

import { doubt, figures, read } from "./readings.js";

const form = document.querySelector("form[data-draft]");
const PAUSE_MS = 1500;

const store = {
  get(key) {
    try { return JSON.parse(localStorage.getItem(key)); } catch { return null; }
  },
  set(key, value) {
    try { localStorage.setItem(key, JSON.stringify(value)); } catch { /* no room: the server has it soon */ }
  },
  drop(key) {
    try { localStorage.removeItem(key); } catch { /* nothing kept, nothing to drop */ }
  },
};

for (const mark of document.querySelectorAll("[data-draft-of]")) {
  if (!store.get(mark.dataset.draftOf)) continue;
  mark.hidden = false;
  document.querySelector("[data-any-draft]")?.removeAttribute("hidden");
}

if (form) logStage(form);

function logStage(form) {
  const key = form.dataset.draft;
  const state = form.querySelector("[data-save-state]");
  const measures = [...form.querySelectorAll("input.measure")];
  let changes = 0;
  let saved = 0;
  let sending = Promise.resolve();
  let pause;

  // What is ticked off on the bench sheet stays on the phone: it is no reading.
  const isTick = (field) => field.name?.startsWith("weighed_");
  const ticks = form.querySelectorAll('[name^="weighed_"]');
  const ticked = store.get(`${key}:ticked`) ?? [];
  for (const box of ticks) box.checked ||= ticked.includes(box.name);

  const fields = () => [...form.elements].filter(
    (field) => field.name && (field.type !== "hidden" || "kept" in field.dataset)
      && field.type !== "submit" && !isTick(field),
  );
  const valueOf = (field) => (field.type === "checkbox" || field.type === "radio"
    ? (field.checked ? field.value : "") : field.value);

  function keepHere() {
    const draft = {};
    for (const field of fields()) {
      if (field.type !== "radio" || field.checked) draft[field.name] = valueOf(field);
    }
    store.set(key, draft);
  }

  function bringBack() {
    const draft = store.get(key);
    if (!draft) return;
    let differs = false;
    for (const field of fields()) {
      if (!(field.name in draft) || valueOf(field) === draft[field.name]) continue;
      if (field.type === "checkbox" || field.type === "radio") {
        field.checked = field.value === draft[field.name];
      } else if (draft[field.name] === "" && field.dataset.saved) {
        continue; // saved from another window since
      } else {
        field.value = draft[field.name];
        differs = true;
      }
    }
    if (!differs) return;
    changes += 1;
    document.getElementById("brought-back").hidden = false;
  }

  function tell(word) {
    if (state) state.textContent = word ? state.dataset[word] : "";
  }

  async function post(action, { leaving = false } = {}) {
    const body = new URLSearchParams(new FormData(form));
    body.set("action", action);
    const sent = changes;
    let answer;
    try {
      const response = await fetch(location.pathname, {
        method: "POST", body, keepalive: leaving, headers: { Accept: "application/json" },
      });
      if (response.redirected || !response.ok) {
        tell("signIn");
        return null;
      }
      answer = await response.json();
    } catch {
      if (!leaving) tell("kept");
      return null;
    }
    if (answer.basis) form.elements.basis.value = answer.basis;
    if (answer.saved) {
      saved = Math.max(saved, sent);
      if (saved === changes) store.drop(key);
      document.getElementById("brought-back").hidden = true;
    }
    tell(answer.saved ? "saved" : "partly");
    showErrors(answer.errors);
    return answer;
  }

  /** Show what the server could not read, but not in the field that is being typed into. */
  function showErrors(errors) {
    for (const [name, found] of Object.entries(errors)) {
      const field = form.elements[name];
      const box = document.getElementById(`answer_${name}`);
      if (!box) {
        if (name === "__all__" && state) state.textContent = found[0].message;
        continue;
      }
      if (box.childElementCount || document.activeElement === field) continue;
      const list = document.createElement("ul");
      list.className = "errorlist";
      list.id = `${field.id}_error`;
      list.setAttribute("role", "alert");
      for (const { message } of found) {
        list.append(Object.assign(document.createElement("li"), { textContent: message }));
      }
      box.append(list);
      field.classList.add("is-asked");
      field.setAttribute("aria-describedby", list.id);
    }
  }

  /** Send what is not saved yet, after what is on its way. */
  function autosave(options) {
    clearTimeout(pause);
    if (!("autosave" in form.dataset) || saved === changes) return;
    if (options?.leaving) {
      post("keep", options);
      return;
    }
    sending = sending.then(() => (saved === changes ? null : post("keep")));
  }

  form.addEventListener("input", (event) => {
    if (event.target.form !== form) return; // of the photo, which is sent by itself
    if (isTick(event.target)) {
      store.set(`${key}:ticked`, [...ticks].filter((box) => box.checked).map((box) => box.name));
      return;
    }
    changes += 1;
    keepHere();
    clearTimeout(pause);
    pause = setTimeout(autosave, PAUSE_MS);
    if (event.target.matches(".measure")) {
      clearAnswer(event.target);
      count();
    }
  });
  form.addEventListener("focusout", (event) => {
    if (event.target.matches(".measure")) ask(event.target);
  });
  addEventListener("pagehide", () => autosave({ leaving: true }));
  document.addEventListener("visibilitychange", () => {
    if (document.visibilityState === "hidden") autosave({ leaving: true });
  });
  addEventListener("online", () => autosave());

  // A caliper types "3.21" and Enter: go to the next field by itself, and never send half a list.
  form.addEventListener("keydown", (event) => {
    if (event.key !== "Enter" || !event.target.matches("input") || event.target.form !== form) return;
    event.preventDefault();
    const here = measures.indexOf(event.target);
    if (here < 0) {
      form.querySelector("[data-on-enter]")?.click();
      return;
    }
    const next = measures[here + 1] ?? form.querySelector(".actions .primary");
    next.focus();
    next.select?.();
    next.scrollIntoView({ block: "center" });
  });

  // A list pasted into one field goes to all fields.
  form.addEventListener("paste", (event) => {
    const box = form.elements.paste;
    const text = event.clipboardData?.getData("text") ?? "";
    if (!box || !event.target.matches(".measure") || text.trim().split(/[\s;]+/).length < 2) return;
    event.preventDefault();
    box.value = text;
    form.requestSubmit(form.querySelector('button[value="paste"]'));
  });

  form.addEventListener("submit", async (event) => {
    if (event.submitter?.value !== "save" || form.dataset.native) return;
    event.preventDefault();
    const button = event.submitter;
    button.disabled = true;
    clearTimeout(pause);
    await sending;
    const answer = await post("save");
    button.disabled = false;
    if (answer?.saved) {
      store.drop(key);
      store.drop(`${key}:ticked`);
      location.assign(answer.next);
    } else if (answer) {
      // Something is amiss: let the server draw the page with its questions.
      form.dataset.native = "yes";
      keepHere();
      form.requestSubmit(button);
    }
  });
  addEventListener("pageshow", () => { delete form.dataset.native; });

  function clearAnswer(field) {
    const box = document.getElementById(`answer_${field.name}`);
    if (!box?.childElementCount) return;
    box.replaceChildren();
    field.classList.remove("is-asked");
    field.closest(".has-error")?.classList.remove("has-error");
    field.removeAttribute("aria-invalid");
  }

  function ask(field) {
    const { target, low, high, saved: onRecord } = field.dataset;
    const box = document.getElementById(`answer_${field.name}`);
    const unit = field.closest(".with-unit")?.querySelector(".unit")?.textContent ?? "mm";
    const value = read(field.value, unit);
    if (!target || !box || box.childElementCount || value === null || value < 0) return;
    if (onRecord !== undefined && read(onRecord, unit) === value) return;
    const found = doubt(value, Number(target), Number(low), Number(high));
    if (!found) return;
    const words = {
      label: field.labels[0].textContent.trim().replace(/\s+/g, " "),
      value: figures(value), unit, suggestion: found.suggestion, target: figures(Number(target)),
    };
    const fill = (text) => text.replace(/\{(\w+)\}/g, (_all, name) => words[name]);
    const part = document.getElementById("question").content.cloneNode(true);
    const text = part.querySelector("p");
    text.id = `question_${field.name}`;
    text.textContent = fill(found.suggestion ? text.dataset.askMeant : text.dataset.ask);
    const use = part.querySelector("[data-use]");
    const keep = part.querySelector("[data-keep]");
    const label = part.querySelector("label");
    if (found.suggestion) {
      use.textContent = fill(use.dataset.use);
      use.addEventListener("click", () => {
        field.value = found.suggestion;
        field.dispatchEvent(new Event("input", { bubbles: true }));
        (measures[measures.indexOf(field) + 1] ?? field).focus();
      });
    } else {
      use.remove();
    }
    keep.name = `keep_${field.name}`;
    keep.id = keep.name;
    keep.value = words.value;
    keep.checked = store.get(key)?.[keep.name] === keep.value;
    label.htmlFor = keep.id;
    label.textContent = fill(label.dataset.label);
    box.append(part);
    field.classList.add("is-asked");
    field.setAttribute("aria-describedby", text.id);
  }

  function count() {
    const output = form.querySelector("[data-count]");
    if (!output) return;
    const filled = measures.filter((field) => read(field.value) !== null).length;
    output.textContent = `${filled} / ${output.dataset.of}`;
  }

  if ("typed" in form.dataset) {
    changes += 1;
    keepHere();
    form.querySelector("[aria-invalid=true]")?.focus();
  } else {
    bringBack();
  }
  count();
  for (const field of measures) if (field.value) ask(field);
  autosave();
}
