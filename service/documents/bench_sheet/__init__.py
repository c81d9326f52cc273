"""The bench sheet's figures, from a quote and the catalogue it was made with; assembled in
`service.documents.bench_sheet.document`.
"""
