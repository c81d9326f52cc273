// Input controls. Each is `{root, set(entry, given), focusable(), describe(ids), invalid(yes)}`; it calls `changed(value)`.

const MOST_RADIOS = 7;
const SHORT = 30; // characters of a label that goes beside another on a telephone

/** One of a few choices. An answer that is not required can be cleared. */
class Radios {
  constructor(context, entry, changed) {
    this.context = context;
    this.changed = changed;
    this.name = nextId();
    this.root = el("div", { class: "choices" });
  }

  set({ question, choices, answer }) {
    this.root.classList.toggle("pictured", choices.some((each) => each.illustration));
    this.root.classList.toggle("paired", choices.length > MOST_RADIOS + 1);
    this.root.classList.toggle("sided", choices.every((each) => each.label.length <= SHORT && !each.help));
    const offered = question.required || "default" in question ? choices : [...choices, { value: undefined, label: this.context.texts.noAnswer }];
    const shape = JSON.stringify(offered.map((each) => [each.value, each.label]));
    if (shape !== this.shape) {
      this.shape = shape;
      this.values = offered.map((each) => each.value);
      this.root.replaceChildren(...offered.map((each, place) => this.choice(each, place)));
    }
    this.inputs().forEach((input, place) => (input.checked = this.values[place] === answer && (answer !== undefined || place === this.values.length - 1)));
  }

  choice({ value, label, help, illustration }, place) {
    const hint = help ? el("span", { class: "hint", id: nextId(), text: help }) : null;
    const input = el("input", { type: "radio", name: this.name, value: place, id: nextId(), on: { change: () => this.changed(value) } });
    if (hint) input.setAttribute("aria-describedby", hint.id);
    const picture = illustration ? el("img", { src: this.context.service.illustration(illustration, this.context.language), alt: "", loading: "lazy" }) : null;
    return el("div", { class: "choice" }, input, el("div", {}, el("label", { for: input.id, text: label }), hint), picture);
  }

  inputs() {
    return [...this.root.querySelectorAll("input")];
  }

  focusable() {
    return this.inputs().find((each) => each.checked) ?? this.inputs()[0];
  }
}

/** Choices that are tapped on a drawing, each where it is there; the name of the one in use stands below it. A choice without a place follows. */
class Tapped extends Radios {
  set(entry) {
    const before = this.shape;
    const { view_box: box, says, shapes } = entry.question.map;
    super.set(entry);
    this.root.className = "choices tapped";
    if (this.shape !== before) {
      this.picture = svg("svg", { viewBox: box.map(Number).join(" "), role: "img", "aria-label": says });
      for (const shape of shapes) {
        const node = shapeNode(shape);
        if (node && shape.part !== undefined) node.setAttribute("data-part", shape.part);
        if (node) this.picture.append(node);
      }
      this.putInPlace(entry);
      this.root.prepend(this.picture, el("div", { class: "chosen-name", text: this.context.texts.tap }));
    }
    for (const node of this.picture.querySelectorAll("[data-part]")) node.classList.toggle("s-chosen", this.values[node.dataset.part] === entry.answer);
  }

  choice(offered, place) {
    const made = super.choice(offered, place);
    if (offered.spot) made.classList.add("spot", `spot-${place}`);
    return made;
  }

  /** Rules that put each place where it is: lengths as shares of the width, as percentages of margins are. */
  putInPlace({ choices, question }) {
    const [, , width, height] = question.map.view_box.map(Number);
    const share = (length) => `${(Number(length) / width) * 100}%`;
    const rule = ({ spot }, place) => (spot ? `.spot-${place} input { left: calc(${share(spot[0])} - 22px); margin-top: calc(${share(spot[1])} - 22px); }` : "");
    this.context.places ??= new CSSStyleSheet();
    this.context.places.replaceSync([...choices.map(rule), `.tapped .spot label { margin-top: ${share(height)}; }`].join("\n"));
    const { root, places } = this.context;
    if (!root.adoptedStyleSheets.includes(places)) root.adoptedStyleSheets = [...root.adoptedStyleSheets, places];
  }
}

/** One of many choices. */
class Select {
  constructor(context, entry, changed) {
    this.context = context;
    this.root = el("select", { id: nextId(), on: { change: () => changed(this.values[this.root.selectedIndex]) } });
  }

