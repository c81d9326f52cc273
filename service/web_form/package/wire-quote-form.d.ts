/** Types of the form's element. They say what the service's guide "Put the form on your page" says. */

/** What the shop knows already, in the shape of a request. It never replaces what somebody typed. */
export interface WireQuotePrefill {
  boat?: {
    name?: string;
    /** With its unit: "27 ft 6 in", "8.4 m". */
    length_overall?: string;
  };
  customer?: {
    name?: string;
    email?: string;
    telephone?: string;
    address?: { street?: string; postal_code?: string; city?: string };
    /** Asked only where the wires are shipped. */
    delivery_address?: { street?: string; postal_code?: string; city?: string };
    tax_number?: string;
    /** The customer's own; the page's is the attribute. */
    reference?: string;
  };
  display_units?: "metric" | "imperial";
  delivery?: "collect" | "ship";
  /** Anything else the shop should know. */
  note?: string;
}

/** The shop's own texts: from what the form says to what it shall say. Texts are shown as text, never read as HTML. */
export interface WireQuoteTexts {
  /** The language of these texts, such as "fr"; they are used where the form is asked for it. Without it, they are for any. */
  lang?: string;
  texts: Record<string, string>;
}

/** The page that is shown. */
export interface WireQuoteStep {
  page: "questions" | "wires" | "review" | "done";
  /** The name of the section of questions; null on other pages. */
  section: string | null;
  /** Which wire is asked about, from 1; null where it is none. */
  wire: number | null;
  /** How many wires there are. */
  wires: number;
}

export interface WireQuoteReady {
  /** The language that the form speaks. */
  language: string;
  /** Whether a draft was found in this browser. */
  draft: boolean;
}

export interface WireQuotePreviewed {
  /** A decimal number as text; null if nothing can be made from the answers. */
  payable: string | null;
  /** ISO 4217. */
  currency: string;
  assemblies: number;
  /** The names of wires that are not in the price. */
  left_out: string[];
}

export interface WireQuoteRequested {
  assemblies: number;
}

export interface WireQuoteCreated {
  id: string;
  number: string;
  payable: string | null;
  currency: string;
  /** The last day, YYYY-MM-DD. */
  valid_until: string;
  left_out: string[];
  /** The customer's link to the quotation. It leads to name and address: give it to nobody else. */
  href: string;
}

export interface WireQuoteFailed {
  step: "setup" | "texts" | "prefill" | "reference" | "load" | "draft" | "preview" | "request";
  /**
   * "unusable": what the shop gave cannot be used, the console says why. "origin": the key is not bound to this page's origin.
   * "storage": the browser keeps no draft. The others are how the service answered, or did not.
   */
  reason: "unusable" | "origin" | "storage" | "refused" | "limited" | "failed" | "offline";
  /** The HTTP status, where there was one. */
  status?: number;
  /** What a refusal is about: places in the request, without the answers. */
  pointers?: string[];
}

export interface WireQuoteFormEvents {
  "quote-ready": CustomEvent<WireQuoteReady>;
  "quote-step": CustomEvent<WireQuoteStep>;
  "quote-previewed": CustomEvent<WireQuotePreviewed>;
  "quote-requested": CustomEvent<WireQuoteRequested>;
  "quote-created": CustomEvent<WireQuoteCreated>;
  "quote-failed": CustomEvent<WireQuoteFailed>;
}

/** `<wire-quote-form>`. On a server that renders pages the class exists, and can be neither made nor registered. */
export class WireQuoteForm extends HTMLElement {
  /** The service's address. */
  service: string;
  /** A publishable key, bound to the page's origin. */
  publishableKey: string;
  /** The name of a draft of its own, for a second form on the same site. */
  draft: string;
  /** The shop's reference for the quote: with the hidden fields in the element, one line of at most 80 characters. */
  reference: string;
  /** As an object, or as JSON, which is the attribute. */
  get prefill(): WireQuotePrefill | string | null;
  set prefill(value: WireQuotePrefill | string | null | undefined);
  /** As an object, or as the address of a JSON file on the page's own origin, which is the attribute. */
  get texts(): WireQuoteTexts | string | null;
  set texts(value: WireQuoteTexts | string | null | undefined);
  /** The page that is shown; null while there is none. For who listens late. */
  readonly step: WireQuoteStep | null;
}

/** The attributes as they are written in HTML. */
export interface WireQuoteFormAttributes {
  service: string;
  "publishable-key": string;
  lang?: string;
  draft?: string;
  reference?: string;
  /** JSON of a `WireQuotePrefill`. */
  prefill?: string;
  /** The address of a JSON file with `WireQuoteTexts`. */
  texts?: string;
}

declare global {
  interface HTMLElementTagNameMap {
    "wire-quote-form": WireQuoteForm;
  }
  interface GlobalEventHandlersEventMap extends WireQuoteFormEvents {}
}
