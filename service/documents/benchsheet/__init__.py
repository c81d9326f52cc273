"""The bench sheet's figures, from a quote's document and the catalogue it was made with; `service.documents.bench_sheet` puts them together."""
