"""Every part of the HTTP door. Those with fixed paths come before the record endpoints, whose paths are open."""

from server.web import compute, dashboard, export, health, openapi, records, sessions, sheet, shell, sync

BLUEPRINTS = tuple(
    module.bp for module in (sync, sheet, dashboard, compute, export, sessions, health, openapi, records, shell)
)
