"""Step 2 of 6: how entries come in from phones and go out to them. Decides; `server.store` writes."""
