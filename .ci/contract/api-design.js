// The third linter's rules for openapi.yaml: all that it has, warnings too. What is off says why.
import ruleset from "@ibm-cloud/openapi-ruleset";

export default {
  extends: ruleset,
  rules: {
    // They read OpenAPI 3.0: `$ref` with words of its own beside it, `const`, `null` among the types, webhooks and a property named `example` are 3.1.
    "no-$ref-siblings": "off",
    "ibm-no-unsupported-keywords": "off",
    "ibm-schema-keywords": "off",
    "ibm-no-nullable-properties": "off",
    "ibm-openapi-tags-used": "off",
    "ibm-no-ref-in-example": "off",
    // The same, in this project's way: a range says more than int32, a hyphen reads in an address, and units and constructions are written as the trade does.
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
    // Problems are RFC 9457's and pages are by cursor, in this service's own words; 422 is a body that is JSON and says what cannot be.
    "ibm-error-response-schemas": "off",
    "ibm-error-content-type-is-json": "off",
    "ibm-pagination-style": "off",
    "ibm-collection-array-property": "off",
    "ibm-response-status-codes": "off",
    "ibm-request-and-response-content": "off",
    // The page's form tells its customer what changed meanwhile, by the state that it was shown with; there is no header in a form.
    "ibm-precondition-headers": "off",
    // What stands below a quote bears the quote's entity tag.
    "ibm-etag-header": "off",
    // Addresses of people's pages have no version; `preview` is a word where an id is a UUID.
    "ibm-major-version-in-path": "off",
    "ibm-no-ambiguous-paths": "off",
    "ibm-avoid-repeating-path-parameters": "off",
    // Objects that are used once stand where they are used. Forms take what else a browser sends. What the service writes can be empty or left out.
    "ibm-avoid-inline-schemas": "off",
    "ibm-well-defined-dictionaries": "off",
    "ibm-required-array-properties-in-response": "off",
    "ibm-required-enum-properties-in-response": "off",
    "ibm-array-attributes": "off",
    "ibm-string-attributes": "off",
    // A batch can be a list; a table has rows of cells; a sentence's values can be sentences.
    "ibm-requestbody-is-object": "off",
    "ibm-no-array-of-arrays": "off",
    "ibm-no-circular-refs": "off",
    // Its examples stand at the properties, and are checked by the tests.
    "ibm-success-response-example": "off",
  },
};
