"""Who sends: a paired phone, a script with a token, or a signed-in manager."""

from dataclasses import dataclass

from server.records.kind import Kind, Scope

MANAGER_SCOPE = "manager"  # never a site's id, so no phone's page ever contains it


@dataclass(frozen=True)
class Sender:
    """What the judging of entries needs to know about whoever sent them."""

    phone_id: str | None
    site_id: str | None
    site_ids: frozenset[str] = frozenset()
    is_manager: bool = False

    def may_write(self, kind: Kind) -> bool:
        return self.is_manager or kind.scope is not Scope.MANAGER

    def may_write_at(self, site_id: str | None) -> bool:
        return self.is_manager or site_id in self.site_ids
