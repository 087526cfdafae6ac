"""The bench sheet of a batch in grams, and how warm its water must be."""

from dataclasses import dataclass

from assessments.calculations.dough import (
    DoughFormula,
    FormulaFlour,
    OtherIngredient,
    WaterTemperature,
    bench_sheet,
    water_temperature,
)
from training.names import told

SCALE_STEP_G = 1.0
FINE_SCALE_STEP_G = 0.1


@dataclass(frozen=True, slots=True)
class BenchLine:
    """One thing to weigh: ``name`` is empty for water and salt, which the page names itself."""

    key: str
    name: str
    mass_g: float
    needs_fine_scale: bool = False

    @property
    def decimals(self):
        return 1 if self.needs_fine_scale else 0


@dataclass(frozen=True, slots=True)
class Bench:
    """What to weigh for a batch; masses in g, ``allergens`` in the house's own words."""

    flours: tuple[BenchLine, ...]
    water: BenchLine
    salt: BenchLine
    others: tuple[BenchLine, ...]
    flour_g: float
    dough_g: float
    allergens: tuple[str, ...]

    @property
    def lines(self):
        """Everything in the order of weighing; salt only where the dough has any."""
        salt = (self.salt,) if self.salt.mass_g else ()
        return (*self.flours, self.water, *salt, *self.others)


def bench_for(batch) -> Bench:
    """Return the bench sheet of ``batch``, whose standard comes with its recipe."""
    standard = batch.standard
    flours, others = list(standard.flours.all()), list(standard.others.all())
    # Ingredients go by key, not by name: a name may be given twice, or be "water".
    formula = DoughFormula(
        tuple(
            FormulaFlour(f"flour-{flour.pk}", float(flour.percent), flour.kind) for flour in flours
        ),
        float(batch.hydration_target_percent),
        float(batch.salt_target_percent),
        tuple(OtherIngredient(f"other-{other.pk}", float(other.percent)) for other in others),
    )
    amounts = {
        "portions": batch.portions,
        "portion_g": float(standard.portion_g),
        "loss_percent": float(standard.allowance_percent),
    }
    sheet = bench_sheet(formula, step_g=SCALE_STEP_G, **amounts)
    fine = bench_sheet(formula, step_g=FINE_SCALE_STEP_G, **amounts)
    names = {
        **{f"flour-{flour.pk}": told(flour.name) for flour in flours},
        **{f"other-{other.pk}": told(other.name) for other in others},
    }
    fine_g = {"water": fine.water_g, "salt": fine.salt_g}
    fine_g |= {line.name: line.mass_g for line in (*fine.flours, *fine.others)}

    def line(key, mass_g):
        needs_fine = key in sheet.too_fine_for_scale
        return BenchLine(key, names.get(key, ""), fine_g[key] if needs_fine else mass_g, needs_fine)

    lines = tuple(line(flour.name, flour.mass_g) for flour in sheet.flours)
    stated = [row.allergens for row in (*flours, *others)]
    return Bench(
        flours=lines,
        water=line("water", sheet.water_g),
        salt=line("salt", sheet.salt_g),
        others=tuple(line(other.name, other.mass_g) for other in sheet.others),
        flour_g=sum(flour.mass_g for flour in lines),
        dough_g=sheet.dough_g,
        allergens=tuple(dict.fromkeys(told(text.strip()) for text in stated if text.strip())),
    )


def water_for(standard, *, room_c, flour_c=None) -> WaterTemperature | None:
    """Return how warm the water must be; without a flour temperature, flour is at room's.

    None without a room temperature.
    """
    if room_c is None:
        return None
    return water_temperature(
        dough=float(standard.dough_temperature_c),
        flour=float(room_c if flour_c is None else flour_c),
        room=float(room_c),
        friction=float(standard.friction_c),
    )
