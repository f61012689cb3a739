// Tables of numbers are open in the page as written, so that none is lost without a script, and
// folded by the script. A link to a folded one unfolds it.

const unfold = (hash) => {
  const target = document.getElementById(decodeURIComponent(hash.slice(1)));
  for (let around = target; around; around = around.parentElement) {
    if (around.localName === "details") {
      around.open = true;
    }
  }
  return target;
};

export const foldTables = () => {
  for (const details of document.querySelectorAll("details.data")) {
    details.open = false;
  }
  document.addEventListener("click", (event) => {
    const link = event.target.closest('a[href^="#"]');
    if (link) {
      unfold(link.hash);
    }
  });
  // An address with a fragment, and the way back to it through the history.
  addEventListener("hashchange", () => unfold(location.hash));
  if (location.hash) {
    unfold(location.hash)?.scrollIntoView();
  }
};
