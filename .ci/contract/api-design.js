// Rules of the third linter for openapi.yaml: all of them, including warnings, except those switched off below, each with its reason.
import ruleset from "@ibm-cloud/openapi-ruleset";

export default {
  extends: ruleset,
  rules: {
    // These rules assume OpenAPI 3.0. OpenAPI 3.1 allows siblings of `$ref`, `const`, the type `null`, webhooks, and a property named `example`.
    "no-$ref-siblings": "off",
    "ibm-no-unsupported-keywords": "off",
    "ibm-schema-keywords": "off",
    "ibm-no-nullable-properties": "off",
    "ibm-openapi-tags-used": "off",
    "ibm-no-ref-in-example": "off",
    // This project's conventions differ: a range is more precise than int32, paths use hyphens, and units and constructions are spelt as in the trade.
    "ibm-integer-attributes": "off",
    "ibm-schema-type-format": "off",
    "ibm-path-segment-casing-convention": "off",
    "ibm-property-casing-convention": "off",
    "ibm-enum-casing-convention": "off",
    "ibm-operationid-casing-convention": "off",
    "ibm-operationid-naming-convention": "off",
    "ibm-schema-naming-convention": "off",
    "ibm-summary-sentence-style": "off",
    "ibm-operation-summary-length": "off",
    "ibm-use-date-based-format": "off",
    // Errors follow RFC 9457 and pagination uses cursors, with this service's own field names; 422 is for valid JSON with values that cannot be used.
    "ibm-error-response-schemas": "off",
    "ibm-error-content-type-is-json": "off",
    "ibm-pagination-style": "off",
    "ibm-collection-array-property": "off",
    "ibm-response-status-codes": "off",
    "ibm-request-and-response-content": "off",
    // An HTML form cannot send headers, so the quotation's form sends the state it was shown with as a field instead of If-Match.
    "ibm-precondition-headers": "off",
    // Resources below a quote have the quote's entity tag.
    "ibm-etag-header": "off",
    // Pages for people have no version in their path; `preview` cannot be confused with an id, which is a UUID.
    "ibm-major-version-in-path": "off",
    "ibm-no-ambiguous-paths": "off",
    "ibm-avoid-repeating-path-parameters": "off",
    // Schemas that are used once are defined inline. Forms accept additional fields that browsers send. Fields of responses may be empty or absent.
    "ibm-avoid-inline-schemas": "off",
    "ibm-well-defined-dictionaries": "off",
    "ibm-required-array-properties-in-response": "off",
    "ibm-required-enum-properties-in-response": "off",
    "ibm-array-attributes": "off",
    "ibm-string-attributes": "off",
    // A batch may be an array; a table is an array of rows; a value in a sentence may itself be a sentence.
    "ibm-requestbody-is-object": "off",
    "ibm-no-array-of-arrays": "off",
    "ibm-no-circular-refs": "off",
    // The examples are at the properties, and tests check them.
    "ibm-success-response-example": "off",
  },
};
