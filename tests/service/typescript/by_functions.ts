// What a front-end does, by the client of functions: quote, find, revise, accept, a batch, its events and its results, a plan, a refusal; and what it is told meanwhile.
import { client } from "./functions/client.gen";
import * as service from "./functions";
import type { Batch, BatchEvent, BatchResult, Fault, PlanWire, Quote, QuoteOverview, QuotedWire } from "./functions/types.gen";
import { answer, boat, must, until, wire } from "./boat";
import { receive } from "./receiver";

const [address, key, port, secret] = process.argv.slice(2);
client.setConfig({ baseUrl: address, auth: () => key });

function whole(answer: unknown): asserts answer is Quote {
  if (typeof answer !== "object" || answer === null || !("checksum" in answer)) throw new Error("no whole quote");
}

function breaking(of: QuotedWire): string {
  return "break_kN" in of ? of.break_kN : of.break_kn;
}

async function run(): Promise<void> {
  const receiver = await receive(Number(port), must(secret, "secret"));
  const made = (await service.issueQuote({ body: boat, throwOnError: true })).data;
  whole(made);
  const strength = Number(breaking(must(must(made.assemblies[0], "assembly").wire, "wire")));

  const page = (await service.listQuotes({ query: { q: "wagt", limit: 5 }, throwOnError: true })).data;
  const row = must(page.quotes.find((each) => each.number === made.number), "row");
  const read = await service.readQuote({ path: { id: row.id }, throwOnError: true });
  whole(read.data);

  const next = await service.reviseQuote({ path: { id: made.id }, body: { ...boat, note: "Two weeks later." }, throwOnError: true });
  whole(next.data);
  const at = { id: next.data.id };
  const asked = (await service.readSettlements({ path: at, throwOnError: true })).data.open;
  for (const each of asked) await service.settleFindings({ path: at, body: answer(each), throwOnError: true });
  const seen = must((await service.readQuote({ path: at, throwOnError: true })).response.headers.get("ETag"), "ETag");
  const customer = { name: "Asta Lindqvist" };
  const accepted: Quote | QuoteOverview = (
    await service.acceptQuote({ path: at, headers: { "If-Match": seen }, body: { customer }, throwOnError: true })
  ).data;

  const lines = [{ ...boat, custom_id: "HULL-01" }, { ...boat, custom_id: "HULL-02", price_list: "no-such-list" }];
  const batch = (await service.makeBatch({ body: lines, throwOnError: true })).data;
  const { stream } = await service.followBatch({ path: { id: batch.id } });
  let followed: Batch["status"] = batch.status;
  for await (const event of stream) {
    const now = event as unknown as BatchEvent["data"]; // the client gives the data of each event, read as JSON
    followed = now.status;
    if (followed === "completed") break;
  }
  const text = (await service.readBatchResults({ path: { id: batch.id }, parseAs: "text", throwOnError: true })).data as unknown as string;
  const results = text.trim().split("\n").map((line) => JSON.parse(line) as BatchResult);
  const outcomes = results.map((each) => (each.outcome === "succeeded" ? each.quote.number : must(each.problem.code, "code")));

  const of: PlanWire = wire;
  const plan = (await service.makeCuttingPlan({ body: { wire: of, pieces: [{ length: "5.2 m", quantity: 2 }], effort: "fast" }, throwOnError: true })).data;
  const ofQuotes = (await service.makeCuttingPlan({ body: { quotes: [next.data.id] }, throwOnError: true })).data;

  const refused = await service.issueQuote({ body: { ...boat, assemblies: [] } });
  if (refused.error === undefined || !("errors" in refused.error)) throw new Error("not refused");
  const fault: Fault = must(must(refused.error.errors, "faults")[0], "fault");

  const issued = await until(async () => receiver.issued(made.id));
  const completed = await until(async () => receiver.completed(batch.id));
  const told = [issued.data.number === made.number, completed.data.succeeded, completed.data.failed, await receiver.forged()];
  receiver.close();

  const said = { strength, settled: asked.length, found: read.data.number === made.number, revision: next.data.revision, status: accepted.status, outcomes: outcomes.length, succeeded: results.filter((each) => each.outcome === "succeeded").length, plan: plan.stock_source, quotes: must(ofQuotes.quotes, "quotes").length, fault: fault.pointer, followed, told };
  console.log(JSON.stringify(said));
}

run().catch((why) => {
  console.error(why instanceof Error ? why : JSON.stringify(why));
  process.exitCode = 1;
});
