// What a shop's program may write, and what it may not: the compiler must complain of each line after @ts-expect-error.

import { createElement, useRef } from "react";
import type { GlobalComponents } from "vue";
import type {} from "wire-quote-form/react";
import type {} from "wire-quote-form/vue";
import type { WireQuoteFailed, WireQuoteTexts } from "wire-quote-form";

const form = document.querySelector("wire-quote-form")!;
form.prefill = { boat: { name: "Wagtail", length_overall: "27 ft 6 in" }, customer: { address: { city: "Example" } }, delivery: "ship" };
form.texts = "/texts.json";
form.texts = { lang: "fr", texts: { Continue: "Continuer" } } satisfies WireQuoteTexts;
form.publishableKey = "wq_publishable_...";
form.reference = "ORDER-7";
const page: "questions" | "wires" | "review" | "done" | undefined = form.step?.page;
form.addEventListener("quote-created", (event) => event.detail.href.startsWith("https:") && event.detail.payable?.length);
document.addEventListener("quote-failed", (event) => {
  const { step, reason, pointers }: WireQuoteFailed = event.detail;
  console.log(step, reason, pointers?.length, page);
});

// @ts-expect-error: a length has its unit, and is text
form.prefill = { boat: { length_overall: 8.4 } };
// @ts-expect-error: it is only read
form.step = null;
// @ts-expect-error: there is no such page
if (form.step?.page === "price") form.remove();
// @ts-expect-error: texts are text
form.texts = { texts: { Continue: 7 } };
document.addEventListener("quote-step", (event) => {
  // @ts-expect-error: a step tells no name
  console.log(event.detail.name);
});

export function Page() {
  const at = useRef<HTMLElementTagNameMap["wire-quote-form"]>(null);
  return <wire-quote-form ref={at} service="https://quotes.example" publishable-key="wq_publishable_..." lang="en" onquote-step={(event) => event.detail.wires} />;
}

// @ts-expect-error: without its key it shows nothing
export const lacking = <wire-quote-form service="https://quotes.example" />;

type InVue = InstanceType<GlobalComponents["wire-quote-form"]>["$props"];
export const props: InVue = { service: "https://quotes.example", "publishable-key": "wq_publishable_...", "onQuote-step": (event) => event.detail.wires };
// @ts-expect-error: a key there must be
export const bare: InVue = { service: "https://quotes.example" };
export const made = createElement(Page);
