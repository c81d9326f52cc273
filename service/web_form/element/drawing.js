// The wire as drawn so far, beside its questions: nodes built from the service's shapes. A part leads to its questions.

const DRAW_AFTER_MS = 20; // an answer that is chosen, or another question
const DRAW_TYPED_AFTER_MS = 400;
const DRAW_AGAIN_S = 5;
const SVG = "http://www.w3.org/2000/svg";
const DRAWN_KINDS = ["choice", "flag", "presence", "length"];
const NUMBERS = { line: ["x1", "y1", "x2", "y2"], rect: ["x", "y", "width", "height"], circle: ["cx", "cy", "r"], path: [], text: ["x", "y"] };

class DrawingPanel {
  constructor(app) {
    this.app = app;
    this.words = el("p", { class: "unseen", id: nextId() });
    this.note = el("p", { class: "hint", hidden: true, text: app.texts.drawingOld });
    this.box = el("div", { class: "sketch" });
    this.root = el("details", { class: "drawn", open: true, hidden: true }, el("summary", { text: app.texts.drawing }), this.note, this.box, this.words);
    this.soon = debounced(() => this.ask(), DRAW_AFTER_MS);
    this.later = debounced(() => this.ask(), DRAW_TYPED_AFTER_MS);
  }

  /** Show the wire with this id, or nothing; `asked` is the place that is asked for. */
  update(id, asked) {
    this.root.hidden = !id;
    if (!id) return this.cancel();
    const entries = this.app.model.entries(id).filter((each) => DRAWN_KINDS.includes(each.question.kind));
    const text = JSON.stringify({ assembly: fill({}, entries), ...(asked ? { asked } : {}) });
    if (text === this.text) return undefined;
    const chosen = JSON.stringify([id, asked, entries.filter((each) => each.question.kind !== "length").map((each) => each.answer)]);
    const swift = chosen !== this.chosen;
    Object.assign(this, { id, text, chosen });
    return swift ? this.soon() : this.later();
  }

  cancel() {
    this.soon.cancel();
    this.later.cancel();
    clearTimeout(this.timer);
    this.running?.abort();
    this.text = undefined;
  }

  /** Ask again what could not be answered. */
  again() {
    if (this.text && !this.note.hidden) this.ask();
  }

  async ask() {
    const { app, text } = this;
    clearTimeout(this.timer);
    this.running?.abort();
    this.running = new AbortController();
    const answer = await app.service.drawing(text, app.language, this.running.signal);
    if (answer.kind === "aborted" || text !== this.text) return;
    this.note.hidden = answer.kind === "ok";
    if (answer.kind === "ok") this.show(answer.body);
    else if (answer.kind === "offline") app.lost();
    else if (answer.kind !== "refused") this.timer = setTimeout(() => this.ask(), (answer.wait || DRAW_AGAIN_S) * 1000);
  }

  show({ view_box: box, says, parts, shapes }) {
    const held = this.box.contains(this.box.getRootNode().activeElement) ? this.at : undefined;
    this.words.textContent = says;
    const name = { role: "group", "aria-label": this.app.texts.drawing, "aria-describedby": this.words.id };
    const picture = svg("svg", { viewBox: box.map(Number).join(" "), ...name });
    picture.addEventListener("keydown", (event) => this.move(event));
    this.parts = parts.map((part, place) => this.part(part, place));
    for (const shape of shapes) {
      const node = shapeNode(shape);
      const part = this.parts[shape.part];
      if (part && !part.isConnected && part.parentNode !== picture) picture.append(part);
      if (node) (part ?? picture).append(node);
    }
    this.box.replaceChildren(picture);
    this.turnTo(Math.max(0, parts.findIndex((each) => each.pointer === held)));
    if (held) this.parts[this.place]?.focus();
    this.bring(parts.find((each) => each.asked), picture, box);
  }

  part({ pointer, says, box }, place) {
    const [x, y, width, height] = box.map(Number);
    const lead = () => this.app.lead(this.id, pointer);
    const made = svg("g", { class: "part", role: "button", tabindex: -1, "aria-label": says, "data-pointer": pointer });
    made.addEventListener("click", lead);
    made.addEventListener("focus", () => this.turnTo(place));
    made.append(svg("rect", { class: "hit", x, y, width, height }));
    return made;
  }

  /** One part is in the order of Tab; arrows lead to the others. */
  turnTo(place) {
    this.place = place;
    this.at = this.parts[place]?.dataset.pointer;
    this.parts.forEach((each, one) => setAttribute(each, "tabindex", one === place ? 0 : -1));
  }

  move(event) {
    const step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[event.key];
    const far = { Home: 0, End: this.parts.length - 1 }[event.key];
    if (step !== undefined || far !== undefined) {
      event.preventDefault();
      this.parts[far ?? Math.min(Math.max(this.place + step, 0), this.parts.length - 1)].focus();
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      this.app.lead(this.id, this.at);
    }
  }

  /** Where the drawing is higher than its place, what is asked for is brought into view; the whole, if that is asked for. */
  bring(part, picture, box) {
    this.box.classList.toggle("whole", !part);
    if (!part) return;
    const scale = picture.getBoundingClientRect().height / box[3];
    this.box.scrollTop = (part.box[1] + part.box[3] / 2) * scale - this.box.clientHeight / 2;
  }
}

/** An element of SVG with these attributes. */
function svg(tag, attributes) {
  const made = document.createElementNS(SVG, tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  return made;
}

/** The node of a shape; null for one that is not of the closed list. */
function shapeNode(shape) {
  if (!(shape.shape in NUMBERS)) return null;
  const numbers = Object.fromEntries(NUMBERS[shape.shape].map((name) => [name, Number(shape[name])]));
  const names = [shape.class, shape.fill && `fill-${shape.fill}`, shape.stroke && `stroke-${shape.stroke}`].filter(Boolean);
  const node = svg(shape.shape, { ...numbers, class: names.map((each) => `s-${each}`).join(" ") });
  if (shape.line_width) node.setAttribute("stroke-width", Number(shape.line_width));
  if (shape.shape === "path") node.setAttribute("d", /^[MLACZ0-9 .-]+$/.test(shape.d) ? shape.d : "");
  if (shape.shape === "text") {
    node.setAttribute("font-size", Number(shape.size));
    node.setAttribute("text-anchor", shape.anchor);
    node.textContent = shape.text;
  }
  return node;
}
