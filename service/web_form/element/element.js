// <wire-quote-form service="https://quotes.example" key="wq_publishable_..." lang="en"></wire-quote-form>

class WireQuoteForm extends HTMLElement {
  static observedAttributes = ["lang", "service", "key", "draft"];

  constructor() {
    super();
    this.attachShadow({ mode: "open" }).adoptedStyleSheets = [STYLES];
  }

  connectedCallback() {
    this.app = App.made(this, this.shadowRoot);
    this.app.start();
  }

  disconnectedCallback() {
    this.app?.stop();
    this.app = null;
  }

  attributeChangedCallback(name, before, after) {
    if (!this.app || before === after) return;
    this.app.stop();
    this.connectedCallback();
  }
}

if (!customElements.get("wire-quote-form")) customElements.define("wire-quote-form", WireQuoteForm);
