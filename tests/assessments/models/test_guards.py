"""What was decided, seen or logged stays as it was written, whoever tries to change it."""

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction

from assessments.actions.sign_off import review_batch, write_sign_off, write_withdrawal
from tests import factories

pytestmark = pytest.mark.django_db

KEPT = {
    "Event": ("verb", "observed"),
    "Observation": ("hygiene", 0),
    "Review": ("note", "another word"),
    "SignOff": ("is_override", False),
    "Withdrawal": ("reason", "another reason"),
}


@pytest.fixture
def kept(house):
    """Return one row of each kept table, by model name."""
    batch = factories.counted_batch(
        cook=house.cook, branch=house.branch, standard=house.standard, days=1
    )
    observation = factories.ObservationFactory(practice=house.practice, observer=house.chef)
    sign_off = write_sign_off(
        house.practice,
        by=house.chef,
        request_key="11111111-1111-1111-1111-111111111111",
        seen_missing=["measured", "observations"],
        override_reason="Trial week, side by side.",
    )
    return {
        "Event": apps.get_model("assessments", "Event").objects.first(),
        "Observation": observation,
        "Review": review_batch(batch, by=house.chef, decision="another", note="Rest it longer."),
        "SignOff": sign_off,
        "Withdrawal": write_withdrawal(sign_off, by=house.chef, reason="Uneven sheets."),
    }


def refused():
    """Expect the database to refuse, and go on afterwards."""
    return pytest.raises(IntegrityError, match="kept as it was written")


@pytest.mark.parametrize(("name", "change"), KEPT.items())
def test_the_database_refuses_a_change_in_raw_sql(kept, name, change):
    row, (field, value) = kept[name], change
    table = row._meta.db_table
    with refused(), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"UPDATE {table} SET {field} = %s WHERE id = %s", [value, row.pk])  # noqa: S608
    before = getattr(row, field)
    row.refresh_from_db()
    assert getattr(row, field) == before != value


@pytest.mark.parametrize(("name", "change"), KEPT.items())
def test_the_database_refuses_a_change_by_a_plain_queryset(kept, name, change):
    row, (field, value) = kept[name], change
    plain = models.QuerySet(type(row)).filter(pk=row.pk)
    with refused(), transaction.atomic():
        plain.update(**{field: value})


@pytest.mark.parametrize(("name", "change"), KEPT.items())
def test_the_models_refuse_a_change_before_the_database_does(kept, name, change):
    row, (field, value) = kept[name], change
    rows = type(row).objects.filter(pk=row.pk)
    with pytest.raises(TypeError, match="kept as they were written"):
        rows.update(**{field: value})
    with pytest.raises(TypeError, match="kept as they were written"):
        rows.bulk_update([row], [field])
    setattr(row, field, value)
    with pytest.raises(TypeError, match="kept as it was written"):
        row.save()
    with pytest.raises(TypeError, match="kept"):
        row.delete()
    with pytest.raises(TypeError, match="kept"):
        rows.delete()
    assert rows.count() == 1


# A sign-off is held by its practice and its withdrawal as well.
@pytest.mark.parametrize("name", [name for name in KEPT if name != "SignOff"])
def test_postgresql_refuses_to_delete_and_sqlite_leaves_it_to_the_models(kept, name):
    row = kept[name]
    rows = models.QuerySet(type(row)).filter(pk=row.pk)

    def delete():
        with transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(f"DELETE FROM {row._meta.db_table} WHERE id = %s", [row.pk])  # noqa: S608

    if connection.vendor == "postgresql":
        with refused():
            delete()
        assert rows.exists()
    else:
        delete()
        assert not rows.exists()


def test_every_table_of_decisions_is_guarded():
    """A later migration that makes such a table anew must put its trigger back."""
    tables = {apps.get_model("assessments", name)._meta.db_table for name in KEPT}
    query = (
        "SELECT event_object_table FROM information_schema.triggers"
        if connection.vendor == "postgresql"
        else "SELECT tbl_name FROM sqlite_master WHERE type = 'trigger'"
    )
    with connection.cursor() as cursor:
        cursor.execute(query)
        guarded = {name for (name,) in cursor.fetchall()}
    assert tables <= guarded
