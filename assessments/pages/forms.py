"""Forms of the batch log."""

import uuid
from collections import defaultdict
from dataclasses import dataclass

from django import forms
from django.core.exceptions import ValidationError
from django.utils.text import capfirst
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from assessments.actions.log_batch import Entry, TriedAnswer
from assessments.calculations.reading_entry import (
    NegativeReading,
    ReadingError,
    implausible,
    parse_measure,
    split_readings,
)
from assessments.models import Batch, ReadingSet, Stage, Tried
from assessments.summaries.bench import water_for
from assessments.summaries.log import in_figures
from training.models import Branch, StandardVersion

Quantity = ReadingSet.Quantity

UNREADABLE = {
    "not_a_number": gettext_lazy("“%(typed)s” is not a number. Type a number such as 3.2 or 3,2."),
    "wrong_unit": gettext_lazy(
        "“%(typed)s” carries another unit. Type the number alone, in %(unit)s."
    ),
    "too_many_separators": gettext_lazy(
        "“%(typed)s” has more than one comma or point. Type one number, such as 3.2 or 3,2."
    ),
    "negative": gettext_lazy("“%(typed)s” is below zero. Type the number without a minus sign."),
}


class MeasureField(forms.CharField):
    """One measured value, typed with comma or point, with or without its unit.

    Gives a ``Decimal``, or None when nothing was typed. What was typed is shown again as it was.
    """

    def __init__(self, *, unit, least, most, **options):
        self.unit, self.least, self.most = unit, least, most
        options.setdefault("required", False)
        options.setdefault("max_length", 20)
        super().__init__(**options)
        self.widget.attrs |= {"inputmode": "decimal", "autocomplete": "off", "class": "measure"}

    def clean(self, value):
        typed = super().clean(value)
        if not typed:
            return None
        value = self._read(typed)
        if not self.least <= value <= self.most:
            raise ValidationError(
                _("%(value)s %(unit)s cannot be: it must lie between %(least)s and %(most)s."),
                params={
                    "value": in_figures(value),
                    "unit": self.unit,
                    "least": in_figures(self.least),
                    "most": in_figures(self.most),
                },
                code="impossible",
            )
        return value

    def _read(self, typed):
        try:
            return parse_measure(typed, self.unit)
        except NegativeReading as below_zero:
            if self.least < 0:
                return -parse_measure(typed.replace("−", "-").replace("-", "", 1), self.unit)
            code = below_zero.code
        except ReadingError as unreadable:
            code = unreadable.code
        raise ValidationError(
            UNREADABLE.get(code, UNREADABLE["not_a_number"]),
            params={"typed": typed, "unit": self.unit},
            code=code,
        )


def room_field():
    return MeasureField(
        unit="°C",
        least=-5,
        most=50,
        label=gettext_lazy("Room temperature, °C"),
        help_text=gettext_lazy("Decides how much water the dough gets. Leave empty if unknown."),
    )


class NewBatchForm(forms.Form):
    """What is to be made: style, portions, room temperature and, with several, the branch."""

    style = forms.ModelChoiceField(
        StandardVersion.objects.none(),
        label=gettext_lazy("Style"),
        widget=forms.RadioSelect,
        empty_label=None,
    )
    portions = forms.IntegerField(
        label=gettext_lazy("Portions"),
        initial=10,
        validators=Batch._meta.get_field("portions").validators,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={"invalid": gettext_lazy("Type a whole number of portions, such as 10.")},
    )
    room_c = room_field()
    branch = forms.ModelChoiceField(Branch.objects.none(), label=gettext_lazy("Branch"))
    client_key = forms.UUIDField(widget=forms.HiddenInput)

    def __init__(self, *args, standards, branches, usual=None, **kwargs):
        super().__init__(*args, **kwargs)
        if usual is not None:
            of_style = [row.pk for row in standards if row.style_id == usual.style_id]
            self.initial |= {"portions": usual.portions, "style": next(iter(of_style), None)}
        self.fields["style"].queryset = standards
        self.fields["style"].label_from_instance = lambda standard: str(standard.style)
        self.fields["branch"].queryset = branches
        self.initial.setdefault("client_key", uuid.uuid4())
        if len(branches) == 1:
            self.initial["branch"] = branches[0].pk
            self.fields["branch"].widget = forms.HiddenInput()
        if len(standards) == 1:
            self.initial["style"] = standards[0].pk

    def wanted(self):
        """Return the arguments of ``open_batch``."""
        wanted = self.cleaned_data
        return {
            "style": wanted["style"].style,
            "portions": wanted["portions"],
            "room_c": wanted["room_c"],
            "branch": wanted["branch"],
            "client_key": wanted["client_key"],
        }


