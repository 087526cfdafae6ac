// A module step by step: one screen at a time, progress sent, timers by the wall clock,
// the screen kept awake. Without this file the page is whole: all steps in order, real forms.

const module = document.getElementById("module");
const screens = [...module.querySelectorAll(":scope > .screen")];
const stepper = module.querySelector(".stepper");
const key = (name) => `module-${module.dataset.key}-${name}`;

// A browser that keeps nothing (private windows) must not stop the reading.
const kept = {
  get(name) { try { return localStorage.getItem(name); } catch { return null; } },
  set(name, value) { try { localStorage.setItem(name, value); } catch { /* not kept */ } },
  drop(name) { try { localStorage.removeItem(name); } catch { /* not kept */ } },
};

// --- One step at a time ---

let current = 0;
// Set by module-view.js before the page was painted.
const root = document.documentElement;
const isStepwise = () => root.dataset.view === "steps";

function screenOf(hash) {
  const target = hash.length > 1 && document.getElementById(decodeURIComponent(hash.slice(1)));
  const index = target ? screens.indexOf(target.closest(".screen")) : -1;
  return index < 0 ? null : index;
}

function show(index, { focus = false } = {}) {
  current = Math.min(Math.max(index, 0), screens.length - 1);
  const screen = screens[current];
  screens.forEach((one) => one.classList.toggle("is-shown", one === screen));
  stepper.querySelector(".place").textContent = screen.dataset.place;
  stepper.querySelector("[data-go='-1']").disabled = current === 0;
  stepper.querySelector("[data-go='1']").disabled = current === screens.length - 1;
  // The next picture is fetched while this one is read.
  screens[current + 1]?.querySelectorAll("img").forEach((img) => { img.loading = "eager"; });
  if (!isStepwise()) return;
  if (screen.id !== location.hash.slice(1) && (location.hash || current)) {
    history.replaceState(null, "", `#${screen.id}`);
  }
  if (focus) {
    scrollTo({ top: 0, behavior: "instant" });
    const start = screen.matches("[tabindex]") ? screen : screen.querySelector("[tabindex='-1']");
    start?.focus({ preventScroll: true });
  }
  see(screen);
}

function setView(view) {
  root.dataset.view = view;
  if (view === "steps") show(screenOf(location.hash) ?? current);
}

module.querySelector("[data-view-toggle]").addEventListener("click", () => {
  const view = isStepwise() ? "page" : "steps";
  kept.set("module-view", view);
  setView(view);
  scrollTo({ top: 0, behavior: "instant" });
});
stepper.addEventListener("click", (event) => {
  const go = event.target.closest("[data-go]");
  if (go) show(current + Number(go.dataset.go), { focus: true });
});
addEventListener("hashchange", () => {
  const index = screenOf(location.hash);
  if (index !== null && isStepwise()) show(index, { focus: true });
});
addEventListener("keydown", (event) => {
  if (!isStepwise() || event.altKey || event.ctrlKey || event.metaKey) return;
  if (event.target.closest("input, select, textarea")) return;
  if (event.key === "ArrowRight") show(current + 1, { focus: true });
  else if (event.key === "ArrowLeft") show(current - 1, { focus: true });
  else return;
  event.preventDefault();
});

// --- Progress: kept on the phone until it has gone through ---

const QUEUE = key("unsent");
let sending = false;
const queue = () => new Set(JSON.parse(kept.get(QUEUE) ?? "[]"));

function see(screen) {
  const step = screen.dataset.step;
  if (!step || screen.dataset.read !== undefined) return;
  screen.dataset.read = "";
  kept.set(QUEUE, JSON.stringify([...queue().add(step)]));
  send();
}

async function post(url, body) {
  return fetch(url, {
    method: "POST", body, redirect: "error", headers: { "X-Requested-With": "fetch" },
  });
}

async function send() {
  const steps = [...queue()];
  if (sending || !steps.length) return;
  sending = true;
  const body = new URLSearchParams(steps.map((step) => ["step", step]));
  body.set("csrfmiddlewaretoken", module.querySelector("[name=csrfmiddlewaretoken]")?.value ?? "");
  try {
    const response = await post(module.dataset.record, body);
    if (response.ok) {
      const left = [...queue()].filter((step) => !steps.includes(step));
      kept.set(QUEUE, JSON.stringify(left));
      swap(await response.text());
      if (left.length) setTimeout(send);
    }
  } catch { /* No connection: it stays in the queue. */ }
  sending = false;
}

function swap(html) {
  const template = document.createElement("template");
  template.innerHTML = html;
  for (const fresh of [...template.content.children]) {
    document.getElementById(fresh.id)?.replaceWith(fresh);
  }
}

addEventListener("online", send);
document.addEventListener("visibilitychange", send);

