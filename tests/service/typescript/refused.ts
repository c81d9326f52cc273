// What the types of both generators must refuse: were one of them `unknown` or `any`, or required where it can be left out, this would not compile.
import type { components } from "./paths";
import type * as functions from "./functions/types.gen";

type Schemas = components["schemas"];
type PlanWire = functions.PlanWire | Schemas["PlanWire"];
type PlanOrder = functions.PlanOrder | Schemas["PlanOrder"];
type OldWire = functions.OldWire | Schemas["OldWire"];

// @ts-expect-error neither an article number nor a size
export const noWire: PlanWire = { material: "316" };
// @ts-expect-error pieces of no wire
export const noOrder: PlanOrder = { pieces: [{ length: "5.2 m" }] };
// @ts-expect-error neither a diameter nor a caliper's reading
export const noOldWire: OldWire = { construction: "1x19" };
// @ts-expect-error a construction that there is not
export const noConstruction: OldWire = { construction: "8x8", diameter: "5 mm" };

// @ts-expect-error a fault in a header has no place in the body
export const place = (fault: functions.Fault): string => fault.pointer;
// @ts-expect-error a fault in a header has no place in the body
export const samePlace = (fault: Schemas["Fault"]): string => fault.pointer;
// @ts-expect-error a wire of an earlier quote has it by another name
export const load = (wire: functions.QuotedWire): string => wire.break_kN;
// @ts-expect-error a wire of an earlier quote has it by another name
export const sameLoad = (wire: Schemas["QuotedWire"]): string => wire.break_kN;
// @ts-expect-error a line that failed has no quote
export const quote = (line: functions.BatchResult): unknown => line.quote;
// @ts-expect-error a line that failed has no quote
export const sameQuote = (line: Schemas["BatchResult"]): unknown => line.quote;
