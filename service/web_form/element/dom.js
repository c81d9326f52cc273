// Builds nodes without parsing HTML: anything from outside is set as text.

let counted = 0;

/** A new id, for labels and descriptions. */
const nextId = () => `f${(counted += 1)}`;

/** The parts that a shop's style can reach (`::part`), by the class or the tag of an element. */
const STYLED = {
  frame: "frame", page: "page", field: "field", hint: "hint", fault: "fault", finding: "finding", notice: "notice", summary: "problems", price: "price",
  wire: "wire", drawn: "drawing", foot: "foot", made: "made", choice: "choice", parts: "sections", open: "button", second: "button button-second",
  quiet: "button button-quiet", danger: "button button-danger", link: "", part: "",
};
const STYLED_TAGS = { button: "button", h2: "title", h3: "heading", select: "input", textarea: "input" };

function partOf(tag, { class: name = "", type }) {
  const part = STYLED[(name ?? "").split(" ")[0]];
  return part ?? STYLED_TAGS[tag] ?? (tag === "input" && type !== "radio" ? "input" : "");
}

/** An element; `on` holds listeners, `text` its text, everything else is an attribute (left out if null or false). */
function el(tag, { text, on = {}, ...attributes } = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries({ part: partOf(tag, attributes) || null, ...attributes })) setAttribute(made, name, value);
  for (const [name, listener] of Object.entries(on)) made.addEventListener(name, listener);
  if (text !== undefined) made.textContent = text;
  made.append(...children.filter((each) => each !== null && each !== undefined));
  return made;
}

function setAttribute(node, name, value) {
  if (value === null || value === undefined || value === false) node.removeAttribute(name);
  else if (node.getAttribute(name) !== String(value === true ? "" : value)) node.setAttribute(name, value === true ? "" : value);
}

/** The listener looks the action up when pressed, so that a button that stays in place can be given a new one. */
function button(text, work, attributes = {}) {
  const made = el("button", { type: "button", text, on: { click: (event) => made.work(event) }, ...attributes });
  made.work = work;
  return made;
}

const pause = (ms) => new Promise((done) => setTimeout(done, ms));

/** Calls `work` once, `wait` ms after the last call. */
function debounced(work, wait) {
  let timer = 0;
  const call = (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => work(...given), wait);
  };
  call.cancel = () => clearTimeout(timer);
  return call;
}

/** A button that asks for confirmation in place before it acts. */
function sureButton(text, sure, keep, work, attributes = {}) {
  const place = el("span", { class: "sure" });
  const ask = button(text, () => {
    const yes = button(sure, work, { class: "danger" });
    place.replaceChildren(yes, button(keep, back, { class: "quiet" }));
    yes.focus();
  }, attributes);
  const back = () => {
    place.replaceChildren(ask);
    ask.focus();
  };
  place.append(ask);
  return place;
}
