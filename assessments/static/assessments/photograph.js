// The page of a photo: waits for its widths, and lets a strand be picked with a finger.
//
// Without this script the page loads itself again while it waits, and the list of strands below
// the picture does all that the picture does.

const waiting = document.querySelector("[data-wait-at]");
if (waiting) wait(waiting);

const frame = document.querySelector("[data-frame]");
if (frame) pickStrands(frame);

function wait(part) {
  const FIRST_MS = 1000;
  const LONGEST_MS = 5000;
  let pause = FIRST_MS;
  let shown = part.dataset.state;

  async function ask() {
    try {
      const response = await fetch(part.dataset.waitAt, { headers: { Accept: "application/json" } });
      if (response.status >= 500) throw new Error(response.statusText);
      const answer = response.ok && !response.redirected ? await response.json() : null;
      if (!answer || answer.done) {
        location.reload(); // where somebody else is signed in by now, the page says so
        return;
      }
      part.querySelector("[data-wait-text]").textContent = answer.text;
      if (answer.state !== shown) pause = FIRST_MS;
      shown = answer.state;
    } catch { /* nothing to be had just now: ask again */ }
    setTimeout(ask, pause);
    pause = Math.min(1.3 * pause, LONGEST_MS);
  }
  setTimeout(ask, pause);
}

function pickStrands(frame) {
  const picture = frame.querySelector("svg");
  const shapes = new Map([...picture.querySelectorAll("[data-strand]")].map((shape) => [shape.dataset.strand, shape]));
  const rows = new Map([...document.querySelectorAll("details[data-strand]")].map((row) => [row.dataset.strand, row]));
  const buttons = [...document.querySelectorAll("[data-enlarge]")];
  const sizes = [1, 2, 4];
  let chosen = null;

  for (const row of rows.values()) {
    row.addEventListener("toggle", () => {
      if (row.open) choose(row.dataset.strand);
      else if (chosen === row.dataset.strand) choose(null);
    });
  }
  picture.addEventListener("click", (event) => {
    const number = nearest(event.clientX, event.clientY);
    if (!number) return;
    choose(number);
    rows.get(number).querySelector("summary").focus({ preventScroll: true });
    rows.get(number).scrollIntoView({ block: "nearest" });
  });
  for (const button of buttons) {
    button.hidden = false;
    button.addEventListener("click", () => enlarge(Number(button.dataset.enlarge)));
  }

  /** Show a strand in the picture and in the list, and no other. */
  function choose(number) {
    chosen = number;
    for (const [name, shape] of shapes) shape.classList.toggle("is-chosen", name === number);
    for (const [name, row] of rows) row.open = name === number;
    if (number) {
      // What is drawn last lies on top.
      picture.querySelector("[data-shapes]").append(shapes.get(number));
      if (frame.dataset.enlarged !== "1") bringIntoFrame(shapes.get(number));
    }
  }

  /** The strand nearest to a point of the screen, or null where none is near. */
  function nearest(x, y) {
    const inverse = picture.getScreenCTM().inverse();
    const at = new DOMPoint(x, y).matrixTransform(inverse);
    const finger = 32 * Math.hypot(inverse.a, inverse.b);
    let best = null;
    let least = finger;
    for (const [number, shape] of shapes) {
      const distance = distanceTo(shape.querySelector("polygon"), at);
      if (distance < least) [best, least] = [number, distance];
    }
    return best;
  }

  function distanceTo(polygon, at) {
    const corners = [...polygon.points];
    let least = Infinity;
    let isInside = false;
    corners.forEach((one, index) => {
      const other = corners[(index + 1) % corners.length];
      const [dx, dy] = [other.x - one.x, other.y - one.y];
      const along = ((at.x - one.x) * dx + (at.y - one.y) * dy) / (dx * dx + dy * dy || 1);
      const place = Math.min(Math.max(along, 0), 1);
      least = Math.min(least, Math.hypot(at.x - one.x - place * dx, at.y - one.y - place * dy));
      if ((one.y > at.y) !== (other.y > at.y) && at.x < one.x + ((at.y - one.y) / dy) * dx) {
        isInside = !isInside;
      }
    });
    return isInside ? 0 : least;
  }

  function enlarge(change) {
    const place = sizes.indexOf(Number(frame.dataset.enlarged)) + change;
    const size = sizes[Math.min(Math.max(place, 0), sizes.length - 1)];
    const before = Number(frame.dataset.enlarged);
    const middle = ["Left", "Top"].map((side) => {
      const room = side === "Left" ? frame.clientWidth : frame.clientHeight;
      return (frame[`scroll${side}`] + room / 2) * (size / before);
    });
    frame.dataset.enlarged = size;
    for (const button of buttons) {
      button.disabled = sizes.at(button.dataset.enlarge === "1" ? -1 : 0) === size;
    }
    if (chosen) bringIntoFrame(shapes.get(chosen));
    else frame.scrollTo(middle[0] - frame.clientWidth / 2, middle[1] - frame.clientHeight / 2);
  }

  function bringIntoFrame(shape) {
    const [inner, outer] = [shape.getBoundingClientRect(), frame.getBoundingClientRect()];
    frame.scrollBy(
      inner.left + inner.width / 2 - outer.left - outer.width / 2,
      inner.top + inner.height / 2 - outer.top - outer.height / 2,
    );
  }

  const asked = document.getElementById(decodeURIComponent(location.hash.slice(1)));
  if (asked?.matches("details[data-strand]")) asked.open = true;
}
