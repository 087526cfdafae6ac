"""How a module appears on a slow phone: nothing moves once it is there; the times are printed.

Times depend on the machine, so no test judges them: ``pytest -m browser -k paint -s`` shows them.
"""

import pytest

from tests.browser.test_weight import FIRST_VISIT_BYTES
from training.blocks import DRAWINGS
from training.curriculum_pages import load_curriculum

# The simulated phone: a processor four times slower, 1.6 Mbit/s, 150 ms to the server and back.
CPU_SLOWER = 4
NETWORK = {
    "offline": False,
    "latency": 150,
    "downloadThroughput": 1_600_000 / 8,
    "uploadThroughput": 750_000 / 8,
}
HEAVIEST = 4
# While the page comes over the network in pieces: what counts as good (Core Web Vitals). Once it is
# there: a tenth of that.
MOST_SHIFT = {"arriving": 0.1, "there": 0.01}
OBSERVE = """
window.paint = { at: 0, what: "" };
window.shifts = [];
new PerformanceObserver((list) => {
  for (const entry of list.getEntries()) {
    window.paint = { at: entry.startTime, what: entry.element?.tagName.toLowerCase() ?? "" };
  }
}).observe({ type: "largest-contentful-paint", buffered: true });
new PerformanceObserver((list) => {
  for (const { hadRecentInput, startTime, value, sources } of list.getEntries()) {
    if (hadRecentInput) continue;
    const elements = sources.map(({ node }) => (node?.closest ? node : node?.parentElement));
    const moved = elements.map((element) => element?.outerHTML);
    window.shifts.push({ at: startTime, value, moved });
  }
}).observe({ type: "layout-shift", buffered: true });
"""
SEEN = """
() => {
  const there = performance.getEntriesByType("navigation")[0].domContentLoadedEventEnd;
  const shift = { arriving: 0, there: 0 };
  for (const { at, value } of window.shifts) shift[at < there ? "arriving" : "there"] += value;
  return { paint: window.paint, shift, moved: window.shifts.flatMap(({ moved }) => moved) };
}
"""
# Slowly enough that every picture is asked for. A moving drawing is not: it is hidden until it is
# wanted.
SCROLL = """
async () => {
  for (const screen of document.querySelectorAll(".screen")) {
    screen.scrollIntoView();
    await new Promise((done) => setTimeout(done, 30));
  }
  const shown = [...document.images].filter((one) => !one.closest(".motion"));
  await Promise.all(shown.map((one) => one.complete || new Promise((done) => {
    one.addEventListener("load", done);
    one.addEventListener("error", done);
    one.loading = "eager";
  })));
}
"""


def drawings_kb(module):
    """Return what all drawings of a module weigh."""
    names = {raw["value"].get("drawing") for raw in module.body.raw_data} - {None, ""}
    return sum((DRAWINGS / f"{name}.svg").stat().st_size for name in names) / 1000


@pytest.mark.parametrize("whole_page", [False, True], ids=["steps", "whole page"])
def test_a_module_appears_and_stays_in_place(context_of, house, whole_page):
    slow, moved, heavy = [], [], []
    modules = load_curriculum()
    if whole_page:
        # The pages are alike: where the heaviest are light enough, the others are too.
        modules = sorted(modules, key=drawings_kb)[-HEAVIEST:]
    for module in modules:
        context = context_of(house.cook)
        page = context.new_page()
        page.set_default_timeout(60_000)  # slow on purpose
        phone = context.new_cdp_session(page)
        sizes = []
        phone.on("Network.loadingFinished", lambda event, sizes=sizes: sizes.append(event))
        phone.send("Network.enable")
        phone.send("Network.emulateNetworkConditions", NETWORK)
        phone.send("Emulation.setCPUThrottlingRate", {"rate": CPU_SLOWER})
        page.add_init_script(OBSERVE)
        if whole_page:
            page.add_init_script("localStorage.setItem('module-view', 'page')")
        page.goto(module.address, wait_until="networkidle")
        if whole_page:
            page.evaluate(SCROLL)
            page.wait_for_load_state("networkidle")
        seen = page.evaluate(SEEN)
        context.close()
        size = sum(event["encodedDataLength"] for event in sizes)
        paint, shift = seen["paint"], seen["shift"]
        print(
            f"{paint['at']:6.0f} ms {paint['what']:8}"
            f" shift {shift['arriving']:.4f} {shift['there']:.4f}"
            f"{size / 1000:7.1f} kB  {module.slug}"
        )
        slow.append(paint["at"])
        if any(shift[when] > most for when, most in MOST_SHIFT.items()):
            what = " | ".join(str(one)[:80] for one in seen["moved"])
            moved.append(f"{module.slug}: {shift} {what}")
        if size > FIRST_VISIT_BYTES:
            heavy.append(f"{module.slug}: {size} bytes")
    assert min(slow) > 0
    assert heavy == []
    assert moved == []
