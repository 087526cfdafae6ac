// What no rule engine knows: the house's own sizes, in CSS pixels. Returns what breaks them.
// A checkbox is touched together with its label; a link within a sentence is as high as its line
// (WCAG 2.5.8 exempts it).
() => {
  const problems = [];
  const shown = (element) => {
    const box = element.getBoundingClientRect();
    return (
      box.width > 1 && box.height > 1 &&
      element.checkVisibility({ visibilityProperty: true, opacityProperty: true }) &&
      !element.closest(".skip, .visually-hidden")
    );
  };
  const name = (element) => element.outerHTML.replace(/\s+/g, " ").slice(0, 110);

  const width = document.scrollingElement.scrollWidth;
  if (width > innerWidth) {
    const wide = [...document.querySelectorAll("body *")].filter(
      (element) => shown(element) && element.getBoundingClientRect().right > innerWidth + 1,
    );
    problems.push(`scrolls sideways, ${width} px: ${wide.slice(0, 3).map(name).join(" ")}`);
  }

  const touched = "button, input, select, textarea, summary, a[href], [role=button]";
  for (const element of document.querySelectorAll(touched)) {
    if (!shown(element) || element.closest("svg")) continue;
    let height = element.getBoundingClientRect().height;
    if (element.matches("input[type=checkbox], input[type=radio]")) {
      const labels = [...element.labels].map((label) => label.getBoundingClientRect().height);
      height = Math.max(height, ...labels);
    }
    if (element.matches("a") && getComputedStyle(element).display === "inline") {
      const sentence = element.closest("p, li, dd, td, figcaption, .help, .note, .caution");
      if (sentence && sentence.textContent.trim() !== element.textContent.trim()) continue;
    }
    if (height < 47.5) problems.push(`${Math.round(height)} px high: ${name(element)}`);
  }

  const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const small = new Set();
  while (texts.nextNode()) {
    const element = texts.currentNode.parentElement;
    if (!texts.currentNode.data.trim() || !shown(element)) continue;
    if (element.closest("svg, script, style, noscript")) continue;
    const size = parseFloat(getComputedStyle(element).fontSize);
    if (size < 15.99) small.add(`type of ${size} px: ${name(element)}`);
  }
  return [...problems, ...small];
};
