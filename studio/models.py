"""Studios and the people in them; the ground floor, which imports no other app."""

from django.contrib.auth.models import AbstractUser
from django.core.validators import RegexValidator
from django.db import models
from django.db.models import F, Q


class AppendOnlyError(TypeError):
    """Raised by every attempt to change or delete a record that is only ever added to; another record corrects it."""


class User(AbstractUser):
    """A person who signs in. What they may do hangs on their membership of a studio."""

    def __str__(self) -> str:
        return self.get_full_name() or self.username


class Role(models.TextChoices):
    KEEPER = "keeper", "Keeper"
    TEACHER = "teacher", "Teacher"
    MEMBER = "member", "Member"
    STUDENT = "student", "Student"

    @property
    def rank(self) -> int:
        """0 for a student, who reads; each step up may do all that the one below may."""
        return [Role.STUDENT, Role.MEMBER, Role.TEACHER, Role.KEEPER].index(self)


class Studio(models.Model):
    """A shelf and the people who share it. No row of one studio is ever shown in another."""

    name = models.CharField(max_length=120)
    slug = models.SlugField(
        max_length=60, unique=True, help_text="The word in the studio's address: small letters, digits and hyphens."
    )
    jurisdiction = models.CharField(
        max_length=60,
        blank=True,
        help_text="Whose law applies, such as EU, Great Britain, US (California) or Australia.",
    )
    currency = models.CharField(
        max_length=3,
        default="EUR",
        validators=[RegexValidator(r"^[A-Z]{3}$", "Write the three capital letters of ISO 4217, such as EUR.")],
    )
    emergency_contact = models.CharField(
        max_length=200, blank=True, help_text="Whom to call when somebody is hurt; printed on every notice."
    )
    last_tube_number = models.PositiveIntegerField(default=0, editable=False)
    created_at = models.DateTimeField(auto_now_add=True)

    members: "models.ManyToManyField[User, Membership]" = models.ManyToManyField(
        User, through="Membership", related_name="studios"
    )

    class Meta:
        ordering = ("name",)

    def __str__(self) -> str:
        return self.name

    def take_tube_numbers(self, count: int) -> range:
        """Reserve `count` numbers for new tubes; the row stays locked until the transaction ends."""
        Studio.objects.filter(pk=self.pk).update(last_tube_number=F("last_tube_number") + count)
        self.refresh_from_db(fields=["last_tube_number"])
        return range(self.last_tube_number - count + 1, self.last_tube_number + 1)


class Membership(models.Model):
    """What one person is in one studio."""

    studio = models.ForeignKey(Studio, on_delete=models.CASCADE, related_name="memberships")
    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=10, choices=Role.choices, default=Role.MEMBER)
    joined_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("studio__name", "user__username")
        constraints = [
            models.UniqueConstraint(
                fields=["studio", "user"],
                name="membership_once",
                violation_error_message="This person is already in this studio.",
            ),
            models.CheckConstraint(condition=Q(role__in=Role.values), name="membership_role_known"),
        ]

    def __str__(self) -> str:
        return f"{self.user}, {self.get_role_display().lower()} of {self.studio}"

    def may(self, role: Role) -> bool:
        """Whether this person may do what `role` may do."""
        return Role(self.role).rank >= role.rank
