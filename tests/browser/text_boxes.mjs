// What is wrong with the texts of the drawings in a page: run inside the browser, so it uses nothing
// from outside itself.

/** Texts that lie on one another or reach out of their drawing, one line each. */
export const misplacedTexts = () => {
  // In px. A box holds the room above and below the letters too, so that two may share some of it.
  const slackAcross = 1;
  const slackDown = 3;
  const slackAtEdge = 0.5;
  const faults = [];
  for (const svg of document.querySelectorAll("svg")) {
    const where = svg.closest("figure")?.id || svg.getAttribute("class");
    const frame = svg.getBoundingClientRect();
    const texts = [...svg.querySelectorAll("text")]
      .filter((text) => text.textContent.trim() !== "" && text.checkVisibility({ opacityProperty: true }))
      .map((text) => ({ words: text.textContent, box: text.getBoundingClientRect() }));
    texts.forEach(({ words, box }, i) => {
      if (
        box.left < frame.left - slackAtEdge ||
        box.right > frame.right + slackAtEdge ||
        box.top < frame.top - slackAtEdge ||
        box.bottom > frame.bottom + slackAtEdge
      ) {
        faults.push(`${where}: "${words}" reaches out of the drawing`);
      }
      for (const other of texts.slice(i + 1)) {
        const across = Math.min(box.right, other.box.right) - Math.max(box.left, other.box.left);
        const down = Math.min(box.bottom, other.box.bottom) - Math.max(box.top, other.box.top);
        if (across > slackAcross && down > slackDown) {
          faults.push(`${where}: "${words}" lies on "${other.words}"`);
        }
      }
    });
  }
  return faults;
};

/** Texts that are smaller than `least`, in px as they come out, one line for each kind of place. */
export const smallTexts = (least) => {
  const rounding = 0.01; // px
  const faults = new Set();
  const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  while (walker.nextNode()) {
    const element = walker.currentNode.parentElement;
    if (walker.currentNode.data.trim() === "" || !element.checkVisibility({ opacityProperty: true })) {
      continue;
    }
    // A drawing may be shrunk to the width of the paper, and a text in it turned.
    let scale = 1;
    if (element instanceof SVGGraphicsElement) {
      const { a, b } = element.getScreenCTM();
      scale = Math.hypot(a, b);
    }
    const seen = parseFloat(getComputedStyle(element).fontSize) * scale;
    if (seen < least - rounding) {
      const where = element.closest("figure")?.id ?? element.closest("section")?.id ?? "";
      faults.add(`${where} ${element.localName}.${element.className?.baseVal ?? element.className}: ${seen.toFixed(1)} px`);
    }
  }
  return [...faults];
};