// All on one page: a step is seen when its end has been on the screen for a moment.
const waiting = new Map();
const ends = new IntersectionObserver((entries) => {
  for (const { target, isIntersecting } of entries) {
    clearTimeout(waiting.get(target));
    if (isIntersecting && !isStepwise()) {
      waiting.set(target, setTimeout(() => see(target.closest(".screen")), 1500));
    }
  }
});
screens.forEach((screen) => screen.dataset.step && ends.observe(screen.lastElementChild));

// --- Check questions: the same form, answered in place ---

module.addEventListener("submit", async (event) => {
  const form = event.target.closest("[data-question]");
  if (!form) return;
  event.preventDefault();
  form.querySelector(".unsent").hidden = true;
  const button = form.querySelector("[type=submit]");
  button.disabled = true;
  try {
    const response = await post(form.action, new FormData(form));
    if (!response.ok) throw new Error(response.status);
    swap(await response.text());
    document.querySelector(`#${form.id} .result`)?.focus();
  } catch {
    button.disabled = false;
    form.querySelector(".unsent").hidden = false;
  }
});

// --- Timers: only the moment of the end is kept, so that sleep and reload do no harm ---

const timers = [...module.querySelectorAll("[data-timer]")].map((box) => ({
  box,
  name: `timer-${module.dataset.key}-${box.dataset.timer}`,
  seconds: Number(box.dataset.seconds),
}));
const running = stepper.querySelector(".running");
let sound;

function clock(milliseconds) {
  const seconds = Math.max(0, Math.ceil(milliseconds / 1000));
  const parts = [Math.floor(seconds / 3600), Math.floor(seconds / 60) % 60, seconds % 60];
  const shown = parts[0] ? parts : parts.slice(1);
  return shown.map((part, place) => (place ? String(part).padStart(2, "0") : part)).join(":");
}

function ring() {
  navigator.vibrate?.([400, 200, 400, 200, 400]);
  if (!sound) return;
  for (const beat of [0, 0.5, 1]) {
    const tone = sound.createOscillator();
    tone.frequency.value = 880;
    tone.connect(sound.destination);
    tone.start(sound.currentTime + beat);
    tone.stop(sound.currentTime + beat + 0.25);
  }
}

function tick() {
  let nearest = null;
  for (const timer of timers) {
    const end = Number(kept.get(timer.name) ?? timer.end ?? 0);
    const left = end - Date.now();
    const part = (selector) => timer.box.querySelector(selector);
    const isUp = Boolean(end) && left <= 0;
    if (isUp && !timer.rang) ring();
    timer.rang = isUp;
    part("[data-start]").hidden = Boolean(end);
    part("[data-stop]").hidden = !end;
    part(".left").hidden = !end || isUp;
    part(".up").hidden = !isUp;
    if (end && !isUp) part(".left").textContent = clock(left);
    if (end && (!nearest || end < nearest.end)) nearest = { end, timer, isUp };
  }
  running.hidden = !nearest;
  if (nearest) {
    running.href = `#${nearest.timer.box.closest(".screen").id}`;
    running.querySelector("output").textContent = clock(nearest.end - Date.now());
    running.classList.toggle("is-up", nearest.isUp);
  }
}

for (const timer of timers) {
  timer.rang = Number(kept.get(timer.name) ?? 0) < Date.now();
  timer.box.addEventListener("click", (event) => {
    if (event.target.closest("[data-start]")) {
      // A sound may only be made after a touch: the start is that touch.
      sound ??= window.AudioContext && new AudioContext();
      timer.end = Date.now() + timer.seconds * 1000;
      kept.set(timer.name, String(timer.end));
    } else if (event.target.closest("[data-stop]")) {
      timer.end = 0;
      kept.drop(timer.name);
    } else return;
    tick();
    timer.box.querySelector("button:not([hidden])").focus();
  });
}
if (timers.length) {
  setInterval(tick, 500);
  document.addEventListener("visibilitychange", tick);
  tick();
}

// --- The screen stays on ---

const wake = module.querySelector("[data-wake]");
let lock = null;
let wantsWake = kept.get("module-wake") !== "no";

async function keepAwake() {
  if (!navigator.wakeLock) return;
  try {
    if (wantsWake && !lock && document.visibilityState === "visible") {
      lock = await navigator.wakeLock.request("screen");
      lock.addEventListener("release", () => { lock = null; keepAwake.show(); });
    } else if (!wantsWake) {
      await lock?.release();
    }
  } catch { lock = null; /* Low battery: the phone says no. */ }
  keepAwake.show();
}
keepAwake.show = () => wake.setAttribute("aria-pressed", String(Boolean(lock)));

if (navigator.wakeLock) {
  wake.addEventListener("click", () => {
    wantsWake = !lock;
    kept.set("module-wake", wantsWake ? "yes" : "no");
    keepAwake();
  });
  document.addEventListener("visibilitychange", keepAwake);
  keepAwake();
}

// --- Begin ---

setView(root.dataset.view);
send();
