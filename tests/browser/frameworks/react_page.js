// A page with the form as a React component: the same code on the server and in the browser.

import { createElement as h, useEffect, useRef, useState } from "react";
import "wire-quote-form";

export function Page({ service, publishableKey, prefill }) {
  const [told, tell] = useState([]);
  const form = useRef(null);
  useEffect(() => { // React 19 gives no listener to an element that a server rendered, so it is added here
    const { current } = form;
    const note = (event) => tell((before) => [...before, `${event.type}: ${event.detail.page ?? event.detail.language}`]);
    current.addEventListener("quote-step", note);
    return () => current.removeEventListener("quote-step", note);
  }, []);
  const given = { ref: form, service, "publishable-key": publishableKey, lang: "en", reference: "ORDER-7", prefill: JSON.stringify(prefill) };
  return h("section", null,
    h("wire-quote-form", given, h("input", { type: "hidden", name: "campaign", value: "spring", readOnly: true })),
    h("ol", { id: "told" }, told.map((each, place) => h("li", { key: place }, each))));
}
