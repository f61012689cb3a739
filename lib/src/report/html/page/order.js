// When each chart is drawn: those in sight or near it first, the rest when the browser has nothing
// else to do, and all that are left before the page is printed. A long report can be read at once.

// Safari has no requestIdleCallback.
const whenIdle = window.requestIdleCallback ?? ((task) => setTimeout(task, 16));

export const drawInOrder = (divs, draw) => {
  const left = new Set(divs);

  const finishIfDone = () => {
    if (left.size === 0) {
      document.documentElement.dataset.charts = "drawn";
    }
  };
  const drawOnce = (div) => {
    if (left.delete(div)) {
      near.unobserve(div);
      draw(div);
      finishIfDone();
    }
  };

  const near = new IntersectionObserver(
    (entries) => entries.filter((one) => one.isIntersecting).forEach((one) => drawOnce(one.target)),
    { rootMargin: "50% 0%" },
  );
  const drawNextWhenIdle = () => {
    const [next] = left;
    if (next) {
      drawOnce(next);
      whenIdle(drawNextWhenIdle);
    }
  };

  divs.forEach((div) => near.observe(div));
  addEventListener("beforeprint", () => [...left].forEach(drawOnce));
  finishIfDone();
  // After the first look at what is in sight.
  requestAnimationFrame(() => whenIdle(drawNextWhenIdle));
};
