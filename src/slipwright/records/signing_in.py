"""Who a session belongs to, read together with their gardens: every page needs both."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.backends import ModelBackend

from slipwright.records.models import User
from slipwright.records.selectors import memberships_of


class MemberBackend(ModelBackend):
    """Signs in by name and password as ever; asks once for a person and all they belong to."""

    def get_user(self, user_id: Any) -> User | None:
        """Return the person of a session, their ``memberships_read``; nobody where they were shut out."""
        theirs = memberships_of(user_id)
        if not theirs:
            return super().get_user(user_id)
        user = theirs[0].user
        assert user is not None
        user.memberships_read = theirs  # type: ignore[attr-defined]
        return user if self.user_can_authenticate(user) else None
