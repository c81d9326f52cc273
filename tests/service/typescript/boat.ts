// A boat, invented: one cap shroud, measured by its turnbuckle's recorded setting. Typed by both generators, whose types must agree.
import type { components } from "./paths";
import type { OpenFinding, QuoteRequest, SettlementOrder } from "./functions/types.gen";

export const boat: QuoteRequest = {
  customer: { name: "Invented Sailing School" },
  boat: { name: "Wagtail", length_overall: "27 ft 6 in" },
  display_units: "imperial",
  price_list: "fleet",
  assemblies: [
    {
      tag: "CAP-P",
      role: "cap_shroud",
      side: "port",
      wire: { construction: "1x19", material: "316", diameter: "3/16 in" },
      upper: { terminal: "tee", attachment: "swage" },
      lower: { terminal: "stud", attachment: "swage", thread: "3/8-24 UNF", hand: "right" },
      turnbuckle: {
        body: "open",
        thread: "3/8-24 UNF",
        lower_end: "toggle",
        pin: "3/8 in",
        reuse: true,
        dimensions: { body: "4 in", runout: "1 13/64 in", within: "0.2 mm" },
        setting: { upper_exposed: "1 1/8 in", lower_exposed: "1 1/16 in", recorded_with: "caliper" },
      },
      measurement: {
        readings: ["29 ft 10 3/16 in", "29 ft 10 1/4 in"],
        includes_turnbuckle: true,
        support: "flat",
        rig_setting: "everyday",
        temperature: "64 degF",
        tape_material: "steel",
        tape_class: "II",
        resolution: "1/16 in",
      },
    },
  ],
};

export const sameBoat: components["schemas"]["QuoteRequest"] = boat;
export const wire = { construction: "1x19", material: "316", diameter: "3/16 in" } as const;

export function must<Value>(value: Value | null | undefined, what: string): Value {
  if (value === null || value === undefined) throw new Error(`there is no ${what}`);
  return value;
}

/** The answer of a shop that has looked. */
export function answer({ tag, code, pointer }: OpenFinding): SettlementOrder {
  return { ...(tag === null ? {} : { tag }), code, pointer, words: "Looked at: as written.", by: "Jo Marsh" };
}

/** Ask until it is there: a batch is made in the background. */
export async function until<Value>(ask: () => Promise<Value | null>): Promise<Value> {
  for (;;) {
    const found = await ask();
    if (found !== null) return found;
    await new Promise((again) => setTimeout(again, 200));
  }
}
