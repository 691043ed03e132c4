"""Recording power checks and fuel figures, and keeping settings of cruise power on an engine's card."""

from dataclasses import asdict, dataclass
from datetime import datetime

from django.contrib.auth.models import AbstractBaseUser
from django.db import transaction
from django.utils import timezone

from engines.charts import EngineTypeData
from engines.errors import DomainError
from engines.models import CruiseSetting, Engine, FuelFigures, PowerCheckRecord, Run
from engines.power_assurance import PowerReadings, readings_faults
from engines.power_queries import NO_RULES, cruise_facts, rules_of


@dataclass(frozen=True)
class CheckFacts:
    """A power check as it is stated: when, what was read, and whether a baseline begins with it, after what."""

    at: datetime
    readings: PowerReadings
    begins_baseline: bool = False
    why: str = ""
    remarks: str = ""


def rules_needed(engine: Engine) -> EngineTypeData:
    """Return an engine's type that has rules of power; DomainError "no_power_rules" where it has none."""
    data = rules_of(engine)
    if data is None:
        raise DomainError(NO_RULES, code="no_power_rules")
    return data


@transaction.atomic
def power_check_add(
    *, engine: Engine, facts: CheckFacts, by: AbstractBaseUser, run: Run | None = None
) -> PowerCheckRecord:
    """Keep a power check.

    Raises DomainError "no_power_rules" where the type says nothing of power, "power_check_impossible" with what cannot
    be by field.
    """
    rules_needed(engine)
    faults = readings_faults(facts.readings)
    if facts.at > timezone.now():
        faults["at"] = "That moment is still to come."
    if facts.begins_baseline and not facts.why.strip():
        faults["why"] = "Say after which change a baseline begins."
    if run is not None and run.engine_id != engine.pk:
        faults["run"] = "It is a run of another engine."
    if faults:
        raise DomainError(" ".join(faults.values()), code="power_check_impossible", fields=faults)
    return PowerCheckRecord.objects.create(
        engine=engine,
        run=run,
        at=facts.at,
        readings=asdict(facts.readings),
        begins_baseline=facts.begins_baseline,
        why=facts.why.strip() if facts.begins_baseline else "",
        remarks=facts.remarks.strip(),
        by_id=by.pk,
    )


@transaction.atomic
def fuel_add(
    *, run: Run, totaliser: float | None, uplift: float | None, by: AbstractBaseUser, remarks: str = ""
) -> FuelFigures:
    """Keep what a totaliser counted in a run, and what was uplifted; the newest figures stand.

    Raises DomainError "run_void" for a void run, "run_impossible" where neither figure is given, or one is below 0.
    """
    if run.is_void:
        raise DomainError("This run is void: nothing is added to it.", code="run_void")
    if totaliser is None and uplift is None:
        words = "Give what the totaliser counted, or what was uplifted."
        raise DomainError(words, code="run_impossible", fields={"totaliser": words})
    faults = {
        name: "It is 0 or more." for name, amount in (("totaliser", totaliser), ("uplift", uplift)) if (amount or 0) < 0
    }
    if faults:
        raise DomainError(" ".join(faults.values()), code="run_impossible", fields=faults)
    return FuelFigures.objects.create(run=run, totaliser=totaliser, uplift=uplift, remarks=remarks.strip(), by_id=by.pk)


@transaction.atomic
def setting_keep(*, run: Run, by: AbstractBaseUser) -> CruiseSetting:
    """Keep on the engine's card how cruise power was set in a flight; once for each.

    Raises DomainError "no_power_rules", and "no_cruise_setting" where the trace shows none.
    """
    rules_needed(run.engine)
    known = CruiseSetting.objects.filter(run=run).first()
    if known is not None:
        return known
    facts = cruise_facts(run)
    if facts is None:
        raise DomainError("The trace of this run does not show how cruise power was set.", code="no_cruise_setting")
    return CruiseSetting.objects.create(run=run, engine=run.engine, facts=facts, by_id=by.pk)
