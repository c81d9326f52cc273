// A page with the form in a Vue component: the same code on the server and in the browser.

import { createSSRApp, h, ref } from "vue";
import "wire-quote-form";

export function page({ service, publishableKey, prefill }) {
  return createSSRApp({
    setup() {
      const told = ref([]);
      const note = (event) => told.value.push(`${event.type}: ${event.detail.page ?? event.detail.language}`);
      const form = { service, "publishable-key": publishableKey, lang: "en", reference: "ORDER-7", prefill: JSON.stringify(prefill), onQuoteStep: note };
      return () => h("section", [
        h("wire-quote-form", form, [h("input", { type: "hidden", name: "campaign", value: "spring" })]),
        h("ol", { id: "told" }, told.value.map((each) => h("li", each))),
      ]);
    },
  });
}
