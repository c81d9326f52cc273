/** `<wire-quote-form>` in JSX: `import type {} from ".../react"` once in the project. */
import type { DetailedHTMLProps, HTMLAttributes } from "react";
import type { WireQuoteForm, WireQuoteFormAttributes, WireQuoteFormEvents } from "./wire-quote-form.js";

/** React adds these to what it makes in the browser; where a server rendered the page, listen by a `ref` in an effect. */
type Listeners = { [Name in keyof WireQuoteFormEvents as `on${Name}`]?: (event: WireQuoteFormEvents[Name]) => void };

declare module "react" {
  namespace JSX {
    interface IntrinsicElements {
      "wire-quote-form": DetailedHTMLProps<HTMLAttributes<WireQuoteForm>, WireQuoteForm> & WireQuoteFormAttributes & Listeners;
    }
  }
}
