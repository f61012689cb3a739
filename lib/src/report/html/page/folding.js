// Tables of numbers are open in the page as written, so that none is lost without a script, and
// folded by the script. A link to a folded one unfolds it.

const idIn = (hash) => {
  try {
    return decodeURIComponent(hash.slice(1));
  } catch {
    return hash.slice(1); // a stray % that encodes nothing
  }
};

const unfold = (hash) => {
  const target = document.getElementById(idIn(hash));
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
      unfold(link.getAttribute("href"));
    }
  });
  // An address with a fragment, and the way back to it through the history.
  addEventListener("hashchange", () => unfold(location.hash));
  if (location.hash) {
    unfold(location.hash)?.scrollIntoView();
  }
};
