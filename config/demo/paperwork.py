"""What the demo's office does: open jobs, chase approvals, order, issue."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any
from uuid import uuid4

from config.demo.days import WorkingDays
from config.demo.people import Firmament
from config.demo.scenario import Step
from jobs.domain.approvals import Step as ApprovalStep
from jobs.domain.dimensions import TYPICAL_SECTIONS, Dimensions, Frame
from jobs.models import Approval, Client, Job
from jobs.queries.firm import the_firm
from jobs.services import approvals, clients, materials
from jobs.services import jobs as job_services
from safety.queries.plans import draft
from safety.services.statements import issue_statement, review_statement
from scheduling.models import Delivery, Half
from scheduling.services.deliveries import order_delivery
from scheduling.services.receipts import Counted, check_in

ROOF_PARTS = frozenset(
    {
        "sheet",
        "gutter",
        "box_gutter",
        "downpipe",
        "ridge_cap",
        "barge_cap",
        "flashing",
    }
)


@dataclass(slots=True)
class Paperwork:
    """The office's part of the stories. ``jobs`` fills as jobs are opened."""

    firm: Firmament
    days: WorkingDays
    told: Mapping[str, Mapping[str, Any]]
    jobs: dict[str, Job] = field(default_factory=dict)

    def open(self, step: Step, at: datetime) -> None:
        """Client, site and job in one go."""
        told = self.told[step.job]
        client = self._client(told["client"], at)
        site = clients.add_site(
            client=client,
            values={"state": "au-nsw", **told["site"]},
            actor=self.firm.office,
            at=at,
        )
        values: dict[str, Any] = {
            "title": told["title"],
            "client": client,
            "site": site,
            "site_lead": self.firm.people.get(told.get("lead", "")),
        }
        if "promised" in told:
            values["promised_on"] = self.days.day(told["promised"])
        self.jobs[step.job] = job_services.open_job(
            values=values, method_key=told["method"], actor=self.firm.office, at=at
        )

    def _client(self, name: str, at: datetime) -> Client:
        given = name.split(" ", maxsplit=1)[0].lower()
        values = {
            "name": name,
            "email": f"{given}@client.example",
            "phone": "(02) 5550 0199",
        }
        return clients.add_client(values=values, actor=self.firm.office, at=at)

    def dimensions(self, step: Step, at: datetime) -> None:
        """Set the dimensions that the scenario gives."""
        self._set(step, self.told[step.job]["dimensions"], at)

    def redimension(self, step: Step, at: datetime) -> None:
        """Change some of them."""
        merged = {**self.told[step.job]["dimensions"], **step.details["values"]}
        self._set(step, merged, at)

    def _set(self, step: Step, values: Mapping[str, Any], at: datetime) -> None:
        job = self.jobs[step.job]
        frame = Frame(values.get("frame", Frame.LIGHT_STEEL))
        typical = {**TYPICAL_SECTIONS[frame], **values, "frame": frame}
        row = getattr(Job.objects.get(pk=job.pk), "dimensions", None)
        job_services.set_dimensions(
            job=job,
            version=row.version if row else None,
            dimensions=Dimensions(**typical),
            actor=self.firm.office,
            at=at,
        )

    def step(self, step: Step, at: datetime) -> None:
        """A step of an approval."""
        details = step.details
        approvals.record_step(
            approval=self._approval(step),
            step=ApprovalStep(details["step"]),
            happened_on=at.astimezone(self.days.zone).date(),
            reference=details.get("reference", ""),
            conditions=details.get("conditions", ""),
            note=details.get("note", ""),
            actor=self.firm.office,
            at=at,
        )

    def not_needed(self, step: Step, at: datetime) -> None:
        """An approval that this job does not need."""
        approval = self._approval(step)
        approvals.set_needed(
            approval=approval,
            version=approval.version,
            required=False,
            reason=step.details["reason"],
            actor=self.firm.office,
            at=at,
        )

    def _approval(self, step: Step) -> Approval:
        rows = Approval.objects.select_related("kind", "job")
        job = self.jobs[step.job]
        return rows.get(job=job, kind__key=step.details["approval"])

    def materials(self, step: Step, at: datetime) -> None:
        """The bill of materials, from the take-off."""
        job = self.jobs[step.job]
        materials.fill_from_take_off(job=job, actor=self.firm.office, at=at)

    def order(self, step: Step, at: datetime) -> None:
        """Order the frame or the roof, to come some working days later."""
        job, details = self.jobs[step.job], step.details
        roof = details["parts"] == "roof"
        amounts = {
            line.pk: line.quantity
            for line in job.bom_lines.all()
            if (line.part in ROOF_PARTS) == roof
        }
        order_delivery(
            job=job,
            values={
                "supplier": self.firm.suppliers[details["supplier"]],
                "ordered_on": at.astimezone(self.days.zone).date(),
                "due_on": self.days.day(step.day + details["comes"]),
                "due_half": Half.AM,
                "reference": f"PO-{job.number}-{'R' if roof else 'F'}",
            },
            amounts=amounts,
            actor=self.firm.office,
            at=at,
        )

    def receive(self, step: Step, at: datetime) -> None:
        """Check a load in; ``damaged`` says how many of which part."""
        job, details = self.jobs[step.job], step.details
        damaged: Mapping[str, int] = details.get("damaged", {})
        delivery = Delivery.objects.get(
            job=job, supplier=self.firm.suppliers[details["supplier"]]
        )
        counted = {}
        for line in delivery.lines.select_related("bom_line"):
            bad = float(min(damaged.get(line.bom_line.part, 0), line.ordered))
            counted[line.pk] = Counted(good=line.ordered - bad, damaged=bad)
        check_in(
            delivery=delivery,
            client_uid=uuid4(),
            device_at=at,
            counted=counted,
            note=details.get("note", ""),
            actor=job.site_lead or self.firm.office,
            at=at,
        )

    def issue(self, step: Step, at: datetime) -> None:
        """Review and issue the statement as the engine writes it."""
        job = self.jobs[step.job]
        found = draft(job, at, the_firm())
        if found is None:
            raise ValueError(f"{step.job}: no facts to write a statement from")
        reviewed = review_statement(
            job=job,
            seen_digest=found.digest,
            note="Read line by line against the drawing.",
            actor=self.firm.office,
            at=at,
        )
        issue_statement(statement=reviewed, actor=self.firm.office, at=at)
