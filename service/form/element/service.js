// Calls of the service. Each answer is `{kind, status, body, wait}`; `kind` is "ok", "refused" (4xx), "limited" (429), "failed" (5xx),
// "offline" (nothing answered) or "aborted".

class Service {
  constructor(address, key) {
    this.address = address.replace(/\/+$/, "");
    this.key = key;
  }

  async call(path, { method = "GET", body, headers = {}, signal } = {}) {
    const sent = { Authorization: `Bearer ${this.key}`, Accept: "application/json", ...headers };
    if (body !== undefined) sent["Content-Type"] = "application/json";
    let response;
    try {
      response = await fetch(this.address + path, { method, body, headers: sent, signal, credentials: "omit", referrerPolicy: "no-referrer" });
      return { status: response.status, wait: secondsToWait(response), body: await response.json().catch(() => null), kind: kindOf(response), link: linkIn(response) };
    } catch (error) {
      return { kind: error.name === "AbortError" ? "aborted" : "offline", status: 0, wait: 0, body: null };
    }
  }

  form(language) {
    return this.call(`/v1/form?lang=${encodeURIComponent(language)}`);
  }

  lengths(lengths, zero, signal) {
    return this.call("/v1/lengths", { method: "POST", body: JSON.stringify({ lengths, zero }), signal });
  }

  preview(request, signal) {
    return this.call("/v1/quotes/preview", { method: "POST", body: JSON.stringify(request), signal });
  }

  /** `text` is the request as it was kept, so that what is sent again is the same to the byte. */
  async quote(text, idempotencyKey) {
    const answer = await this.call("/v1/quotes", { method: "POST", body: text, headers: { "Idempotency-Key": `"${idempotencyKey}"` } });
    return { ...answer, link: answer.link && this.address + answer.link };
  }

  illustration(name, language) {
    return `${this.address}/v1/form/illustrations/${encodeURIComponent(name)}?lang=${encodeURIComponent(language)}`;
  }

  /** Whether the service answers at all: its module may be read by any page. */
  async isThere() {
    try {
      return (await fetch(`${this.address}/form/element.js`, { method: "HEAD", cache: "no-store", credentials: "omit" })).ok;
    } catch {
      return false;
    }
  }
}

function kindOf(response) {
  if (response.ok) return "ok";
  if (response.status === 429) return "limited";
  return response.status >= 500 ? "failed" : "refused";
}

/** The address of a page that shows what was made (RFC 8288), below the service's; "" without. */
function linkIn(response) {
  return /^<(\/[^>]+)>; rel="alternate"/.exec(response.headers.get("Link") ?? "")?.[1] ?? "";
}

/** `Retry-After` (RFC 9110, 10.2.3) in seconds, as a number or a date; 0 without. */
function secondsToWait(response) {
  const said = response.headers.get("Retry-After");
  if (said === null) return 0;
  return /^\d+$/.test(said) ? Number(said) : Math.max(0, Math.ceil((Date.parse(said) - Date.now()) / 1000)) || 0;
}
