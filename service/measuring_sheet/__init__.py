"""The measuring sheet: the form's questions as a table to fill in on the dock, as CSV or as a workbook, and how it is read back.

It has two blocks, each with a row of field names, the same in every language, above the rows to be filled in:

| first cell | row |
|---|---|
| `#` | for people only: titles, headings, help; ignored when read |
| `request` | names of the request's own fields; below it one row with boat and customer |
| `assembly` | names of an assembly's fields; below it a row for each assembly, empty ones left out |

In a workbook the rows of field names are hidden. The usual wire's columns (`usual`) come first and are printed; they have the form's short questions,
which stand for several fields each, and the fields themselves are folded away to their right with all others. What is filled in both ways must agree.

`columns` defines the fields, `layout` arranges them, `written_csv` and `written_xlsx` write the files, with the pictures of `pictures`; `read_csv`, `unzipped` and
`read_xlsx` read files into rows, `blocks` finds the blocks in them, `meaning` interprets each cell, `tracing` finds the cell of each fault.
"""
