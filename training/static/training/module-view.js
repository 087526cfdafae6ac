// Runs before anything of a module is painted, so that nothing moves when module.js takes over:
// all on one page, or one screen at a time, as the reader chose or as the screen is wide.
{
  const root = document.documentElement;
  let chosen = null;
  try { chosen = localStorage.getItem("module-view"); } catch { /* Nothing is kept here. */ }
  root.dataset.view = chosen ?? (matchMedia("(max-width: 47.99rem)").matches ? "steps" : "page");
  root.toggleAttribute("data-can-wake", "wakeLock" in navigator);
}
