// What a front-end does, by the client of paths: quote, find, revise, accept, a batch, its events and its results, a plan, a refusal; and what it is told meanwhile.
import createClient from "openapi-fetch";
import type { components, paths } from "./paths";
import { answer, must, sameBoat as boat, until, wire } from "./boat";
import { receive } from "./receiver";

type Schemas = components["schemas"];
const [address, key, port, secret] = process.argv.slice(2);
const service = createClient<paths, "application/json" | "application/problem+json">({ baseUrl: must(address, "address"), headers: { Authorization: `Bearer ${key}` } });

function whole(answer: Schemas["Quote"] | Schemas["QuoteOverview"] | Schemas["Batch"] | undefined): asserts answer is Schemas["Quote"] {
  if (answer === undefined || !("checksum" in answer)) throw new Error("no whole quote");
}

function breaking(of: Schemas["QuotedWire"]): string {
  return "break_kN" in of ? of.break_kN : of.break_kn;
}

/** The events of a stream (HTML Living Standard, 9.2): a blank line ends each, and each has one line of data. */
async function* events(stream: ReadableStream<BufferSource>): AsyncGenerator<Schemas["BatchEvent"]> {
  let text = "";
  for await (const part of stream.pipeThrough(new TextDecoderStream()) as unknown as AsyncIterable<string>) {
    const blocks = (text + part).split("\n\n");
    text = blocks.pop() ?? "";
    for (const block of blocks) {
      const fields = Object.fromEntries(block.split("\n").map((line) => [line.slice(0, line.indexOf(": ")), line.slice(line.indexOf(": ") + 2)]));
      if (fields.data) yield { ...fields, data: JSON.parse(fields.data) } as Schemas["BatchEvent"];
    }
  }
}

async function run(): Promise<void> {
  const receiver = await receive(Number(port), must(secret, "secret"));
  const made = (await service.POST("/v1/quotes", { body: boat })).data;
  whole(made);
  const strength = Number(breaking(must(must(made.assemblies[0], "assembly").wire, "wire")));

  const page = must((await service.GET("/v1/quotes", { params: { query: { q: "wagt", limit: 5 } } })).data, "page");
  const row = must(page.quotes.find((each) => each.number === made.number), "row");
  const read = (await service.GET("/v1/quotes/{id}", { params: { path: { id: row.id } } })).data;
  whole(read);

  const next = await service.POST("/v1/quotes/{id}/revisions", { params: { path: { id: made.id } }, body: { ...boat, note: "Two weeks later." } });
  whole(next.data);
  const at = { path: { id: next.data.id } };
  const asked = must((await service.GET("/v1/quotes/{id}/settlements", { params: at })).data, "settlements").open;
  for (const each of asked) must((await service.POST("/v1/quotes/{id}/settlements", { params: at, body: answer(each) })).data, "settlement");
  const seen = must((await service.GET("/v1/quotes/{id}", { params: at })).response.headers.get("ETag"), "ETag");
  const accepted = await service.POST("/v1/quotes/{id}/acceptance", {
    params: { ...at, header: { "If-Match": seen } },
    body: { customer: { name: "Asta Lindqvist" } },
  });

  const lines = [{ ...boat, custom_id: "HULL-01" }, { ...boat, custom_id: "HULL-02", price_list: "no-such-list" }];
  const batch = must((await service.POST("/v1/batches", { body: lines })).data, "batch");
  const id = { path: { id: batch.id } };
  const stream = must((await service.GET("/v1/batches/{id}/events", { params: id, parseAs: "stream" })).data, "stream");
  let followed: Schemas["Batch"]["status"] = batch.status;
  for await (const { event, data } of events(stream as unknown as ReadableStream<BufferSource>)) {
    followed = data.status;
    if (event !== "progress") break;
  }
  const text = must((await service.GET("/v1/batches/{id}/results", { params: id, parseAs: "text" })).data, "results");
  const results = text.trim().split("\n").map((line) => JSON.parse(line) as Schemas["BatchResult"]);
  const outcomes = results.map((each) => (each.outcome === "succeeded" ? each.quote.number : must(each.problem.code, "code")));

  const of: Schemas["PlanWire"] = wire;
  const plan = must((await service.POST("/v1/cutting-plans", { body: { wire: of, pieces: [{ length: "5.2 m", quantity: 2 }], effort: "fast" } })).data, "plan");
  const ofQuotes = must((await service.POST("/v1/cutting-plans", { body: { quotes: [next.data.id] } })).data, "plan");

  const refused = must((await service.POST("/v1/quotes", { body: { ...boat, assemblies: [] } })).error, "refusal");
  const fault: Schemas["Fault"] = must(must(refused.errors, "faults")[0], "fault");

  const issued = await until(async () => receiver.issued(made.id));
  const completed = await until(async () => receiver.completed(batch.id));
  const told = [issued.data.number === made.number, completed.data.succeeded, completed.data.failed, await receiver.forged()];
  receiver.close();

  const said = { strength, settled: asked.length, found: read.number === made.number, revision: next.data.revision, status: must(accepted.data, "quote").status, outcomes: outcomes.length, succeeded: results.filter((each) => each.outcome === "succeeded").length, plan: plan.stock_source, quotes: must(ofQuotes.quotes, "quotes").length, fault: fault.pointer, followed, told };
  console.log(JSON.stringify(said));
}

run().catch((why) => {
  console.error(why);
  process.exitCode = 1;
});
