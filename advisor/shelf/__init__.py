"""The shop's boards, boots and bindings by its own labels: read from YAML or a spreadsheet, found by a few letters."""
