/** `<wire-quote-form>` in templates: `import type {} from ".../vue"` once in the project. */
import type { DefineComponent } from "vue";
import type { WireQuoteFormAttributes, WireQuoteFormEvents } from "./wire-quote-form.js";

type Handler<Name extends string> = `on${Capitalize<Name>}`;
type Listeners = { [Name in keyof WireQuoteFormEvents as Handler<Name>]?: (event: WireQuoteFormEvents[Name]) => void };

declare module "vue" {
  interface GlobalComponents {
    "wire-quote-form": DefineComponent<WireQuoteFormAttributes & Listeners>;
  }
}
