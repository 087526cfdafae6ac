"""Who may do what with whose record: the only place where it is decided.

| | own record | cook of a headed branch | any other cook |
|---|---|---|---|
| trainee | read, log batches, import own readings | | |
| head chef | read | read, review, observe, sign off, withdraw, import | |
| owner | read | read | read |
"""

from collections.abc import Callable
from functools import wraps

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.utils.translation import gettext as _


def can_read_record(viewer, cook) -> bool:
    """Return whether ``viewer`` may read the practice record of ``cook``."""
    if viewer.pk == cook.pk or viewer.is_owner:
        return True
    return can_assess(viewer, cook)


def can_assess(viewer, cook) -> bool:
    """Return whether ``viewer`` may judge ``cook``: as head chef of the branch, never oneself."""
    return (
        viewer.pk != cook.pk
        and viewer.is_head_chef
        and bool(set(viewer.headed_branch_ids) & set(cook.home_branch_ids))
    )


def can_log(viewer, cook) -> bool:
    """Return whether ``viewer`` may write in the batch log of ``cook``: only a trainee's own."""
    return viewer.pk == cook.pk and viewer.is_trainee


def can_import(viewer, cook) -> bool:
    """Return whether ``viewer`` may bring in readings for ``cook``."""
    return can_log(viewer, cook) or can_assess(viewer, cook)


def can_see_readiness(viewer) -> bool:
    """Return whether ``viewer`` may open the readiness board."""
    return viewer.is_owner or viewer.is_head_chef


def can_see_faults(viewer) -> bool:
    """Return whether ``viewer`` may see which faults a branch or the house has most."""
    return viewer.is_owner or viewer.is_head_chef


def can_have_digest(viewer) -> bool:
    """Return whether ``viewer`` may have the weekly digest by mail."""
    return viewer.is_owner or viewer.is_head_chef


def can_run_trials(viewer, branch_id) -> bool:
    """Return whether ``viewer`` may try out, in a branch, how far its photos can be trusted."""
    return viewer.is_owner or branch_id in viewer.headed_branch_ids


def can_read_trial(viewer, branch_id, *, is_open) -> bool:
    """Return whether ``viewer`` may read a trial of a branch.

    A cook may know what the tool is worth by which the own strands are measured, once the trial
    is closed; an open one is the work of the head chef.
    """
    if can_run_trials(viewer, branch_id):
        return True
    return not is_open and branch_id in viewer.home_branch_ids


def can_see_trials(viewer) -> bool:
    """Return whether ``viewer`` may open the list of trials."""
    return viewer.is_owner or viewer.is_head_chef or viewer.is_trainee


def can_record_boil_tests(viewer) -> bool:
    """Return whether ``viewer`` may write down, and take back, the boil tests of the house."""
    return viewer.is_owner or viewer.is_head_chef or viewer.is_editor


def can_make_labels(viewer) -> bool:
    """Return whether ``viewer`` may print the labels of the stations."""
    return viewer.is_owner or viewer.is_head_chef or viewer.is_editor


def can_see_assessors(viewer) -> bool:
    """Return whether ``viewer`` may read how well those who judge agree, and calibration sets."""
    return viewer.is_owner or viewer.is_head_chef


def can_rate_pieces(viewer, made_by_id) -> bool:
    """Return whether ``viewer`` may rate the pieces of a calibration set, and see their photos.

    Every head chef of the house rates them, in whatever branch, but not who made the set.
    """
    return viewer.is_head_chef and viewer.pk != made_by_id


def can_read_ratings(viewer, made_by_id) -> bool:
    """Return whether ``viewer`` may read how everybody rated a calibration set."""
    return viewer.is_owner or viewer.pk == made_by_id


def can_edit(viewer) -> bool:
    """Return whether ``viewer`` may open the page editor: editors and owners, by their group."""
    return viewer.has_perm("wagtailadmin.access_admin")


def require(allowed: bool) -> None:
    """Raise ``PermissionDenied`` with a message for the person unless ``allowed``."""
    if not allowed:
        raise PermissionDenied(_("This record belongs to somebody else, or to another branch."))


def role_required(test: Callable):
    """Let a signed-in person through who passes ``test``, for example ``can_see_readiness``."""

    def decorate(view):
        @wraps(view)
        @login_required
        def guarded(request, *args, **kwargs):
            if not test(request.user):
                raise PermissionDenied(_("This page is for another role in the house."))
            return view(request, *args, **kwargs)

        return guarded

    return decorate
