"""The data's ways in and out: paper logs in, files out, backups."""
