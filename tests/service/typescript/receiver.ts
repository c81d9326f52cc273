// A shop's receiver of webhooks: it takes what the endpoint's secret signed (Standard Webhooks 1.0.0), refuses all else, and keeps the messages, typed.
import { createHmac, timingSafeEqual } from "node:crypto";
import { createServer, type IncomingHttpHeaders } from "node:http";
import { once } from "node:events";
import type { components } from "./paths";
import type { Webhooks } from "./functions/types.gen";

export type Told = Webhooks["body"];
export type Issued = components["schemas"]["ToldQuoteIssued"];
export type Completed = components["schemas"]["ToldBatchCompleted"];

const OLD = 5 * 60; // seconds: what is older may be another's copy

function verified(secret: string, headers: IncomingHttpHeaders, body: Buffer): boolean {
  const [id, seconds, signatures] = ["id", "timestamp", "signature"].map((name) => String(headers[`webhook-${name}`] ?? ""));
  if (!id || !signatures || !(Math.abs(Date.now() / 1000 - Number(seconds)) < OLD)) return false;
  const wanted = createHmac("sha256", Buffer.from(secret.replace("whsec_", ""), "base64")).update(`${id}.${seconds}.`).update(body).digest();
  return signatures.split(" ").some((each) => {
    const [version, text] = each.split(",");
    const given = Buffer.from(text ?? "", "base64");
    return version === "v1" && given.length === wanted.length && timingSafeEqual(given, wanted);
  });
}

export async function receive(port: number, secret: string) {
  const told: Told[] = [];
  const server = createServer((request, response) => {
    const parts: Buffer[] = [];
    request.on("data", (part: Buffer) => parts.push(part));
    request.on("end", () => {
      const body = Buffer.concat(parts);
      const right = verified(secret, request.headers, body);
      if (right) told.push(JSON.parse(body.toString("utf-8")) as Told);
      response.writeHead(right ? 204 : 400).end();
    });
  }).listen(port, "127.0.0.1");
  await once(server, "listening");
  return {
    issued: (id: string): Issued | null => told.find((each) => each.type === "quote.issued" && each.data.id === id) as Issued | undefined ?? null,
    completed: (id: string): Completed | null => told.find((each) => each.type === "batch.completed" && each.data.id === id) as Completed | undefined ?? null,
    /** What comes with another's signature: the status that it gets. */
    forged: async (): Promise<number> => {
      const headers = { "webhook-id": "m", "webhook-timestamp": String(Math.floor(Date.now() / 1000)), "webhook-signature": `v1,${Buffer.alloc(32).toString("base64")}` };
      return (await fetch(`http://127.0.0.1:${port}/hook`, { method: "POST", headers, body: '{"type":"quote.issued"}' })).status;
    },
    close: () => server.close(),
  };
}
