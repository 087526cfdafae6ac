// What every page needs: a shared tablet that signs itself out, and forms sent once.

const idleSeconds = Number(document.body.dataset.idleS);

if (idleSeconds) {
  // The session ends on the server at the same moment; this takes the last cook's page away too.
  let last = Date.now();
  for (const kind of ["pointerdown", "keydown", "scroll"]) {
    addEventListener(kind, () => { last = Date.now(); }, { passive: true });
  }
  setInterval(() => {
    if (Date.now() - last > idleSeconds * 1000) {
      document.getElementById("sign-out")?.submit();
    }
  }, 5000);
}

// A second tap on a slow connection would send the form twice; the server copes, the cook is spared.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (event.defaultPrevented || form.dataset.many !== undefined) return;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  addEventListener("pageshow", () => delete form.dataset.sent, { once: true });
});

const passkey = document.getElementById("passkey_login");
if (passkey && window.PublicKeyCredential) passkey.hidden = false;
