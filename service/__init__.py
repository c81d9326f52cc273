"""The pricing engine over HTTP: parse, call, store, render. What a quote is, `pricing` knows; nothing here computes."""