@dataclass(frozen=True, slots=True)
class Cell:
    """A field for one value with its point; ``question`` asks whether a value was meant so."""

    point: object
    field: forms.BoundField
    question: str
    kept: str
    is_kept: bool


class StageForm(forms.Form):
    """The values of one stage: everything typed is read as far as it can be read.

    ``sheet`` is a ``StageSheet``. A page older than the record does not overwrite it: values
    saved meanwhile fill what the page left empty, and where both differ the cook is asked.
    """

    basis = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, sheet, data=None):
        self.sheet = sheet
        self.questions = {}
        self.meanwhile = []
        if data is not None:
            data = self._catch_up(data.copy())
        super().__init__(data, initial={"basis": sheet.basis, "instrument": sheet.tool_id})
        for point in sheet.points:
            self.fields[point.name] = self._measure_field(point)
        if sheet.tools and sheet.points:
            self.fields["instrument"] = forms.TypedChoiceField(
                label=_("Measured with"),
                choices=[
                    ("", _("not said")),
                    *((tool.instrument.pk, tool.label) for tool in sheet.tools),
                ],
                coerce=int,
                empty_value=None,
                required=False,
            )
        if sheet.stage.kind == Stage.Kind.CUT and sheet.points:
            self.fields["paste"] = self._paste_field()
        if sheet.stage.kind == Stage.Kind.MIX:
            self.fields["flour_c"] = self._flour_field()
        if sheet.needs_confirmation and sheet.points:
            self.fields["confirm"] = forms.BooleanField(
                required=False,
                label=_("Change it all the same: this part of the batch then earns nothing."),
            )

    def _measure_field(self, point):
        initial = point.saved if point.saved is not None else point.proposed
        field = MeasureField(
            unit=point.unit,
            least=point.least,
            most=point.most,
            label=point.label,
            initial=None if initial is None else in_figures(initial),
        )
        field.widget.attrs |= {"data-least": point.least, "data-most": point.most}
        if point.plausible is not None:
            field.widget.attrs |= {
                "data-target": point.plausible.target,
                "data-low": point.plausible.low,
                "data-high": point.plausible.high,
            }
        if point.saved is not None:
            field.widget.attrs["data-saved"] = in_figures(point.saved)
        return field

    def _flour_field(self):
        return MeasureField(
            unit="°C",
            least=-20,
            most=50,
            label=_("Flour temperature, °C"),
            help_text=_("Where it differs from the room: flour from a cold store, for example."),
        )

    def _paste_field(self):
        return forms.CharField(
            required=False,
            label=_("Readings in the order of the list"),
            help_text=_("From a caliper's file or a note; one below the other or with spaces."),
            widget=forms.Textarea(attrs={"rows": 3, "inputmode": "text", "autocomplete": "off"}),
        )

    def _catch_up(self, data):
        """Fill ``data`` of an old page with what was saved meanwhile; note where both differ."""
        if data.get("basis", "") == self.sheet.basis:
            return data
        typed = any(data.get(point.name, "").strip() for point in self.sheet.points)
        if typed and self.sheet.photos is not None and self.sheet.photos.readings is not None:
            self.meanwhile.append(_("the widths of the photos"))
        for point in self.sheet.points:
            if point.saved is None:
                continue
            saved, typed = in_figures(point.saved), data.get(point.name, "").strip()
            if not typed:
                data[point.name] = saved
            elif not self._is_same(point, typed):
                self.meanwhile.append(
                    _("%(label)s: saved %(saved)s %(unit)s, you typed %(typed)s")
                    % {"label": point.label, "saved": saved, "unit": point.unit, "typed": typed}
                )
        data["basis"] = self.sheet.basis
        return data

    @staticmethod
    def _is_same(point, typed):
        try:
            return abs(float(parse_measure(typed, point.unit)) - point.saved) < 0.0005
        except ReadingError:
            return False

    def distribute(self):
        """Put pasted readings into the empty fields, in order; what finds no place stays."""
        pieces = split_readings(self.data.get("paste", ""))
        data = self.data.copy()
        empty = [point for point in self.sheet.points if not data.get(point.name, "").strip()]
        for point, piece in zip(empty, pieces, strict=False):
            data[point.name] = piece
        data["paste"] = "\n".join(pieces[len(empty) :])
        self.data = data

    def clean(self):
        cleaned = super().clean()
        for point in self.sheet.points:
            value = cleaned.get(point.name)
            if value is not None and value >= 0:
                self._question(point, value)
        if self.data.get("paste", "").strip():
            left = len(split_readings(self.data["paste"]))
            self.add_error(
                "paste",
                ngettext(
                    "%(count)d pasted reading has no empty field. Clear it here, or a field above.",
                    "%(count)d pasted readings have no empty field. "
                    "Clear them here, or fields above.",
                    left,
                )
                % {"count": left},
            )
        self._refuse_silent_changes(cleaned)
        return cleaned

    def _question(self, point, value):
        if point.plausible is None or self._is_kept(point, value):
            return
        if point.saved is not None and abs(float(value) - point.saved) < 0.0005:
            return
        doubt = implausible(
            value, point.plausible.target, point.plausible.low_factor, point.plausible.high_factor
        )
        if doubt is None:
            return
        words = {
            "value": in_figures(value),
            "unit": point.unit,
            "target": in_figures(point.plausible.target),
        }
        if doubt.suggestion is None:
            question = _(
                "%(value)s %(unit)s is far from the usual %(target)s. "
                "Change it, or tick to keep %(value)s as measured."
            )
        else:
            words["suggestion"] = in_figures(doubt.suggestion)
            question = _(
                "%(value)s %(unit)s is far from the usual %(target)s. Did you mean "
                "%(suggestion)s? Change it, or tick to keep %(value)s as measured."
            )
        self.questions[point.name] = in_figures(value)
        self.add_error(point.name, ValidationError(question, params=words, code="implausible"))

    def _is_kept(self, point, value):
        # The tick carries the value it was given for: it does not cover a later slip.
        return self.data.get(f"keep_{point.name}", "") == in_figures(value)

    def _refuse_silent_changes(self, cleaned):
        if self.meanwhile:
            self.add_error(
                None,
                ValidationError(
                    _(
                        "This page is older than what is saved. Saved meanwhile, in another "
                        "window: %(list)s. Your figures stand below. Save again to take yours."
                    ),
                    params={"list": _("; ").join(self.meanwhile)},
                    code="stale",
                ),
            )
        if any(self._emptied(quantity, cleaned) for quantity in self._by_quantity()):
            self.add_error(
                None,
                ValidationError(
                    _(
                        "Readings on record are not taken away. To change one, type over it; "
                        "the ones saved before stay as they are."
                    ),
                    code="emptied",
                ),
            )
        if "confirm" in self.fields and self._changes() and not cleaned.get("confirm"):
            self.add_error(
                "confirm",
                ValidationError(
                    _("The score of this batch has been seen. Tick to change readings afterwards."),
                    code="after_score",
                ),
            )

    def water(self):
        """Return how warm the water must be, for what was typed so far."""
        if not self.is_bound:
            return self.sheet.water
        typed, batch = self.cleaned_data, self.sheet.batch
        room_c = batch.room_c if batch.room_c is not None else typed.get(Quantity.ROOM_TEMPERATURE)
        return water_for(batch.standard, room_c=room_c, flour_c=typed.get("flour_c"))

    def renew_basis(self, basis):
        """Take over the record's new mark after a part of what was typed has been saved."""
        self.data = self.data.copy()
        self.data["basis"] = basis

    def has_typed(self):
        """Whether any value was typed, into fields that are still there or not."""
        typed = (self.data.get(point.name, "").strip() for point in self.sheet.points)
        return any(typed) or bool(self.leftovers)

    def _by_quantity(self):
        groups = defaultdict(list)
        for point in self.sheet.points:
            groups[point.quantity].append(point)
        return groups

    def _emptied(self, quantity, cleaned):
        points = self._by_quantity()[quantity]
        nothing_left = all(
            point.name not in self.errors and cleaned.get(point.name) is None for point in points
        )
        return nothing_left and any(point.saved is not None for point in points)

    def _value(self, point):
        """What counts for a point: what was typed or, where that cannot be read, the record."""
        if point.name in self.errors:
            return point.saved
        value = self.cleaned_data.get(point.name)
        return None if value is None else round(float(value), 3)

    def entries(self):
        """Return an ``Entry`` for each quantity that has a value, as far as values are valid."""
        if self.meanwhile:
            return []
        tool_id = self.cleaned_data.get("instrument")
        tools = {tool.instrument.pk: tool.instrument for tool in self.sheet.tools}
        entries = []
        for quantity, points in self._by_quantity().items():
            values = {point.position: self._value(point) for point in points}
            read = {place: value for place, value in values.items() if value is not None}
            if read:
                entries.append(
                    Entry(quantity, tuple(read.values()), tuple(read), tools.get(tool_id))
                )
        return entries

    def _changes(self):
        return any(
            self._value(point) != (None if point.saved is None else round(point.saved, 3))
            for point in self.sheet.points
        )

    @property
    def cells(self):
        """The fields in order, each with its point and its question."""
        _ = self.errors  # reading the errors is what asks the questions
        return [self._cell(point) for point in self.sheet.points]

    def _cell(self, point):
        kept = self.data.get(f"keep_{point.name}", "") if self.is_bound else ""
        asked = self.questions.get(point.name, "")
        return Cell(
            point=point,
            field=self[point.name],
            question=asked,
            kept=asked or kept,
            is_kept=bool(kept) and not asked,
        )

    @property
    def weighed(self):
        """The keys of the bench lines that are ticked."""
        ticked = self.data if self.is_bound else ()
        return {name.removeprefix("weighed_") for name in ticked if name.startswith("weighed_")}

    @property
    def leftovers(self):
        """What was typed into fields that the page no longer has, as "strand 7: 3.2"."""
        if not self.is_bound:
            return []
        known = {point.name for point in self.sheet.points}
        prefixes = {f"{point.quantity}_" for point in self.sheet.points} | {"width_"}
        return [
            f"{name.rpartition('_')[2]}: {typed}"
            for name, typed in self.data.items()
            if name not in known and typed.strip() and name.startswith(tuple(prefixes))
        ]


