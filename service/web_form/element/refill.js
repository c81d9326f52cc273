// Replaces content that may be in use: whatever is still shown stays the same node.

/**
 * `children` are what a place shows from now on. A press under way when a response arrives still ends on the button where it began, the focus
 * stays, what was unfolded stays unfolded, and a button asking for confirmation goes on asking.
 */
function refill(place, children) {
  const focused = () => buttonsOf(place).indexOf(place.getRootNode().activeElement);
  const before = focused();
  settle(place, children);
  if (before >= 0 && focused() < 0) (buttonsOf(place)[before] ?? buttonsOf(place).at(-1))?.focus(); // the focused button itself is gone
}

const buttonsOf = (place) => [...place.querySelectorAll("button, summary")];

function settle(place, children) {
  const left = [...place.childNodes];
  for (const fresh of children) {
    const at = left.findIndex((each) => alike(each, fresh));
    if (at < 0) {
      place.insertBefore(fresh, left[0] ?? null);
    } else {
      left.splice(0, at).forEach((each) => each.remove());
      become(left.shift(), fresh);
    }
  }
  left.forEach((each) => each.remove());
}

/** Whether one node can become the other: the same kind of thing, for the same wire. */
function alike(stands, fresh) {
  return stands.nodeName === fresh.nodeName && ["aria-label", "data-wire"].every((name) => stands.getAttribute?.(name) === fresh.getAttribute?.(name));
}

function become(stands, fresh) {
  if (stands.nodeType === Node.TEXT_NODE) {
    if (stands.data !== fresh.data) stands.data = fresh.data;
    return;
  }
  if (stands.classList.contains("sure")) return;
  for (const name of stands.getAttributeNames()) if (name !== "open" && !fresh.hasAttribute(name)) stands.removeAttribute(name);
  for (const name of fresh.getAttributeNames()) setAttribute(stands, name, fresh.getAttribute(name));
  if (fresh.work) stands.work = fresh.work;
  settle(stands, [...fresh.childNodes]);
}
