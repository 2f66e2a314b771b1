from django.contrib import admin
from django.contrib.auth.admin import UserAdmin

from studio.models import Membership, Studio, User


class MembershipInline(admin.TabularInline):
    model = Membership
    extra = 0
    autocomplete_fields = ("user",)


@admin.register(Studio)
class StudioAdmin(admin.ModelAdmin):
    list_display = ("name", "slug", "jurisdiction", "currency")
    prepopulated_fields = {"slug": ("name",)}
    inlines = (MembershipInline,)


admin.site.register(User, UserAdmin)