class StrandsForm(forms.Form):
    """How many strands the dough gives."""

    strands_expected = forms.IntegerField(
        label=gettext_lazy("How many strands will this sheet give, about?"),
        validators=Batch._meta.get_field("strands_expected").validators,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
        error_messages={
            "invalid": gettext_lazy("Type a whole number of strands, such as 60."),
            "required": gettext_lazy("Type about how many strands there will be."),
        },
    )


class FinishForm(forms.Form):
    """The last question about a batch, which may stay unanswered: was it tried what was asked?

    ``asked_by`` names the batch that asked: when the answer arrives, another may be the last.
    """

    tried = forms.ChoiceField(
        label=gettext_lazy("Did you try it?"),
        help_text=gettext_lazy("You may leave this open."),
        required=False,
        widget=forms.RadioSelect,
    )
    asked_by = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, data=None, *, asked_by=None):
        super().__init__(data, initial={"asked_by": asked_by})
        self.fields["tried"].choices = [
            (value, capfirst(label)) for value, label in Tried.Answer.choices
        ]

    def answer(self):
        """Return the ``TriedAnswer``, or None where nothing was answered."""
        said = self.cleaned_data
        if not said["tried"] or said["asked_by"] is None:
            return None
        return TriedAnswer(earlier_id=said["asked_by"], answer=said["tried"])
