"""Terms: named, moved, copied into another one."""

from datetime import date

from django.db import transaction

from inventory.models import Lesson, Term
from inventory.queries.lessons.terms import TermCopy, term_copy
from inventory.services.ledger import refuse
from inventory.services.lessons.planning import copy_lesson
from studio.models import Studio, User

LONGEST_DAYS = 400


def _check(starts_on: date, ends_on: date) -> None:
    if ends_on < starts_on:
        raise refuse("ends_on", f"The last day {ends_on} is before the first day {starts_on}: check both days.")
    if (ends_on - starts_on).days > LONGEST_DAYS:
        raise refuse("ends_on", f"From {starts_on} to {ends_on} is more than {LONGEST_DAYS} days: split the term.")


@transaction.atomic
def add_term(studio: Studio, *, name: str, starts_on: date, ends_on: date) -> Term:
    _check(starts_on, ends_on)
    term = Term(studio=studio, name=" ".join(name.split()), starts_on=starts_on, ends_on=ends_on)
    term.full_clean()
    term.save()
    return term


@transaction.atomic
def change_term(term: Term, *, name: str, starts_on: date, ends_on: date) -> Term:
    _check(starts_on, ends_on)
    term.name, term.starts_on, term.ends_on = " ".join(name.split()), starts_on, ends_on
    term.full_clean()
    term.save()
    return term


@transaction.atomic
def remove_term(term: Term) -> None:
    """Take away a term without lessons."""
    count = Lesson.objects.filter(term=term).count()
    if count:
        raise refuse("term", f"{term} has {count} lesson{'' if count == 1 else 's'}, so it stays.")
    term.delete()


@transaction.atomic
def copy_term(term: Term, into: Term, *, by: User) -> TermCopy:
    """Copy the lessons of one term into another; twice copied adds nothing twice."""
    if term.pk == into.pk or term.studio_id != into.studio_id:
        raise refuse("into", f"Choose another term of this studio than {term}.")
    Term.objects.select_for_update(no_key=True).get(pk=into.pk)
    found = term_copy(term, into)
    for line in found.copied:
        copy_lesson(line.lesson, line.starts_at, by=by, term=into)
    return found
