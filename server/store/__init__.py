"""Step 3 of 6: what is kept. The only code that talks SQL: the append-only ledger of entries, the record tables that
they add up to, and who may come in. Knows nothing of HTTP."""
