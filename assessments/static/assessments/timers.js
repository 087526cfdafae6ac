// Timers by wall clock: they survive a reload, a locked screen and a lost connection.

const RETRY_MS = 15000;
const clock = new Intl.DateTimeFormat(document.documentElement.lang, { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
const timers = [...document.querySelectorAll("[data-timer]")];
const title = document.title;
let audio = null;

const remember = {
  get(key) { try { return localStorage.getItem(key); } catch { return null; } },
  set(key, value) { try { localStorage.setItem(key, value); } catch { /* the server has it */ } },
  drop(key) { try { localStorage.removeItem(key); } catch { /* nothing there */ } },
};

function startedMs(timer) {
  // A press that the server does not know of yet counts all the same.
  const pressed = Number(remember.get(`evenhand:timer:${timer.dataset.timer}`));
  return pressed || Number(timer.dataset.startedS) * 1000;
}

function inFigures(seconds) {
  const pad = (number) => String(number).padStart(2, "0");
  const hours = Math.floor(seconds / 3600);
  const minutes = Math.floor(seconds / 60) % 60;
  const rest = `${pad(minutes)}:${pad(seconds % 60)}`;
  return hours ? `${hours}:${rest}` : rest;
}

function draw() {
  for (const timer of timers) {
    const started = startedMs(timer);
    if (!started) continue;
    const ends = started + Number(timer.dataset.minutes) * 60000;
    const left = Math.ceil((ends - Date.now()) / 1000);
    const face = timer.querySelector("[data-clock]");
    const text = left > 0 ? inFigures(left) : `+${inFigures(-left)}`;
    if (face.textContent !== text) face.textContent = text;
    face.classList.toggle("is-over", left <= 0);
    const when = timer.querySelector("[data-when]");
    if (when) {
      const words = left > 0 ? when.dataset.until : when.dataset.ended;
      const sentence = words.replace("{time}", clock.format(ends));
      if (when.textContent !== sentence) when.textContent = sentence;
    }
    if ("inTitle" in timer.dataset) document.title = `${text} · ${title}`;
    if (left > 0) timer.wasRunning = true;
    else if (timer.wasRunning) {
      timer.wasRunning = false;
      ring();
    }
  }
}

function ring() {
  navigator.vibrate?.([300, 150, 300, 150, 300]);
  if (!audio || remember.get("evenhand:sound") !== "on") return;
  for (const at of [0, 0.35, 0.7]) {
    const tone = audio.createOscillator();
    const volume = audio.createGain();
    tone.frequency.value = 880;
    volume.gain.value = 0.25;
    tone.connect(volume).connect(audio.destination);
    tone.start(audio.currentTime + at);
    tone.stop(audio.currentTime + at + 0.2);
  }
}

function allowSound() {
  // Browsers let a page sound only after a touch.
  if (remember.get("evenhand:sound") === "on") audio ??= new AudioContext();
}

const choice = document.querySelector("[data-sound-choice]");
if (choice && "AudioContext" in window) {
  const box = choice.querySelector("input");
  box.checked = remember.get("evenhand:sound") === "on";
  box.addEventListener("change", () => {
    remember.set("evenhand:sound", box.checked ? "on" : "off");
    allowSound();
  });
  choice.hidden = false;
  addEventListener("pointerdown", allowSound, { once: true });
}

const form = document.getElementById("timer");
if (form) {
  const timer = document.querySelector("[data-in-title]");
  const key = `evenhand:timer:${timer.dataset.timer}`;
  const state = timer.querySelector("[data-timer-state]");
  const start = document.querySelector("[data-start]");
  let again = false;

  const send = async () => {
    const pressed = Number(remember.get(key));
    if (!pressed) return;
    const body = new URLSearchParams(new FormData(form));
    body.set("pressed_ms_ago", Math.max(0, Date.now() - pressed));
    if (again || remember.get(`${key}:again`)) body.set("again", "yes");
    try {
      const response = await fetch(form.action, {
        method: "POST", body, headers: { Accept: "application/json" },
      });
      if (response.redirected || !response.ok) throw new Error(String(response.status));
      const answer = await response.json();
      timer.dataset.startedS = answer.started_at ? Date.parse(answer.started_at) / 1000 : "";
      remember.drop(key);
      remember.drop(`${key}:again`);
      again = false;
      state.textContent = "";
    } catch {
      state.textContent = state.dataset.kept;
    }
    draw();
  };

  form.addEventListener("submit", (event) => {
    event.preventDefault();
    again = event.submitter?.name === "again";
    if (startedMs(timer) && !again) return;
    remember.set(key, Date.now());
    if (again) remember.set(`${key}:again`, "yes");
    running();
    draw();
    send();
  });

  const running = () => {
    if (!startedMs(timer)) return;
    if (start) start.hidden = true;
    timer.querySelector("[data-again]").hidden = false;
    document.querySelector("[data-go-on]")?.classList.add("primary");
  };
  running();
  send();
  addEventListener("online", send);
  setInterval(send, RETRY_MS);
}

if (timers.length) {
  draw();
  setInterval(draw, 500);
  document.addEventListener("visibilitychange", draw);
}
