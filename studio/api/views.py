"""The ground that every API view stands on, and the views about people and studios."""

from typing import Any, ClassVar

from axes.handlers.proxy import AxesProxyHandler
from django.contrib.auth.forms import AuthenticationForm
from django.core.exceptions import ValidationError as DjangoValidationError
from django.db.models import Model, QuerySet
from django.shortcuts import get_object_or_404
from django.utils.functional import cached_property
from django_filters.rest_framework import CharFilter, DjangoFilterBackend
from drf_spectacular.utils import OpenApiExample, extend_schema
from rest_framework import exceptions, serializers
from rest_framework.authtoken.models import Token
from rest_framework.generics import GenericAPIView
from rest_framework.parsers import BaseParser
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import ScopedRateThrottle, UserRateThrottle

from studio import access
from studio.api.errors import NOTHING_HERE
from studio.api.inputs import Input, StrictJSONParser, Text
from studio.api.paging import Keyset
from studio.models import Membership, Role, Studio, User

SAFE = ("GET", "HEAD", "OPTIONS")


class ApiView(GenericAPIView):
    """A view for somebody who is signed in, by token or by session.

    `input_class` is what is sent, `serializer_class` what comes back; both are read by the schema.
    """

    parser_classes: tuple[type[BaseParser], ...] = (StrictJSONParser,)
    metadata_class = None
    throttle_classes = (UserRateThrottle,)
    filter_backends: Any = ()
    pagination_class = None
    input_class: ClassVar[type[Input] | None] = None
    tag = "studio"
    # Parameters of the address beside those of a filter and of paging.
    parameters: ClassVar[tuple[str, ...]] = ()

    @property
    def person(self) -> User:
        user = self.request.user
        assert isinstance(user, User)  # noqa: S101  # the permission class let nobody else in
        return user

    def read(self, **context: Any) -> dict[str, Any]:
        """The body as the input class reads it, with the key of the header in it; ValidationError by field."""
        assert self.input_class is not None  # noqa: S101  # a view that reads names what it reads
        reader = self.input_class(data=self._body(), context={"view": self, **context})
        reader.is_valid(raise_exception=True)
        return dict(reader.validated_data)

    def _body(self) -> Any:
        body, key = self.request.data, self.request.headers.get("Idempotency-Key")
        if key is None or not isinstance(body, dict):
            return body
        if body.get("key", key) != key:
            raise serializers.ValidationError({"key": ["The header Idempotency-Key and this field differ: send one."]})
        return {**body, "key": key}

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        self.enter()
        if request.method in SAFE:
            self._refuse_unknown_parameters()

    def enter(self) -> None:
        """Refuse whoever may not come in here; before anything that was sent is looked at."""

    def _refuse_unknown_parameters(self) -> None:
        """A misspelt filter would quietly show everything."""
        known = self.known_parameters()
        if strange := sorted(set(self.request.query_params) - set(known)):
            listed = ", ".join(known) or "none"
            raise serializers.ValidationError(
                {name: [f"There is no parameter “{name}” here. The parameters are: {listed}."] for name in strange[:20]}
            )

    def known_parameters(self) -> list[str]:
        return list(self.parameters)


class StudioView(ApiView):
    """A view inside one studio. Who is not in it gets 404, too low a role 403 with the reason, before anything else."""

    # The least role that may read here, and that for the methods that write.
    reads: ClassVar[Role] = Role.STUDENT
    writes: ClassVar[Role] = Role.MEMBER

    def enter(self) -> None:
        access.require(self.membership, self.reads if self.request.method in SAFE else self.writes)

    @cached_property
    def membership(self) -> Membership:
        return access.membership(self.person, self.kwargs["studio"])

    @property
    def studio(self) -> Studio:
        return self.membership.studio

    def one(self, rows: QuerySet[Any], **which: Any) -> Any:
        return get_object_or_404(rows, **which)

    def answer(self, row: Any, *, status: int = 200, **context: Any) -> Response:
        return Response(
            self.get_serializer(row, context={**self.get_serializer_context(), **context}).data, status=status
        )


class FileView(StudioView):
    """A view that answers with a file, whatever is accepted; what else it says is JSON."""

    def perform_content_negotiation(self, request: Request, force: bool = False) -> Any:
        renderer = self.get_renderers()[0]
        return renderer, renderer.media_type


class Pages(ApiView):
    """Rows by keyset; `rows()` is one queryset, `ordering` begins with a nearly unique field."""

    model: ClassVar[type[Model]]
    ordering: ClassVar[tuple[str, ...]] = ("-pk",)
    filterset_class: Any = None
    filter_backends = (DjangoFilterBackend,)

    @cached_property
    def paginator(self) -> Keyset:
        return Keyset(self.ordering)

    def known_parameters(self) -> list[str]:
        filters = list(self.filterset_class.base_filters) if self.filterset_class else []
        return [*filters, "cursor", "page_size"]

    def _refuse_unknown_parameters(self) -> None:
        super()._refuse_unknown_parameters()
        filters = self.filterset_class.base_filters if self.filterset_class else {}
        typed = [name for name, one in filters.items() if not isinstance(one, CharFilter)]
        if empty := [name for name in typed if self.request.query_params.get(name) == ""]:
            raise serializers.ValidationError(
                {name: ["This is empty: give a value, or leave it out."] for name in empty}
            )

    def rows(self) -> QuerySet[Any]:
        raise NotImplementedError

    def get_queryset(self) -> QuerySet[Any]:
        # The schema asks for the model, with nobody signed in and no studio in the address.
        if getattr(self, "swagger_fake_view", False):
            return self.model._default_manager.none()
        return self.rows()

    def beside(self, page: list[Any]) -> dict[str, Any]:
        """What the serializer needs for all rows of a page together."""
        return {}

    def get(self, request: Request, **address: Any) -> Response:
        page = self.paginate_queryset(self.filter_queryset(self.rows()))
        assert page is not None  # noqa: S101  # the paginator always pages
        context = {**self.get_serializer_context(), **self.beside(page)}
        return self.get_paginated_response(type(self).serializer_class(page, many=True, context=context).data)  # type: ignore[misc]  # a list names its serializer


