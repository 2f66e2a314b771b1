"""The pages of the wheel, cold and warm, as ratios to the page of the shelf in the same run; and the toggle of a tube.

Run by hand on a database with the demo studio: python -m tests.bench.bench_wheel_pages
"""

import os
import resource
from collections.abc import Callable
from functools import partial
from time import perf_counter

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "studio.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.test import Client  # noqa: E402
from django.urls import reverse  # noqa: E402

from inventory.queries.paint_sets import Asked, paint_set  # noqa: E402
from inventory.queries.remembered import forget_all  # noqa: E402
from studio.models import Studio, User  # noqa: E402

WARM = 5
MORE_STEPS = 100


def main() -> None:
    settings.ALLOWED_HOSTS = [*settings.ALLOWED_HOSTS, "testserver"]
    studio = Studio.objects.get(slug="quarry-lane")
    chosen = paint_set(studio, Asked())
    assert chosen is not None
    client = Client()
    client.force_login(User.objects.get(username="ines"))

    def seconds(url: str) -> float:
        """Ask until the answer is there: long work goes on with the next request."""
        start = perf_counter()
        for _ in range(MORE_STEPS):
            answer = client.get(url, HTTP_HOST="127.0.0.1")
            assert answer.status_code == 200, (url, answer.status_code)
            if answer.get("Cache-Control") != "no-store" or b"% worked" not in answer.content:
                break
        return perf_counter() - start

    def best(work: Callable[[], float]) -> float:
        return min(work() for _ in range(WARM))

    shelf = reverse("inventory:shelf", args=[studio.slug])
    seconds(shelf)
    base = best(lambda: seconds(shelf))
    one = chosen.palette
    print(f"{len(one.palette)} paints of {one.binder} in the demo; shelf page {1000 * base:.0f} ms")
    for name in ("wheel", "wheel_table", "wheel_same_job", "wheel_next"):
        url = reverse(f"inventory:{name}", args=[studio.slug])
        forget_all()
        cold = seconds(url)
        warm = best(partial(seconds, url))
        print(
            f"{name:16} cold {1000 * cold:6.0f} ms, {cold / base:5.1f} times the shelf; "
            f"warm {1000 * warm:5.0f} ms, {warm / base:4.1f} times"
        )
    wheel = reverse("inventory:wheel", args=[studio.slug])
    seconds(wheel)
    toggles = [seconds(f"{wheel}?without={pk}") for pk in chosen.palette.palette.ids]
    print(f"a tube toggled off: {1000 * max(toggles):.0f} ms at the most, {max(toggles) / base:.1f} times the shelf")
    print(f"peak memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0:.0f} MB")


if __name__ == "__main__":
    main()
