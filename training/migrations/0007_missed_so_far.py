"""Questions missed before this version come back too, from today on."""

from django.db import migrations
from django.utils import timezone


def note_missed(apps, schema_editor):
    answers = apps.get_model("training", "CheckAnswer").objects.filter(correct=False)
    missed_question = apps.get_model("training", "MissedQuestion")
    found = {}
    for one in answers.order_by("answered_at", "pk"):
        key = (one.person_id, one.module_id, one.question_id)
        row = found.setdefault(
            key,
            missed_question(
                person_id=one.person_id,
                module_id=one.module_id,
                question_id=one.question_id,
                due_on=timezone.localdate(),
            ),
        )
        row.times_missed += 1
        row.missed_on = timezone.localdate(one.answered_at)
    missed_question.objects.bulk_create(found.values(), batch_size=500)


class Migration(migrations.Migration):
    dependencies = [("training", "0006_missed_questions")]

    operations = [migrations.RunPython(note_missed, migrations.RunPython.noop)]