class StudioList(Pages, StudioView):
    """Rows of a studio."""


class StudioSerializer(serializers.ModelSerializer):
    role = serializers.SerializerMethodField(help_text="What you are in it.")
    url = serializers.SerializerMethodField()

    class Meta:
        model = Studio
        fields = ("slug", "name", "jurisdiction", "currency", "emergency_contact", "role", "url")
        read_only_fields = fields

    def get_role(self, studio: Studio) -> str:
        return str(vars(studio)["role"])

    def get_url(self, studio: Studio) -> str:
        return f"/api/s/{studio.slug}/"


class Front(ApiView):
    """The studios that you belong to."""

    serializer_class = StudioSerializer

    @extend_schema(operation_id="studios", responses=StudioSerializer(many=True))
    def get(self, request: Request) -> Response:
        memberships = Membership.objects.filter(user=self.person).select_related("studio")
        return Response(self.get_serializer([_studio(one) for one in memberships], many=True).data)


class StudioFacts(StudioView):
    """One studio: whose law applies, its currency, whom to call, and what you are in it."""

    serializer_class = StudioSerializer

    @extend_schema(operation_id="studio")
    def get(self, request: Request, studio: str) -> Response:
        return self.answer(_studio(self.membership))


def _studio(membership: Membership) -> Studio:
    studio = membership.studio
    vars(studio)["role"] = membership.role
    return studio


class Person(serializers.Serializer[Model]):
    """A person as others in the studio see them."""

    id = serializers.IntegerField()
    name = serializers.CharField(source="__str__")


class MemberSerializer(serializers.Serializer[Membership]):
    id = serializers.IntegerField(source="user_id")
    username = serializers.CharField(source="user.username")
    name = serializers.CharField(source="user.__str__")
    role = serializers.ChoiceField(choices=Role.choices)


class Members(StudioList):
    """The people of the studio; a tube may belong to one of them."""

    model = Membership
    serializer_class = MemberSerializer
    ordering = ("pk",)

    def rows(self) -> QuerySet[Membership]:
        return Membership.objects.filter(studio=self.studio).select_related("user")


class TokenInput(Input):
    username = Text(max_length=150)
    password = Text(max_length=4096, trim_whitespace=False)


class TokenSerializer(serializers.Serializer[Token]):
    token = serializers.CharField(source="key")


class LoginThrottle(ScopedRateThrottle):
    """By address of the sender; the count of wrong passwords by name is kept elsewhere and holds for the page too."""

    scope_attr = "throttle_scope"


class LockedOut(exceptions.Throttled):
    default_detail = "Too many wrong passwords for this name. Wait a quarter of an hour, then try again."
    extra_detail_singular = extra_detail_plural = ""


class SignIn(ApiView):
    """A token for programs: send it as `Authorization: Token …`."""

    serializer_class = TokenSerializer
    input_class = TokenInput
    throttle_scope = "login"

    def get_permissions(self) -> list[Any]:
        return [AllowAny()] if self.request.method == "POST" else list(super().get_permissions())

    def get_throttles(self) -> list[Any]:
        return [LoginThrottle()] if self.request.method == "POST" else super().get_throttles()

    def get_authenticators(self) -> list[Any]:
        """Who gives a name and a password needs no session, and no check of where the form came from."""
        request = getattr(self, "request", None)
        return [] if request is not None and request.method == "POST" else super().get_authenticators()

    @extend_schema(
        operation_id="sign_in",
        auth=[],
        examples=[OpenApiExample("sign in", {"username": "ines", "password": "…"}, request_only=True)],
    )
    def post(self, request: Request) -> Response:
        given = self.read()
        # The page's own form, so that the words and the lockout are the page's.
        form = AuthenticationForm(request._request, data=given)
        if not form.is_valid():
            self._refuse(request, given, form)
        token, _ = Token.objects.get_or_create(user=form.get_user())
        return Response(self.get_serializer(token).data, status=201)

    def _refuse(self, request: Request, given: dict[str, Any], form: AuthenticationForm) -> None:
        plain = request._request
        if not AxesProxyHandler.is_allowed(plain, {"username": given["username"]}):
            # The middleware would put the page for browsers in the place of this answer.
            plain.axes_locked_out = False  # type: ignore[attr-defined]
            raise LockedOut(wait=15 * 60)
        raise DjangoValidationError(form.errors.as_data())

    @extend_schema(operation_id="sign_out", request=None, responses={204: None})
    def delete(self, request: Request) -> Response:
        """Take back your token; programs that hold it are signed out."""
        Token.objects.filter(user=self.person).delete()
        return Response(status=204)


@extend_schema(exclude=True)
class NotThere(ApiView):
    """Every other address below /api/."""

    permission_classes = (AllowAny,)
    authentication_classes = ()

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        words = NOTHING_HERE if request.path.endswith("/") else f"{NOTHING_HERE} Addresses here end with a slash."
        raise exceptions.NotFound(words)

    get = post = put = patch = delete = lambda self, request, **address: Response(status=404)