  set({ question, choices, answer }) {
    const shape = JSON.stringify(choices.map((each) => [each.value, each.label]));
    if (shape !== this.shape) {
      this.shape = shape;
      const blank = "default" in question ? [] : [{ value: undefined, label: question.required ? this.context.texts.choose : this.context.texts.noAnswer }];
      const offered = [...blank, ...choices];
      this.values = offered.map((each) => each.value);
      this.root.replaceChildren(...offered.map((each) => el("option", { text: each.label })));
    }
    this.root.selectedIndex = this.values.indexOf(answer);
  }

  focusable() {
    return this.root;
  }
}

const FILLED = { "customer.name": "name", "customer.telephone": "tel", "customer.address.street": "street-address", "customer.address.postal_code": "postal-code", "customer.address.city": "address-level2", "customer.delivery_address.street": "shipping street-address", "customer.delivery_address.postal_code": "shipping postal-code", "customer.delivery_address.city": "shipping address-level2" };
const INPUTS = { email: { type: "email", autocomplete: "email" }, count: { type: "text", inputmode: "numeric" } };

/** Text on one line, or on several. */
class Line {
  constructor(context, { question }, changed) {
    const more = { ...(INPUTS[question.kind] ?? { type: "text" }) };
    if (FILLED[question.path]) more.autocomplete = FILLED[question.path];
    if (more.autocomplete === "tel") more.inputmode = "tel";
    const on = { input: () => changed(this.root.value) };
    this.root = question.kind === "lines" ? el("textarea", { id: nextId(), rows: 3, on }) : el("input", { id: nextId(), autocomplete: "off", spellcheck: "false", ...more, on });
    if (["length", "temperature", "force", "count"].includes(question.kind)) this.root.classList.add("short");
  }

  set(entry, given) {
    if (this.root.value !== (given ?? "")) this.root.value = given ?? "";
  }

  focusable() {
    return this.root;
  }
}

/** Readings: two inputs at first, more on demand. */
class Readings {
  constructor(context, entry, changed) {
    this.context = context;
    this.changed = changed;
    this.rows = el("div", { class: "readings" });
    this.more = button(context.texts.addReading, () => {
      this.row(this.lines().length);
      this.lines().at(-1).focus();
    }, { class: "quiet" });
    this.root = el("div", {}, this.rows);
  }

  set({ question }, given = []) {
    while (this.lines().length < Math.max(2, given.length)) this.row(this.lines().length);
    this.lines().forEach((line, place) => {
      if (line.value !== (given[place] ?? "")) line.value = given[place] ?? "";
    });
    this.more.hidden = this.lines().length >= question.maximum;
  }

  row(place) {
    const tell = () => this.changed(this.lines().map((each) => each.value));
    const line = el("input", { id: nextId(), type: "text", class: "short", autocomplete: "off", spellcheck: "false", on: { input: tell } });
    if (this.described) line.setAttribute("aria-describedby", this.described);
    this.rows.append(el("div", { class: "reading" }, el("label", { for: line.id, text: this.context.texts.reading(place + 1) }), line));
  }

  lines() {
    return [...this.rows.querySelectorAll("input")];
  }

  focusable(place = 0) {
    return this.lines()[place] ?? this.lines()[0];
  }
}

/** Whether each choice is to be seen at once: fittings with their pictures. */
const isPictured = (question) => (question.choices ?? []).some((each) => each.illustration);

/** The control for a question; `grouped` if it needs a fieldset around it. */
function controlFor(context, entry, changed) {
  const { question, choices } = entry;
  if (question.kind === "lengths") return { control: new Readings(context, entry, changed), grouped: true };
  if (!isChosen(question)) return { control: new Line(context, entry, changed), grouped: false };
  if (question.map) return { control: new Tapped(context, entry, changed), grouped: true };
  const sent = (some) => some.filter((each) => each.sent !== false).length; // "I do not know" makes no list long
  const few = (sent(question.choices ?? []) || sent(choices)) <= MOST_RADIOS + 1 && sent(choices) <= MOST_RADIOS + 1;
  return few || isPictured(question) ? { control: new Radios(context, entry, changed), grouped: true } : { control: new Select(context, entry, changed), grouped: false };
}
