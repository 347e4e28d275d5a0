"""Bytes -> `SourceFile` -> rows and problems; never raises on bad data. Knows no Django.

`source` tells what the bytes are, once; `reading` reads them in one of our own formats (`csv_log`,
`json_log`), or through a member's `mapping` (`mapped`, `cells`). The sheets of a workbook
(`workbooks`, in a process of its own) and the lists in JSON (`json_tables`) are tables like any
other. What a table holds is guessed from its first rows (`sample`) by what stands in their cells
(`guess`, `guess_forms`, `turn_columns`), each guess with its reason, and asked where that leaves it
open. `mends` places a problem in its row and offers the one likely mend.
"""
