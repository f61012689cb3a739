// The small box near the pointer with the numbers of the mark under it. It repeats what the table
// says, for the eye, so it is hidden from assistive technology.

const box = document.createElement("div");
box.className = "hover";
box.hidden = true;
box.setAttribute("aria-hidden", "true");

const hide = () => {
  box.hidden = true;
};

addEventListener("keydown", (event) => {
  if (event.key === "Escape") {
    hide();
  }
});
addEventListener("scroll", hide, { capture: true, passive: true });

// What Vega writes for a field that the row does not have. A text of the row may read the same.
const tellsOfNothing = (text, row) =>
  ["NaN", "null", "undefined", ""].includes(text) && !Object.values(row).includes(text);

const linesOf = (value, row) =>
  typeof value === "object"
    ? Object.entries(value).filter(([, text]) => !tellsOfNothing(String(text), row))
    : [["", value]];

// Beside the pointer, on the side where there is room.
const place = ({ clientX, clientY }) => {
  const gap = 12;
  const beside = (pointer, size, room) =>
    pointer + gap + size <= room ? pointer + gap : Math.max(0, pointer - gap - size);
  const { width, height } = box.getBoundingClientRect();
  // Through the object model: the page's policy forbids style attributes.
  box.style.left = `${beside(clientX, width, document.documentElement.clientWidth)}px`;
  box.style.top = `${beside(clientY, height, innerHeight)}px`;
};

/** Vega's tooltip handler: `value` is an object of title and text, or one text, or nothing. */
export const showHover = (handler, event, item, value) => {
  if (value === null || value === undefined || value === "") {
    hide();
    return;
  }
  const list = document.createElement("dl");
  for (const [title, text] of linesOf(value, item?.datum ?? {})) {
    const term = document.createElement("dt");
    term.textContent = title;
    const detail = document.createElement("dd");
    detail.textContent = String(text);
    list.append(term, detail);
  }
  box.replaceChildren(list);
  document.body.append(box);
  box.hidden = false;
  place(event);
};
