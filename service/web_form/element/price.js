// The price so far, visible on every page and announced by a live region.

class PricePanel {
  constructor(texts, language) {
    this.texts = texts;
    this.language = language;
    const title = el("h3", { id: nextId(), text: texts.price });
    this.said = el("p", { class: "price-said" });
    this.total = el("p", { class: "price-total" });
    const live = el("div", { role: "status", class: "live" }, this.total, this.said);
    this.rows = el("dl", { class: "price-rows" });
    this.rest = el("ul", { class: "findings" });
    this.root = el("section", { class: "price", "aria-labelledby": title.id }, title, live, el("div", { class: "price-more" }, this.rows, this.rest, el("p", { class: "hint", text: texts.estimate })));
  }

  /** `id`: the wire at hand, if it is one. */
  update(state, model, id) {
    const document = model.preview?.document;
    this.said.textContent = this.words(state, model, id);
    const payable = document?.totals.payable ?? null; // null if nothing can be built
    this.total.textContent = payable === null ? "" : money(payable, document.currency, this.language);
    this.root.classList.toggle("stale", state.kind !== "ok" && state.kind !== "empty");
    this.rows.replaceChildren(...(payable === null ? [] : this.amounts(document)));
    const rest = [...(document?.findings ?? []).filter((each) => each.reader !== "shop"), ...unplaced(model)];
    this.rest.replaceChildren(...rest.map((each) => findingItem(this.texts, each)));
    this.rest.hidden = !rest.length;
  }

  words(state, model, id) {
    const { texts } = this;
    const lacking = this.lacking(model, id);
    const told = {
      empty: lacking || texts.priceEmpty, working: model.preview ? null : texts.priceWorking, limited: texts.priceLimited(state.seconds), offline: texts.priceOffline,
      refused: texts.priceRefused, failed: texts.priceFailed,
    }[state.kind];
    if (told) return told;
    const { left_out: left, totals } = model.preview.document;
    if (totals.payable === null) return texts.priceNone;
    const priced = [texts.priceOf(model.preview.ids.length), Number(totals.tax_amount) ? texts.withTax : ""].filter(Boolean).join(", ");
    return [priced, left.length ? texts.leftOut(left.join(", ")) : "", lacking].filter(Boolean).join(". ").replace(/\.\./g, ".");
  }

  /** What the wire at hand, or the first that is open, lacks; "" if nothing. */
  lacking(model, id) {
    const wires = model.draft.assemblies;
    const open = wires.filter((each) => model.open(each.id));
    const wire = open.find((each) => each.id === id) ?? open[0];
    if (!wire) return "";
    const section = model.form.sections.find((each) => each.short && model.open(wire.id, each.name)); // work that is no question is not named
    const words = this.texts.lacking(titled(section, model.entries(wire.id)).short);
    return wires.length > 1 ? `${model.tag(wire.id) || this.texts.unnamed(wires.indexOf(wire) + 1)}: ${words}` : words;
  }

  amounts({ totals, currency }) {
    const rows = [["lines", totals.lines], ["allowances", totals.allowances], ["charges", totals.charges], ["tax", totals.tax_amount], ["total", totals.payable]];
    return rows
      .filter(([name, amount]) => name === "lines" || name === "total" || Number(amount) !== 0)
      .map(([name, amount]) => el("div", {}, el("dt", { text: this.texts[name] }), el("dd", { text: money(amount, currency, this.language) })));
  }
}

/** The faults of a refusal that belong to no question. */
function unplaced(model) {
  return [...model.refused].flatMap(([id, faults]) => {
    const entries = id && !model.assembly(id) ? [] : model.entries(id);
    return faults.filter((each) => !questionAt(entries, each.pointer)).map((each) => ({ severity: "stop", message: each.detail }));
  });
}

/** An amount formatted for the language; the service's text is never rounded. */
function money(amount, currency, language) {
  return new Intl.NumberFormat(language, { style: "currency", currency, minimumFractionDigits: (amount.split(".")[1] ?? "").length }).format(amount);
}

/** A date formatted for the language. */
function day(text, language) {
  return new Intl.DateTimeFormat(language, { dateStyle: "long", timeZone: "UTC" }).format(new Date(`${text}T00:00:00Z`));
}
