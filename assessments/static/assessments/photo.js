// A photo goes to the server as the camera made it; a broken upload goes again, and arrives once.
//
// Without this script the form is a plain one. With it the upload shows how far it is, and what
// was chosen is kept on the page until the server has it.

const form = document.querySelector("form[data-photo]");
const STALLED_MS = 45_000;

if (form?.elements.file) sendPhotos(form);

function sendPhotos(form) {
  const part = document.getElementById("photo-part");
  const state = part.querySelector("[data-photo-state]");
  const bar = part.querySelector("progress");
  const again = part.querySelector("[data-photo-again]");
  const inputs = [...form.elements].filter((field) => field.type === "file");
  let file = null;
  let request = null;
  let watch;

  for (const input of inputs) {
    input.classList.add("visually-hidden");
    for (const label of input.labels) label.classList.add("button", "wide", ...label.dataset.as.split(" "));
    input.addEventListener("change", () => {
      if (!input.files.length) return;
      file = input.files[0];
      input.value = ""; // so that the same photo can be chosen again
      form.elements.client_key.value = newKey();
      send();
    });
  }
  part.querySelector("[data-photo-send]").hidden = true;
  again.addEventListener("click", send);
  // Leaving the page now would break the upload: the browser asks first.
  addEventListener("beforeunload", (event) => { if (request) event.preventDefault(); });
  addEventListener("online", () => { if (file && !request) send(); });

  function send() {
    clearErrors();
    if (file.size > Number(form.dataset.mostBytes)) {
      refuse({ file: [{ message: state.dataset.tooLarge }] });
      return;
    }
    const body = new FormData(form);
    body.set("file", file, file.name);
    request = new XMLHttpRequest();
    request.open("POST", location.pathname);
    request.setRequestHeader("Accept", "application/json");
    request.upload.addEventListener("progress", ({ loaded, total }) => showProgress(loaded / total));
    request.upload.addEventListener("load", () => {
      clearTimeout(watch); // measuring takes as long as it takes
      tell("measuring");
      bar.removeAttribute("value");
    });
    request.addEventListener("load", answered);
    request.addEventListener("error", () => broken("broken"));
    request.addEventListener("abort", () => broken("broken"));
    request.send(body);
    again.hidden = true;
    bar.hidden = false;
    for (const input of inputs) input.disabled = true;
    showProgress(0);
  }

  function showProgress(share) {
    bar.value = share;
    const percent = Math.floor(100 * share);
    tell("sending", { percent });
    clearTimeout(watch);
    watch = setTimeout(() => request?.abort(), STALLED_MS);
  }

  function answered() {
    const { status, responseText, responseURL } = request;
    if (new URL(responseURL).pathname !== location.pathname || status === 403) {
      broken("signIn");
      return;
    }
    let answer = null;
    try { answer = JSON.parse(responseText); } catch { /* no answer of ours */ }
    if (answer?.next) {
      settle();
      location.assign(answer.next);
    } else if (answer?.errors) {
      refuse(answer.errors);
    } else if (status === 413) {
      refuse({ file: [{ message: state.dataset.tooLarge }] });
    } else {
      broken("fault");
    }
  }

  function settle() {
    clearTimeout(watch);
    request = null;
    for (const input of inputs) input.disabled = false;
  }

  /** Keep the photo for another try. */
  function broken(word) {
    settle();
    bar.hidden = true;
    again.hidden = false;
    tell(word, { name: file.name });
  }

  /** Say what is wrong with what was chosen. */
  function refuse(errors) {
    settle();
    bar.hidden = true;
    state.textContent = "";
    if (errors.file || errors.__all__) file = null;
    else again.hidden = false;
    for (const [name, found] of Object.entries(errors)) {
      const box = part.querySelector(`[data-errors-of="${name}"]`) ?? part.querySelector("[data-errors-of=file]");
      const list = document.createElement("ul");
      list.className = "errorlist";
      list.setAttribute("role", "alert");
      for (const { message } of found) {
        list.append(Object.assign(document.createElement("li"), { textContent: message }));
      }
      box.append(list);
      box.closest("details")?.setAttribute("open", "");
    }
  }

  function clearErrors() {
    for (const list of part.querySelectorAll(".errorlist")) list.remove();
  }

  function tell(word, words = {}) {
    const text = state.dataset[word].replace(/\{(\w+)\}/g, (_all, name) => words[name]);
    if (state.textContent !== text) state.textContent = text;
  }
}

/** A random UUID; the browser's own maker is there on encrypted pages only. */
function newKey() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[6] = (bytes[6] & 0x0f) | 0x40;
  bytes[8] = (bytes[8] & 0x3f) | 0x80;
  const hex = [...bytes].map((byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}
