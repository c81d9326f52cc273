// Calls to the service. Each answer is `{kind, status, body, wait}`; `kind` is "ok", "refused" (4xx), "limited" (429), "failed" (5xx),
// "offline" (nothing answered) or "aborted". Of a quote the summary is asked for: nothing else is shown.

const SUMMARY = { Prefer: "return=minimal" };

class Service {
  constructor(address, key) {
    this.address = address.replace(/\/+$/, "");
    this.key = key;
  }

  async call(path, { method = "GET", body, headers = {}, signal } = {}) {
    const sent = { Authorization: `Bearer ${this.key}`, Accept: "application/json", ...headers };
    if (body !== undefined) sent["Content-Type"] = "application/json";
    try {
      const response = await fetch(this.address + path, { method, body, headers: sent, signal, credentials: "omit", referrerPolicy: "no-referrer" });
      const said = await response.json().catch(noJson);
      const kind = response.ok && said === null ? "failed" : kindOf(response);
      return { status: response.status, wait: secondsToWait(response), body: said, kind, link: linkIn(response) };
    } catch (error) {
      return { kind: error.name === "AbortError" ? "aborted" : "offline", status: 0, wait: 0, body: null };
    }
  }

  form(language) {
    return this.call(`/v1/form?lang=${encodeURIComponent(language)}`);
  }

  lengths(lengths, zero, language, signal) {
    return this.call(`/v1/lengths?lang=${encodeURIComponent(language)}`, { method: "POST", body: JSON.stringify({ lengths, zero }), signal });
  }

  preview(request, signal) {
    return this.call("/v1/quotes/preview", { method: "POST", body: JSON.stringify(request), headers: SUMMARY, signal });
  }

  drawing(text, language, signal) {
    return this.call(`/v1/drawings?lang=${encodeURIComponent(language)}`, { method: "POST", body: text, signal });
  }

  /** `text` is the request as stored, so that a retry is identical to the byte. */
  async quote(text, idempotencyKey) {
    const answer = await this.call("/v1/quotes", { method: "POST", body: text, headers: { ...SUMMARY, "Idempotency-Key": `"${idempotencyKey}"` } });
    return { ...answer, link: answer.link && this.address + answer.link };
  }

  illustration(name, language) {
    return `${this.address}/v1/form/illustrations/${encodeURIComponent(name)}?lang=${encodeURIComponent(language)}`;
  }

  /** Whether the service can be reached at all; any page may read its module. */
  async isThere() {
    try {
      return (await fetch(`${this.address}/form/element.js`, { method: "HEAD", cache: "no-store", credentials: "omit" })).ok;
    } catch {
      return false;
    }
  }
}

/** A body that is not JSON counts as none; one aborted or cut off is an error, as it is for a request. */
function noJson(error) {
  if (error.name === "SyntaxError") return null;
  throw error;
}

function kindOf(response) {
  if (response.ok) return "ok";
  if (response.status === 429) return "limited";
  return response.status >= 500 ? "failed" : "refused";
}

/** The URL of the page that shows what was created (RFC 8288), below the service's own; "" if there is none. */
function linkIn(response) {
  return /^<(\/[^>]+)>; rel="alternate"/.exec(response.headers.get("Link") ?? "")?.[1] ?? "";
}

/** `Retry-After` (RFC 9110, 10.2.3) in seconds, from a number or a date; 0 if absent. */
function secondsToWait(response) {
  const said = response.headers.get("Retry-After");
  if (said === null) return 0;
  return /^\d+$/.test(said) ? Number(said) : Math.max(0, Math.ceil((Date.parse(said) - Date.now()) / 1000)) || 0;
}
