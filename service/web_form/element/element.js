// <wire-quote-form service="https://quotes.example" publishable-key="wq_publishable_..." lang="en"></wire-quote-form>

const PROPERTIES = { service: "service", publishableKey: "publishable-key", draft: "draft", reference: "reference" };

class WireQuoteForm extends (globalThis.HTMLElement ?? Object) { // a server that renders pages has no elements, and may import this all the same
  static observedAttributes = ["lang", "service", "publishable-key", "draft", "texts", "prefill"];

  constructor() {
    super();
    this.given = {};
    this.attachShadow({ mode: "open" }).adoptedStyleSheets = [STYLES];
  }

  connectedCallback(draft) {
    for (const name of [...Object.keys(PROPERTIES), "prefill", "texts"]) this.upgrade(name);
    this.app = App.made(this, this.shadowRoot, draft);
    this.app.start();
  }

  disconnectedCallback() {
    this.app?.stop();
    this.app = null;
  }

  attributeChangedCallback(name, before, after) {
    if (name in this.given) delete this.given[name];
    if (!this.app || before === after) return;
    if (name === "prefill") this.app.fill();
    else this.restart(name === "lang" || name === "texts");
  }

  /** Begin anew; `same` with the draft as it is, stored or not. */
  restart(same) {
    const draft = same ? this.app.model?.draft : undefined;
    this.app.stop();
    this.connectedCallback(draft);
  }

  /** A property that a framework set before this class was known. */
  upgrade(name) {
    if (!Object.hasOwn(this, name)) return;
    const value = this[name];
    delete this[name];
    this[name] = value;
  }

  /** The page that is shown, as the event `quote-step` tells it; null while there is none. */
  get step() {
    return this.app?.step ?? null;
  }

  get prefill() {
    return this.given.prefill ?? this.getAttribute("prefill");
  }

  set prefill(value) {
    if (this.take("prefill", value)) this.app?.fill();
  }

  get texts() {
    return this.given.texts ?? this.getAttribute("texts");
  }

  set texts(value) {
    if (this.take("texts", value) && this.app) this.restart(true);
  }

  /** Keep an object, or set text as the attribute; whether an object came that is another than before. */
  take(name, value) {
    if (value === null || value === undefined || typeof value === "string") {
      setAttribute(this, name, value);
      return name in this.given && delete this.given[name];
    }
    const same = JSON.stringify(value) === JSON.stringify(this.given[name]);
    this.given[name] = value;
    return !same;
  }
}

for (const [property, attribute] of Object.entries(PROPERTIES)) {
  Object.defineProperty(WireQuoteForm.prototype, property, {
    configurable: true, enumerable: true,
    get() {
      return this.getAttribute(attribute) ?? "";
    },
    set(value) {
      setAttribute(this, attribute, value);
    },
  });
}

if (globalThis.customElements && !customElements.get("wire-quote-form")) customElements.define("wire-quote-form", WireQuoteForm);

export { WireQuoteForm };
