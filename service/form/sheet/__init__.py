"""The measuring sheet: the form's questions as a table to fill in on the dock, as CSV or as a workbook, and the way back from it.

Two blocks, each a row of field names, which no language changes, above what is filled in:

| first cell | row |
|---|---|
| `#` | for people alone: titles, headings, help. Not read |
| `request` | names of the request's own fields; below it one row with boat and customer |
| `assembly` | names of an assembly's fields; below it a row for each assembly, empty ones left out |

`columns` says which fields there are, `layout` sets them out, `written_csv` and `written_xlsx` make files of it; `read_csv`, `unzipped` and
`read_xlsx` read files into rows, `blocks` finds the blocks in them, `meaning` what each cell means, `tracing` the cell of each fault.
"""
