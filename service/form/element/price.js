// The price so far, in view on every page and told by a live region.

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
    this.root = el("section", { class: "price", "aria-labelledby": title.id }, title, live, this.rows, this.rest, el("p", { class: "hint", text: texts.estimate }));
  }

  update(state, model) {
    const document = model.preview?.document;
    this.said.textContent = this.words(state, model);
    this.total.textContent = document ? money(document.totals.payable, document.currency, this.language) : "";
    this.root.classList.toggle("stale", state.kind !== "ok" && state.kind !== "empty");
    this.rows.replaceChildren(...(document ? this.amounts(document) : []));
    const rest = [...(document?.findings ?? []), ...unplaced(model)];
    this.rest.replaceChildren(...rest.map((each) => findingItem(this.texts, each)));
    this.rest.hidden = !rest.length;
  }

  words(state, model) {
    const { texts } = this;
    const told = {
      empty: texts.priceEmpty, working: model.preview ? null : texts.priceWorking, limited: texts.priceLimited(state.seconds), offline: texts.priceOffline,
      refused: texts.priceRefused, failed: texts.priceFailed,
    }[state.kind];
    if (told) return told;
    const left = model.preview?.document.left_out ?? [];
    return [texts.priceOf(model.preview.ids.length), left.length ? texts.leftOut(left.join(", ")) : ""].filter(Boolean).join(". ").replace(/\.\./g, ".");
  }

  amounts({ totals, currency }) {
    const rows = [["lines", totals.lines], ["allowances", totals.allowances], ["charges", totals.charges], ["tax", totals.tax_amount], ["total", totals.payable]];
    return rows
      .filter(([name, amount]) => name === "lines" || name === "total" || Number(amount) !== 0)
      .map(([name, amount]) => el("div", {}, el("dt", { text: this.texts[name] }), el("dd", { text: money(amount, currency, this.language) })));
  }
}

/** Faults of a refusal that belong to no question. */
function unplaced(model) {
  return [...model.refused].flatMap(([id, faults]) => {
    const entries = id && !model.assembly(id) ? [] : model.entries(id);
    return faults.filter((each) => !questionAt(entries, each.pointer)).map((each) => ({ severity: "stop", message: each.detail }));
  });
}

/** An amount as the language writes it; the text of the service is never rounded. */
function money(amount, currency, language) {
  return new Intl.NumberFormat(language, { style: "currency", currency, minimumFractionDigits: (amount.split(".")[1] ?? "").length }).format(amount);
}

/** A day as the language writes it. */
function day(text, language) {
  return new Intl.DateTimeFormat(language, { dateStyle: "long", timeZone: "UTC" }).format(new Date(`${text}T00:00:00Z`));
}
