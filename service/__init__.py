"""The pricing engine over HTTP: parse, call, store, render. Everything about quotes is computed in `pricing`; nothing is computed here."""
