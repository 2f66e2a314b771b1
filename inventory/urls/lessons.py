"""Lessons, terms, groups and what students bring."""

from django.urls import path

from inventory.views.lessons import after, amounts, pages, planning, terms

urlpatterns = [
    path("lessons/", pages.lessons, name="lessons"),
    path("lessons/new/", planning.lesson_add, name="lesson_add"),
    path("lessons/rules/", amounts.rules, name="amount_rules"),
    path("lessons/<int:pk>/", pages.lesson, name="lesson"),
    path("lessons/<int:pk>/change/", planning.lesson_change, name="lesson_change"),
    path("lessons/<int:pk>/paints/", amounts.paints, name="lesson_paints"),
    path("lessons/<int:pk>/amounts/", amounts.amounts, name="lesson_amounts"),
    path("lessons/<int:pk>/amounts/history/", amounts.from_history, name="lesson_from_history"),
    path("lessons/<int:pk>/amounts/rule/", amounts.by_rule, name="lesson_by_rule"),
    path("lessons/<int:pk>/keep/", planning.keep, name="lesson_keep"),
    path("lessons/<int:pk>/repeat/", planning.repeat, name="lesson_repeat"),
    path("lessons/<int:pk>/call-off/", planning.call_off, name="lesson_call_off"),
    path("lessons/<int:pk>/hold-after-all/", planning.uncancel, name="lesson_uncancel"),
    path("lessons/<int:pk>/supplies/", pages.supplies, name="lesson_supplies"),
    path("lessons/<int:pk>/supplies.pdf", pages.supplies_pdf, name="lesson_supplies_pdf"),
    path("lessons/<int:pk>/chart.pdf", pages.chart_pdf, name="lesson_chart_pdf"),
    path("lessons/<int:pk>/brought/", after.brought, name="lesson_brought"),
    path("lessons/<int:pk>/record/", after.record, name="lesson_record"),
    path("lessons/<int:pk>/take-back/", after.take_back, name="lesson_take_back"),
    path("terms/", terms.terms, name="terms"),
    path("terms/<int:pk>/", terms.term, name="term"),
    path("terms/<int:pk>/copy/", terms.copy, name="term_copy"),
    path("terms/<int:pk>/remove/", terms.remove, name="term_remove"),
]
